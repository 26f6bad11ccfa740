//! From bytes to records: encoding and delimiter.

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

use super::SheetFault;

/// What a person may say of a file where looking at it is not enough.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Hints<'a> {
    /// The encoding, by any of its usual names: `windows-1251`, `shift_jis`.
    pub encoding: Option<&'a str>,
    /// What stands between the fields.
    pub delimiter: Option<char>,
}

/// A file as text.
pub(in crate::paper) struct Text {
    pub(in crate::paper) text: String,
    /// The encoding it was read in.
    pub(super) encoding: &'static str,
}

/// Decodes. What carries a byte order mark says what it is; what is valid UTF-8 is that;
/// what has a nought in every other byte is UTF-16; all else is taken for Windows-1252, as
/// office programs of western Europe write it, unless a person says otherwise: which of the
/// one-byte encodings it is cannot be seen from the bytes.
///
/// What has no meaning in the encoding becomes U+FFFD, which the rows are then asked about.
pub(in crate::paper) fn decode(bytes: &[u8], hints: Hints<'_>) -> Result<Text, SheetFault> {
    let encoding = match hints.encoding {
        Some(asked) => {
            Encoding::for_label(asked.as_bytes()).ok_or_else(|| SheetFault::UnknownEncoding {
                asked: asked.chars().take(32).collect(),
            })?
        }
        None => guess(bytes),
    };
    let (text, encoding, _) = encoding.decode(bytes);
    if text.contains('\0') {
        return Err(SheetFault::NotText);
    }
    Ok(Text {
        text: text.into_owned(),
        encoding: encoding.name(),
    })
}

fn guess(bytes: &[u8]) -> &'static Encoding {
    if let Some((encoding, _)) = Encoding::for_bom(bytes) {
        return encoding;
    }
    if std::str::from_utf8(bytes).is_ok() && !bytes.contains(&0) {
        return UTF_8;
    }
    let start: Vec<u8> = bytes.iter().copied().take(4_096).collect();
    let noughts = |from: usize| {
        start
            .iter()
            .skip(from)
            .step_by(2)
            .filter(|b| **b == 0)
            .count()
    };
    let (even, odd, half) = (noughts(0), noughts(1), start.len() / 2);
    if odd > half * 2 / 3 && even == 0 {
        UTF_16LE
    } else if even > half * 2 / 3 && odd == 0 {
        UTF_16BE
    } else {
        WINDOWS_1252
    }
}

/// What stands between the fields: of the usual four the one that cuts the first lines into
/// the most fields and into as many each time.
pub(super) fn delimiter(text: &str, hints: Hints<'_>) -> u8 {
    if let Some(said) = hints.delimiter.and_then(|said| u8::try_from(said).ok()) {
        return said;
    }
    // Some spreadsheets say it themselves in the first line.
    if let Some(said) = text
        .strip_prefix("sep=")
        .and_then(|rest| rest.bytes().next())
    {
        return said;
    }
    [b',', b';', b'\t', b'|']
        .into_iter()
        .max_by_key(|delimiter| evenness(text, *delimiter))
        .unwrap_or(b',')
}

/// How many lines have as many fields as the first, and how many fields that is.
fn evenness(text: &str, delimiter: u8) -> (bool, usize, usize) {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let lengths: Vec<usize> = reader
        .records()
        .take(20)
        .filter_map(Result::ok)
        .map(|record| record.len())
        .collect();
    let first = lengths.first().copied().unwrap_or(0);
    let alike = lengths.iter().filter(|length| **length == first).count();
    (first > 1, alike, first)
}
