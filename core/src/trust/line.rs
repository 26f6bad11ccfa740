//! Line: an entry as it stands in a ledger, with what its signature says.

use std::sync::Arc;

use chrono::{DateTime, FixedOffset};

use crate::course::{EntryId, LedgerId};
use crate::entry::{DeviceKey, Entry, Envelope, FormatError, Reading, read};

use super::{Checks, is_signed};
use crate::hands;

/// So many entries at least are given to one core.
const A_ROW: usize = 32;

/// One line of a ledger. Nothing in it is believed beyond what the fields say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The key that the envelope names; `None` when the bytes are no envelope of ours.
    pub key: Option<DeviceKey>,
    /// The entry that this key says it wrote here before.
    pub prev: Option<EntryId>,
    /// Whether that key signed it.
    pub signed: bool,
    /// What it says.
    pub reading: Reading,
}

impl Line {
    /// Reads bytes and checks the signature. That the bytes are what the id names is for
    /// the ledger to have seen: it takes nothing else.
    pub fn check(ledger: &LedgerId, id: EntryId, bytes: &[u8]) -> Self {
        Self::of(id, bytes, |envelope| is_signed(ledger, envelope))
    }

    /// The same among others of the ledger, one after the other.
    pub(crate) fn check_among(checks: &mut Checks<'_>, id: EntryId, bytes: &[u8]) -> Self {
        Self::of(id, bytes, |envelope| checks.is_signed(envelope))
    }

    /// Reads many, each as [`Line::check`] does, shared out over the cores.
    pub fn check_all(ledger: &LedgerId, entries: &[(EntryId, &[u8])]) -> Vec<Self> {
        hands::share(entries, A_ROW, |row| {
            let mut checks = Checks::of(ledger);
            let lines = row.iter();
            lines
                .map(|(id, bytes)| Self::check_among(&mut checks, *id, bytes))
                .collect()
        })
    }

    /// Reads bytes whose signature was checked when they came in, and held.
    pub fn checked_before(id: EntryId, bytes: &[u8]) -> Self {
        Self::of(id, bytes, |_| true)
    }

    fn of(id: EntryId, bytes: &[u8], signed: impl FnOnce(&Envelope<'_>) -> bool) -> Self {
        let unread = |reading| Self {
            key: None,
            prev: None,
            signed: false,
            reading,
        };
        match Envelope::open(bytes) {
            Ok(envelope) => Self {
                key: Some(envelope.key),
                prev: envelope.prev,
                signed: signed(&envelope),
                reading: read(id, envelope.payload),
            },
            Err(FormatError::Newer { found, .. }) => unread(Reading::Newer {
                kind: format!("envelope {found}"),
                at: None,
            }),
            Err(FormatError::Malformed { .. } | FormatError::Older { .. }) => {
                unread(Reading::Malformed)
            }
        }
    }

    /// The entry, if it is of a kind we know.
    pub fn entry(&self) -> Option<&Arc<Entry>> {
        match &self.reading {
            Reading::Known(entry) => Some(entry),
            Reading::Newer { .. } | Reading::Malformed => None,
        }
    }

    /// Where it stands in a list: by its writer's clock, and what has none at the end. It
    /// decides nothing.
    pub fn place(&self) -> (bool, Option<DateTime<FixedOffset>>) {
        let at = match &self.reading {
            Reading::Known(entry) => Some(entry.at),
            Reading::Newer { at, .. } => *at,
            Reading::Malformed => None,
        };
        (at.is_none(), at)
    }
}
