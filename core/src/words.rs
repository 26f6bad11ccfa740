//! Words: the one catalogue of what a person reads, for screen, paper and command line.
//!
//! English is the key, `core/lang` holds the other languages as gettext catalogues (a
//! published format). The screens' compiler reads the same file. A word is translated once;
//! where one English word means two things, a context tells them apart.

use std::borrow::Cow;

/// The languages that a person can read everything in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "PaperLanguage")
)]
pub enum Language {
    /// English.
    #[default]
    English,
    /// German.
    German,
}

impl Language {
    /// Every language.
    pub const ALL: &'static [Self] = &[Self::English, Self::German];

    /// Its tag by RFC 5646.
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }

    /// The language that a tag or a POSIX locale names: `de`, `de-AT`, `de_DE.UTF-8`. `None`
    /// for one that nothing is written in.
    pub fn of_tag(tag: &str) -> Option<Self> {
        let first = tag.split(['-', '_', '.', '@']).next().unwrap_or_default();
        (Self::ALL.iter().copied()).find(|language| language.tag().eq_ignore_ascii_case(first))
    }

    /// What this text is in the language; the English itself where the catalogue lacks it,
    /// which the tests of screen, paper and command line do not let happen.
    pub fn say(self, english: &str) -> Cow<'_, str> {
        self.said("", english)
            .map_or_else(|| Cow::Owned(english.to_owned()), Cow::Borrowed)
    }

    /// The text for one or for many, with the number put in for `{n}`.
    pub fn say_many(self, n: u64, one: &str, many: &str) -> String {
        self.say(if n == 1 { one } else { many })
            .replace("{n}", &n.to_string())
    }

    /// The catalogue's text of a context; `None` for English and for a text it lacks.
    pub(crate) fn said(self, context: &str, english: &str) -> Option<&'static str> {
        match self {
            Self::English => None,
            Self::German => GERMAN
                .binary_search_by(|(key, _)| key.cmp(&(context, english)))
                .ok()
                .and_then(|at| GERMAN.get(at))
                .map(|(_, said)| *said),
        }
    }
}

/// Context and English text to German, in order.
static GERMAN: &[((&str, &str), &str)] = include!(concat!(env!("OUT_DIR"), "/german.rs"));

/// Fills in the parts in braces, each once: what is filled in is not looked at again.
pub fn fill(pattern: &str, parts: &[(&str, &str)]) -> String {
    let mut text = String::with_capacity(pattern.len());
    let mut rest = pattern;
    while let Some((before, after)) = rest.split_once('{') {
        text.push_str(before);
        let filled = after.split_once('}').and_then(|(name, behind)| {
            let part = parts.iter().find(|(known, _)| *known == name)?;
            Some((part.1, behind))
        });
        if let Some((part, behind)) = filled {
            text.push_str(part);
            rest = behind;
        } else {
            text.push('{');
            rest = after;
        }
    }
    text.push_str(rest);
    text
}

#[cfg(test)]
mod tests {
    use std::collections::{BTreeMap, BTreeSet};

    use super::*;

    fn parts(text: &str) -> BTreeSet<&str> {
        text.split('{')
            .skip(1)
            .filter_map(|rest| rest.split_once('}').map(|(name, _)| name))
            .collect()
    }

    #[test]
    fn a_word_is_found_and_a_missing_one_stays_english() {
        assert_eq!(Language::German.say("Marks differ"), "Urteile verschieden");
        assert_eq!(Language::English.say("Marks differ"), "Marks differ");
        assert_eq!(Language::German.say("Stowage"), "Stowage");
        assert_eq!(
            Language::German.say_many(1, "{n} missing", "{n} missing"),
            "1 fehlt"
        );
    }

    #[test]
    fn the_same_places_are_filled_in_in_both_languages() {
        for ((_, english), said) in GERMAN {
            assert_eq!(parts(english), parts(said), "{english}");
        }
    }

    #[test]
    fn a_term_is_translated_once_whatever_its_case() {
        let mut terms: BTreeMap<(&str, String), BTreeSet<String>> = BTreeMap::new();
        for ((context, english), said) in GERMAN {
            let term = english.to_lowercase().replace('’', "'");
            let said = said.to_lowercase();
            terms.entry((context, term)).or_default().insert(said);
        }
        let twice: Vec<_> = terms.iter().filter(|(_, said)| said.len() > 1).collect();
        assert!(twice.is_empty(), "{twice:#?}");
    }

    #[test]
    fn a_locale_names_its_language() {
        assert_eq!(Language::of_tag("de_AT.UTF-8"), Some(Language::German));
        assert_eq!(Language::of_tag("EN"), Some(Language::English));
        assert_eq!(Language::of_tag("C.UTF-8"), None);
    }

    #[test]
    fn parts_are_filled_in_once() {
        assert_eq!(fill("{a} of {b}", &[("a", "{b}"), ("b", "5")]), "{b} of 5");
        assert_eq!(fill("{x} {", &[("a", "1")]), "{x} {");
    }
}
