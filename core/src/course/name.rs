//! Names and lines of text as people type them: made safe to keep, to show and to find.
//!
//! What cannot be seen must not make two names of one, hide a name, or turn what stands beside it
//! around. Control characters, direction marks and lone zero-width characters are taken out, and
//! letters are composed (Unicode Standard Annex 15, NFC), so that an accent typed apart is the one
//! that is searched for. Which characters these are: Unicode Standard Annex 9, table of explicit
//! formatting characters; Unicode Standard, sections 23.1 and 23.2.

use std::borrow::Cow;

use icu_normalizer::{ComposingNormalizerBorrowed, DecomposingNormalizerBorrowed};

/// Characters that change the direction of what stands beside them.
const DIRECTION: [char; 12] = [
    '\u{61c}', '\u{200e}', '\u{200f}', '\u{202a}', '\u{202b}', '\u{202c}', '\u{202d}', '\u{202e}',
    '\u{2066}', '\u{2067}', '\u{2068}', '\u{2069}',
];
/// Characters with no width of their own. The two joiners have a meaning between letters of some
/// scripts and stay there.
const ZERO_WIDTH: [char; 8] = [
    '\u{ad}', '\u{200b}', '\u{200c}', '\u{200d}', '\u{2060}', '\u{180e}', '\u{feff}', '\u{34f}',
];
const JOINERS: [char; 2] = ['\u{200c}', '\u{200d}'];

/// A line as it is kept: composed, without what cannot be seen, one space where there were
/// several, none at its ends.
pub fn clean_line(text: &str) -> String {
    let seen: String = text
        .chars()
        .filter_map(|c| match c {
            c if c.is_whitespace() || c.is_control() => Some(' '),
            c if DIRECTION.contains(&c) => None,
            c if ZERO_WIDTH.contains(&c) && !JOINERS.contains(&c) => None,
            c => Some(c),
        })
        .collect();
    let words = seen
        .split(' ')
        .map(|word| word.trim_matches(JOINERS))
        .filter(|word| !word.is_empty());
    let line = words.collect::<Vec<_>>().join(" ");
    composed(&line).into_owned()
}

/// The text composed: an accent that was typed after its letter becomes part of it.
pub fn composed(text: &str) -> Cow<'_, str> {
    ComposingNormalizerBorrowed::new_nfc().normalize(text)
}

/// Whether there is nothing to be seen.
pub fn is_blank(text: &str) -> bool {
    let hidden = |c: char| {
        c.is_whitespace() || c.is_control() || DIRECTION.contains(&c) || ZERO_WIDTH.contains(&c)
    };
    text.chars().all(hidden)
}

/// A line as it is shown, whoever wrote it: what came from elsewhere was cleaned by nobody.
pub fn shown_line(text: &str) -> Cow<'_, str> {
    let hidden = |c: char| c.is_control() || DIRECTION.contains(&c);
    if text.contains(hidden) || is_blank(text) {
        Cow::Owned(clean_line(text))
    } else {
        Cow::Borrowed(text)
    }
}

/// A text as it is searched for and sorted by: small letters, accents dropped, ligatures and
/// letters with a stroke as their plain neighbours.
pub fn folded(text: &str) -> String {
    let apart = DecomposingNormalizerBorrowed::new_nfkd();
    let small: String = text.chars().flat_map(char::to_lowercase).collect();
    let mut folded = String::new();
    for c in apart.normalize(&small).chars() {
        match c {
            c if is_accent(c) || DIRECTION.contains(&c) || ZERO_WIDTH.contains(&c) => {}
            'æ' => folded.push_str("ae"),
            'œ' => folded.push_str("oe"),
            'ß' => folded.push_str("ss"),
            'þ' => folded.push_str("th"),
            'ø' => folded.push('o'),
            'ł' => folded.push('l'),
            'đ' | 'ð' => folded.push('d'),
            'ħ' => folded.push('h'),
            'ı' => folded.push('i'),
            'ŧ' => folded.push('t'),
            c => folded.push(c),
        }
    }
    folded
}

