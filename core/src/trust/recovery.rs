//! Recovery: the shop's root seed as a person writes it on paper and types it back.
//!
//! ```text
//! seed (32) | first 3 bytes of SHA-256(tag, seed)     35 bytes: seven lines of 5 bytes
//! line: 8 characters of RFC 4648 base32, and one that checks this line
//! ```
//! The alphabet has no 0, 1, 8 or 9, so nothing on the sheet can be taken for something
//! else; the last character of a line says which line was typed wrong.

use sha2::{Digest as _, Sha256};
use zeroize::Zeroizing;

/// What the check over the whole seed starts with.
const TAG: &[u8] = b"tallywater recovery 1\0";
/// RFC 4648, section 6.
const ALPHABET: &[u8; 32] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";
/// How many lines a sheet has.
pub const RECOVERY_LINES: usize = 7;

/// Why a recovery sheet cannot be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum BadSheet {
    /// Not seven lines of nine characters.
    #[error("a recovery sheet has 63 letters and digits, and {found} were given")]
    Length {
        /// How many letters and digits there were.
        found: usize,
    },
    /// A character that is on no sheet, or a line whose check does not fit.
    #[error("line {line} of the recovery sheet is not as it was printed")]
    Line {
        /// Which, from 1.
        line: usize,
    },
    /// Every line fits and the whole does not: lines were swapped.
    #[error("the lines of the recovery sheet do not belong together")]
    Whole,
}

/// The seven lines of a sheet, as they are printed: `ABCD-EFGH-J`.
pub fn recovery_lines(seed: &[u8; 32]) -> Zeroizing<Vec<String>> {
    let mut bytes = Zeroizing::new(seed.to_vec());
    bytes.extend(check(seed));
    let line = |five: &[u8]| {
        let values = values(five);
        let letter =
            |value: &u8| char::from(ALPHABET.get(usize::from(*value)).copied().unwrap_or(b'A'));
        let text: String = values.iter().map(letter).collect();
        let (first, second) = text.split_at_checked(4).unwrap_or((text.as_str(), ""));
        format!("{first}-{second}-{}", letter(&line_check(&values)))
    };
    Zeroizing::new(bytes.chunks(5).map(line).collect())
}

/// Reads a sheet as it was printed or typed: with its heading and line numbers or without; case,
/// blanks, hyphens of any kind and line ends do not matter.
///
/// # Errors
/// [`BadSheet`] names the line.
pub fn read_recovery(text: &str) -> Result<Zeroizing<[u8; 32]>, BadSheet> {
    let mut lines: Vec<Zeroizing<Vec<char>>> = text.lines().filter_map(sheet_line).collect();
    if lines.len() != RECOVERY_LINES {
        // Not line by line: all on one, or broken elsewhere.
        let all = Zeroizing::new(signs(text));
        if all.len() != RECOVERY_LINES * 9 {
            let found = all.len();
            return Err(BadSheet::Length { found });
        }
        lines = all
            .chunks(9)
            .map(|nine| Zeroizing::new(nine.to_vec()))
            .collect();
    }
    let mut bytes = Zeroizing::new(Vec::with_capacity(35));
    for (index, line) in lines.iter().enumerate() {
        let wrong = BadSheet::Line { line: index + 1 };
        let read: Option<Vec<u8>> = line.iter().map(|one| value(*one)).collect();
        let read = Zeroizing::new(read.filter(|read| read.len() == 9).ok_or(wrong)?);
        let (last, values) = read.split_last().ok_or(wrong)?;
        if line_check(values) != *last {
            return Err(wrong);
        }
        bytes.extend(five(values));
    }
    let (seed, rest) = bytes.split_first_chunk::<32>().ok_or(BadSheet::Whole)?;
    if rest == check(seed) {
        Ok(Zeroizing::new(*seed))
    } else {
        Err(BadSheet::Whole)
    }
}

/// Hyphens and dashes as keyboards and word processors write them.
const DASHES: &[char] = &[
    '-', '\u{2010}', '\u{2011}', '\u{2012}', '\u{2013}', '\u{2014}', '\u{2212}', '\u{ad}',
];

/// What of a text could be written on a sheet: no blanks, no dashes, no marks that are not seen.
fn signs(text: &str) -> Vec<char> {
    let unseen = |one: char| matches!(one, '\u{feff}' | '\u{200b}'..='\u{200f}' | '\u{2060}');
    text.chars()
        .filter(|one| !one.is_whitespace() && !DASHES.contains(one) && !unseen(*one))
        .collect()
}

/// The signs of a line that is one of the seven, a few too many or too few among them; `None`
/// for a heading or an empty line. The number before it is taken off.
fn sheet_line(line: &str) -> Option<Zeroizing<Vec<char>>> {
    let mut found = Zeroizing::new(signs(line));
    let line = line.trim_start_matches('\u{feff}').trim_start();
    let mut numbered = false;
    if found.len() != 9 {
        let rest = line.strip_prefix(|one: char| ('1'..='7').contains(&one));
        let rest = rest.filter(|rest| {
            rest.starts_with(|one: char| one.is_whitespace() || matches!(one, '.' | ')' | ':'))
        });
        if let Some(rest) = rest {
            numbered = true;
            let rest = rest.trim_start_matches(['.', ')', ':']);
            found = Zeroizing::new(signs(rest));
        }
    }
    let plain = found.iter().all(|one| one.is_ascii_alphanumeric());
    let marked = numbered || line.contains(DASHES);
    let fits = found.len() == 9 || (marked && (6..=12).contains(&found.len()));
    (plain && fits).then_some(found)
}

