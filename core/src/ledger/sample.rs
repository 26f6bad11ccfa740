//! Sample: entries for the tests of this room and of its neighbours.

use crate::course::{EntryId, LedgerId};
use crate::ledger::Ledger;
use crate::trust::SecretKey;

/// An entry that says it was written in this second, signed by this device.
pub(crate) fn sealed(
    ledger: &LedgerId,
    device: u8,
    second: u128,
    text: &str,
) -> (EntryId, Vec<u8>) {
    let (minute, second) = (second / 60, second % 60);
    let payload = format!(
        r#"{{"v":9,"kind":"later","at":"2026-06-02T10:{minute:02}:{second:02}Z","text":"{text}"}}"#
    );
    SecretKey::from_seed(&[device; 32]).seal(ledger, None, payload.as_bytes())
}

/// Adds such an entry.
pub(crate) fn add(ledger: &mut Ledger, second: u128, text: &str) -> EntryId {
    let (id, sealed) = sealed(ledger.id(), 1, second, text);
    ledger.add(&sealed).unwrap();
    id
}
