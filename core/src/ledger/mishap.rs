//! Mishap: what can go wrong with one ledger, while every other goes on.

use super::{Irregular, LedgerError};
use crate::course::EntryId;

/// What can go wrong with one ledger, while every other goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mishap {
    /// A device tried to put something else in an entry's place.
    Overwritten,
    /// A device tried to delete an entry.
    Deleted,
    /// A device tried to write something that is no entry.
    Foreign,
    /// Two devices' histories of a ledger do not go together: it is exchanged entry by
    /// entry.
    Apart,
    /// What this device had stored of a ledger could not be read: it was set aside.
    Unreadable,
    /// A device wrote more than any person does in a day; the rest was not taken.
    TooMuch,
    /// Entries that this device had stored are not there any more.
    Lost,
}

impl Mishap {
    /// Every sort.
    pub const ALL: [Self; 7] = [
        Self::Overwritten,
        Self::Deleted,
        Self::Foreign,
        Self::Apart,
        Self::Unreadable,
        Self::TooMuch,
        Self::Lost,
    ];

    /// Whether somebody has to look at it. Histories that do not go together are exchanged
    /// entry by entry and are nobody's fault who has one of them.
    pub const fn calls(self) -> bool {
        !matches!(self, Self::Apart)
    }

    /// The word it is stored under.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Overwritten => "overwritten",
            Self::Deleted => "deleted",
            Self::Foreign => "foreign",
            Self::Apart => "apart",
            Self::Unreadable => "unreadable",
            Self::TooMuch => "too_much",
            Self::Lost => "lost",
        }
    }

    /// The sort that is stored under a word; `None` for one of a newer version.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|one| one.word() == word)
    }
}

impl Irregular {
    /// What it is to tell, and of which entry.
    pub const fn mishap(self) -> (Mishap, Option<EntryId>) {
        match self {
            Self::Overwritten(entry) => (Mishap::Overwritten, Some(entry)),
            Self::Deleted(entry) => (Mishap::Deleted, Some(entry)),
            Self::Foreign => (Mishap::Foreign, None),
        }
    }
}

impl LedgerError {
    /// What a refusal of a peer's history is to tell, and of which entry.
    pub const fn mishap(&self) -> (Mishap, Option<EntryId>) {
        match self {
            Self::Irregular(what) => what.mishap(),
            Self::OtherLedger | Self::Taken { .. } | Self::Format(_) | Self::Engine { .. } => {
                (Mishap::Apart, None)
            }
        }
    }
}
