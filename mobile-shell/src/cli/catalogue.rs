//! Catalogue: what the command line says, in the language that was asked for.
//!
//! The English text is the key. German comes from two gettext catalogues: the screens' own
//! first, so that a term is translated once, then `tallywater-commands.po` for what only
//! commands say. A test reads these sources and fails for a text that has no German.

use std::cell::Cell;
use std::collections::HashMap;
use std::sync::OnceLock;

use clap::ValueEnum;
use tallywater_bindings::{Fault, PaperLanguage, Tallywater};

const SCREENS: &str = include_str!("../../../core/lang/de/LC_MESSAGES/tallywater-screens.po");
const COMMANDS: &str = include_str!("../../../core/lang/de/LC_MESSAGES/tallywater-commands.po");

/// The languages that the program speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum, serde::Serialize, serde::Deserialize)]
pub(super) enum Language {
    /// English.
    En,
    /// German.
    De,
}

thread_local! {
    static SPEAKS: Cell<Language> = const { Cell::new(Language::En) };
}

impl Language {
    /// The language of the account: what POSIX says of the first of these that is set.
    pub(super) fn of_account() -> Self {
        let set = ["LC_ALL", "LC_MESSAGES", "LANG"]
            .into_iter()
            .filter_map(std::env::var_os)
            .find(|value| !value.is_empty());
        match set {
            Some(value) if value.to_string_lossy().starts_with("de") => Self::De,
            _ => Self::En,
        }
    }

    /// As a device keeps it.
    pub(super) const fn code(self) -> &'static str {
        match self {
            Self::En => "en",
            Self::De => "de",
        }
    }

    /// Has a device that begins here read in it from now on, as the first screen would.
    pub(super) fn keep_on(self, desk: &Tallywater) -> Result<(), Fault> {
        desk.keep_preference("language".to_owned(), self.code().to_owned())
    }

    /// The language that this thread speaks.
    pub(super) fn spoken() -> Self {
        SPEAKS.get()
    }

    /// Speaks it on this thread from now on.
    pub(super) fn speak(self) {
        SPEAKS.set(self);
    }

    /// The language as papers have it.
    pub(super) const fn of_paper(self) -> PaperLanguage {
        match self {
            Self::En => PaperLanguage::English,
            Self::De => PaperLanguage::German,
        }
    }
}

/// A text that the program says, in the language of this thread; itself where there is none.
pub(super) fn t(english: &str) -> &str {
    match Language::spoken() {
        Language::En => english,
        Language::De => german().get(english).map_or(english, String::as_str),
    }
}

/// The same, with its places filled.
pub(super) fn fill(english: &str, parts: &[(&str, String)]) -> String {
    let mut text = t(english).to_owned();
    for (name, part) in parts {
        text = text.replace(&format!("{{{name}}}"), part);
    }
    text
}

/// A text with its places filled: `tr!("students: {count}", count = 8)`.
macro_rules! tr {
    ($english:literal) => { $crate::cli::catalogue::t($english).to_owned() };
    ($english:literal, $($name:ident = $value:expr),+ $(,)?) => {
        $crate::cli::catalogue::fill($english, &[$((stringify!($name), $value.to_string())),+])
    };
}
pub(super) use tr;

fn german() -> &'static HashMap<String, String> {
    static GERMAN: OnceLock<HashMap<String, String>> = OnceLock::new();
    GERMAN.get_or_init(|| {
        let mut all: HashMap<String, String> = read(COMMANDS).collect();
        all.extend(read(SCREENS));
        all
    })
}

/// The entries of a catalogue that have one text and no context; of those with a plural, none.
fn read(catalogue: &str) -> impl Iterator<Item = (String, String)> + '_ {
    catalogue.split("\n\n").filter_map(|entry| {
        let (mut key, mut says, mut other) = (String::new(), String::new(), String::new());
        let mut into = &mut other;
        for line in entry.lines() {
            let quoted = if let Some(rest) = line.strip_prefix("msgid ") {
                into = &mut key;
                rest
            } else if let Some(rest) = line.strip_prefix("msgstr ") {
                into = &mut says;
                rest
            } else if line.starts_with("msgctxt ") || line.starts_with("msgid_plural ") {
                return None;
            } else {
                line
            };
            if let Some(text) = quoted.strip_prefix('"').and_then(|it| it.strip_suffix('"')) {
                into.push_str(&plain(text));
            }
        }
        (!key.is_empty() && !says.is_empty()).then_some((key, says))
    })
}

/// A quoted text without its backslashes.
fn plain(quoted: &str) -> String {
    let mut text = String::with_capacity(quoted.len());
    let mut letters = quoted.chars();
    while let Some(letter) = letters.next() {
        match letter {
            '\\' => match letters.next() {
                Some('n') => text.push('\n'),
                Some('t') => text.push('\t'),
                Some(other) => text.push(other),
                None => {}
            },
            // For narrow columns on the screens alone.
            '\u{ad}' => {}
            other => text.push(other),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::{Language, fill, read, t};

    #[test]
    fn an_entry_is_read_with_its_lines_joined_and_its_signs_plain() {
        let text = "# note\nmsgid \"a \\\"b\\\"\"\nmsgstr \"\"\n\"eins \"\n\"zwei\\n\"\n\n\
                    msgid \"{n} x\"\nmsgid_plural \"{n} xs\"\nmsgstr[0] \"y\"\n";
        let all: Vec<_> = read(text).collect();
        assert_eq!(all, [("a \"b\"".to_owned(), "eins zwei\n".to_owned())]);
    }

    #[test]
    fn german_is_spoken_where_it_was_asked_for_and_places_are_filled() {
        assert_eq!(t("Met"), "Met");
        Language::De.speak();
        assert_ne!(t("Not yet"), "Not yet");
        assert_eq!(
            t("a text that nobody translated"),
            "a text that nobody translated"
        );
        assert_eq!(fill("nothing {here}", &[("here", "1".into())]), "nothing 1");
    }
}