fn check(seed: &[u8; 32]) -> [u8; 3] {
    let digest = Sha256::new()
        .chain_update(TAG)
        .chain_update(seed)
        .finalize();
    let mut first = [0; 3];
    first.copy_from_slice(digest.get(..3).unwrap_or(&[0; 3]));
    first
}

/// Five bytes as eight values below 32.
fn values(five: &[u8]) -> Vec<u8> {
    let all = five
        .iter()
        .fold(0_u64, |all, byte| all << 8 | u64::from(*byte));
    let value = |place: u32| u8::try_from(all >> (5 * place) & 31).unwrap_or(0);
    (0..8).rev().map(value).collect()
}

/// Eight values as five bytes.
fn five(values: &[u8]) -> [u8; 5] {
    let all = values
        .iter()
        .fold(0_u64, |all, value| all << 5 | u64::from(*value));
    let [_, _, _, five @ ..] = all.to_be_bytes();
    five
}

/// The check of a line: its values by their places. Two neighbours that were swapped, or
/// one character that was misread, change it.
fn line_check(values: &[u8]) -> u8 {
    let sum: u32 = (1_u32..)
        .zip(values)
        .map(|(place, value)| place * u32::from(*value))
        .sum();
    u8::try_from(sum % 31).unwrap_or(0)
}

fn value(letter: char) -> Option<u8> {
    let letter = letter.to_ascii_uppercase();
    let place = ALPHABET.iter().position(|one| char::from(*one) == letter)?;
    u8::try_from(place).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEED: [u8; 32] = [
        0, 255, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23,
        24, 25, 26, 27, 28, 29, 30,
    ];

    #[test]
    fn a_sheet_reads_back_however_it_was_typed() {
        let lines = recovery_lines(&SEED);
        assert_eq!(lines.len(), RECOVERY_LINES);
        assert!(lines.iter().all(|line| line.len() == 11));
        for typed in [
            lines.join("\n"),
            lines.join(" ").to_lowercase(),
            lines.concat().replace('-', ""),
        ] {
            assert_eq!(*read_recovery(&typed).unwrap(), SEED);
        }
    }

    #[test]
    fn a_sheet_reads_back_as_it_was_printed_and_as_editors_change_it() {
        let lines = recovery_lines(&SEED);
        let printed = |dash: &str, after: &str| {
            let mut text = String::from(
                "Recovery sheet of Grebe Hollow Divers\nWhoever has this sheet can act as the \
                 shop. Lock it away.\n\n",
            );
            for (number, line) in (1..).zip(lines.iter()) {
                let line = line.replace('-', dash);
                text += &format!("  {number}{after}   {line}\n");
            }
            text + "\nTo restore: tallywater setup FOLDER --person NAME --restore FILE\n"
        };
        let plain = printed("-", "");
        for typed in [
            plain.clone(),
            plain.to_lowercase(),
            plain.replace('\n', "\r\n"),
            format!("\u{feff}{plain}"),
            printed("\u{2013}", ""),
            printed("\u{2011}", "."),
            printed(" ", ")"),
            lines.join("\n").replace('-', "\u{2013}"),
            format!("\u{feff}{}", lines.join("\n")),
        ] {
            assert_eq!(*read_recovery(&typed).expect(&typed), SEED);
        }
        // And a line that is too short or too long is the one that is named.
        for (index, line) in lines.iter().enumerate() {
            let wrong = BadSheet::Line { line: index + 1 };
            let short = line.get(..line.len() - 2).unwrap();
            assert_eq!(read_recovery(&plain.replace(line, short)), Err(wrong));
            assert_eq!(
                read_recovery(&plain.replace(line, &format!("{line}A"))),
                Err(wrong)
            );
        }
    }

    #[test]
    fn the_data_characters_are_base32_of_the_standard() {
        // RFC 4648, section 10: BASE32("fooba") = "MZXW6YTB".
        let text: String = values(b"fooba")
            .into_iter()
            .map(|value| char::from(ALPHABET[usize::from(value)]))
            .collect();
        assert_eq!(text, "MZXW6YTB");
        assert_eq!(&five(&values(b"fooba")), b"fooba");
    }

    #[test]
    fn a_mistyped_line_is_named() {
        let lines = recovery_lines(&SEED);
        for (index, line) in lines.iter().enumerate() {
            let first = line.chars().next().unwrap();
            let other = if first == 'C' { 'D' } else { 'C' };
            let mut typed: Vec<String> = lines.to_vec();
            typed[index] = line.replacen(first, &other.to_string(), 1);
            let wrong = BadSheet::Line { line: index + 1 };
            assert_eq!(read_recovery(&typed.join("\n")), Err(wrong));
            typed[index] = line.replacen(first, "0", 1);
            assert_eq!(read_recovery(&typed.join("\n")), Err(wrong));
        }
    }

    #[test]
    fn swapped_lines_and_a_missing_one_are_told_apart() {
        let mut lines = recovery_lines(&SEED).to_vec();
        lines.swap(0, 1);
        assert_eq!(read_recovery(&lines.join(" ")), Err(BadSheet::Whole));
        lines.pop();
        let found = BadSheet::Length { found: 54 };
        assert_eq!(read_recovery(&lines.join(" ")), Err(found));
        assert_eq!(read_recovery(""), Err(BadSheet::Length { found: 0 }));
    }
}
