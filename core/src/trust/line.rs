//! Line: an entry as it stands in a ledger, with what its signature says.

use std::sync::Arc;

use crate::course::{EntryId, LedgerId};
use crate::entry::{DeviceKey, Entry, Envelope, FormatError, Reading, read};

use super::is_signed;

/// One line of a ledger. Nothing in it is believed beyond what the fields say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The key that the envelope names; `None` when the bytes are no envelope of ours.
    pub key: Option<DeviceKey>,
    /// Whether that key signed it.
    pub signed: bool,
    /// What it says.
    pub reading: Reading,
}

impl Line {
    /// Reads bytes and checks the signature.
    pub fn check(ledger: &LedgerId, id: EntryId, bytes: &[u8]) -> Self {
        Self::of(id, bytes, |envelope| is_signed(ledger, &id, envelope))
    }

    /// Reads bytes whose signature was checked when they came in, and held.
    pub fn checked_before(id: EntryId, bytes: &[u8]) -> Self {
        Self::of(id, bytes, |_| true)
    }

    fn of(id: EntryId, bytes: &[u8], signed: impl FnOnce(&Envelope<'_>) -> bool) -> Self {
        match Envelope::open(bytes) {
            Ok(envelope) => Self {
                key: Some(envelope.key),
                signed: signed(&envelope),
                reading: read(id, envelope.payload),
            },
            Err(FormatError::Newer { found, .. }) => {
                let kind = format!("envelope {found}");
                Self {
                    key: None,
                    signed: false,
                    reading: Reading::Newer { kind },
                }
            }
            Err(FormatError::Malformed { .. }) => Self {
                key: None,
                signed: false,
                reading: Reading::Malformed,
            },
        }
    }

    /// The entry, if it is of a kind we know.
    pub fn entry(&self) -> Option<&Arc<Entry>> {
        match &self.reading {
            Reading::Known(entry) => Some(entry),
            Reading::Newer { .. } | Reading::Malformed => None,
        }
    }
}