/// The marks that stand on, under and in letters: the blocks of combining marks, and the points
/// of Hebrew and Arabic.
const fn is_accent(c: char) -> bool {
    matches!(c,
        '\u{300}'..='\u{36f}' | '\u{591}'..='\u{5bd}' | '\u{5bf}' | '\u{5c1}' | '\u{5c2}'
        | '\u{64b}'..='\u{65f}' | '\u{670}' | '\u{1ab0}'..='\u{1aff}' | '\u{1dc0}'..='\u{1dff}'
        | '\u{20d0}'..='\u{20ff}' | '\u{fe20}'..='\u{fe2f}')
}

/// Whether a name is found by what was typed: each word of it begins a word of the name, in any
/// order, with or without accents. "quatre emi" finds "Émile Quatrefaire". Nothing finds all.
pub fn finds(typed: &str, name: &str) -> bool {
    let (typed, name) = (folded(typed), folded(name));
    let parts = |text: &str| -> Vec<String> {
        let words = text.split(|c: char| !c.is_alphanumeric());
        words
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect()
    };
    let words = parts(&name);
    let begins = |part: &String| words.iter().any(|word| word.starts_with(part.as_str()));
    parts(&typed).iter().all(begins) || name.starts_with(typed.trim())
}

/// Whether two names may be one person's: the same words, whatever their order, case and accents,
/// or all of one's words among the other's.
pub fn one_name(one: &str, other: &str) -> bool {
    let words = |name: &str| -> std::collections::BTreeSet<String> {
        let name = folded(name);
        let words = name.split(|c: char| !c.is_alphanumeric());
        words
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect()
    };
    let (one, other) = (words(one), words(other));
    one.is_subset(&other) || other.is_subset(&one)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_seen_does_not_get_into_a_name() {
        for (typed, kept) in [
            ("E\u{301}mile  Quatrefaire ", "Émile Quatrefaire"),
            ("Mia\u{202e}dnarB", "MiadnarB"),
            ("Bo\tLi\r\n", "Bo Li"),
            ("Bo\u{0}Li", "Bo Li"),
            ("\u{200b}Bo\u{200b} Li\u{feff}", "Bo Li"),
            ("\u{200b}\u{200d}\u{2066}", ""),
            // A joiner between letters of Persian has a meaning.
            ("می\u{200c}نا", "می\u{200c}نا"),
            ("שירה לב־ים", "שירה לב־ים"),
        ] {
            assert_eq!(clean_line(typed), kept, "{typed:?}");
            assert_eq!(clean_line(kept), kept);
        }
        assert!(is_blank("\u{200b}\u{2060} ") && is_blank("") && !is_blank("Bo"));
        assert_eq!(shown_line("\u{202e}Mia"), "Mia");
        assert!(matches!(shown_line("Émile"), Cow::Borrowed(_)));
    }

    #[test]
    fn a_name_is_found_without_accents_and_by_surname() {
        let found = [
            ("emile", "Émile Quatrefaire"),
            ("E\u{301}mile", "Émile Quatrefaire"),
            ("quatre", "Émile Quatrefaire"),
            ("quatrefaire e", "Émile Quatrefaire"),
            ("ubelhor", "Ignatz Übelhör"),
            ("ÜBELHÖR", "Ignatz Übelhör"),
            ("sandsdottir", "Þóra Sandsdóttir"),
            ("thora", "Þóra Sandsdóttir"),
            ("wrzosowa", "Łucja Wrzosowa"),
            ("lucja", "Łucja Wrzosowa"),
            ("ostergard", "Odile Färber-Østergård"),
            ("duong", "Lê Thị Ánh Dương"),
            ("strasse", "Anna Straße"),
            ("παπαδακη", "Ἑλένη Παπαδάκη"),
            ("黒潮", "黒潮 美波"),
            ("", "Bo Li"),
        ];
        for (typed, name) in found {
            assert!(finds(typed, name), "{typed} in {name}: {}", folded(name));
        }
        assert!(!finds("mile", "Émile Quatrefaire"));
        assert!(!finds("emile brandvoll", "Émile Quatrefaire"));
    }

    #[test]
    fn one_name_is_told_from_another() {
        assert!(one_name("Quatrefaire, Emile", "Émile Quatrefaire"));
        assert!(one_name("Ottilie Maria Brandvoll", "Ottilie Brandvoll"));
        assert!(!one_name("Ottilie Brandvoll", "Ottilie Sand"));
    }
}
