//! Words: every word that is printed, by name. The English stands beside this file, a file a
//! subject; the other languages come from the catalogue (`crate::words`), and a test fails where
//! one is missing.

mod incident;
mod kit;
mod page;
mod record;
mod season;
mod session;
mod trade;

use std::fmt;
use std::sync::LazyLock;

pub use crate::words::Language;
pub(crate) use crate::words::fill;
use incident::incident_words;
use kit::kit_words;
use page::page_words;
use record::record_words;
use season::season_words;
use session::session_words;
use trade::trade_words;

impl Language {
    /// Its words on paper.
    pub(crate) fn words(self) -> &'static Words {
        match self {
            Self::English => &ENGLISH,
            Self::German => &GERMAN,
        }
    }
}

macro_rules! context {
    () => {
        ""
    };
    ($context:literal) => {
        $context
    };
}

macro_rules! words {
    ([] $($name:ident: $([$context:literal])? $english:literal;)+) => {
        /// The words of one language. Parts in braces are filled in.
        pub(crate) struct Words {
            /// RFC 5646 tag.
            pub(crate) tag: &'static str,
            $(pub(crate) $name: &'static str,)+
        }

        static ENGLISH: Words = Words { tag: "en", $($name: $english,)+ };
        static GERMAN: LazyLock<Words> = LazyLock::new(|| Words {
            tag: Language::German.tag(),
            $($name: Language::German
                .said(context!($($context)?), $english)
                .unwrap_or($english),)+
        });

        #[cfg(test)]
        const TABLE: &[(&str, &str)] = &[$((context!($($context)?), $english),)+];
    };
}

impl fmt::Debug for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Words({})", self.tag)
    }
}

// Each subject adds its words to those that came before and hands all on to the next; the last
// makes the one table of them.
trade_words! { [record_words session_words incident_words kit_words page_words season_words words] }

#[cfg(test)]
mod tests;
