//! Irregular: what a ledger's change log holds that no honest device writes.

use std::collections::{BTreeMap, BTreeSet};

use automerge::legacy::{Key, ObjectId, OpType};
use automerge::{Automerge, Change, ObjId, ScalarValue};

use super::LedgerError;
use super::guard::guarded;
use crate::course::{EntryId, LedgerId};
use crate::trust::Line;

/// Something in the change log that is no new entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Irregular {
    /// An entry's key was written again with other bytes; the first valid value stands.
    Overwritten(EntryId),
    /// An entry's key was deleted; the entry stands.
    Deleted(EntryId),
    /// Something else was written into the document, so many times.
    Foreign,
}

/// What one change does, as far as a ledger is concerned.
pub(super) enum Deed {
    /// It adds one entry and does nothing else.
    Adds(EntryId, Vec<u8>),
    /// It is the first change.
    Begins,
    /// It does something else.
    Other,
}

/// Reads one change. Runs the engine's decoder, so call it inside [`guarded`].
pub(super) fn deed(change: &Change, entries: &ObjId) -> Deed {
    if change.deps().is_empty() {
        return Deed::Begins;
    }
    let expanded = change.decode();
    match expanded.operations.as_slice() {
        [op] if op.pred.is_empty() && !op.insert && is_entries(&op.obj, entries) => {
            match (&op.action, &op.key) {
                (OpType::Put(ScalarValue::Bytes(bytes)), Key::Map(key)) => match key.parse() {
                    Ok(id) => Deed::Adds(id, bytes.clone()),
                    Err(_) => Deed::Other,
                },
                _ => Deed::Other,
            }
        }
        _ => Deed::Other,
    }
}

fn is_entries(object: &ObjectId, entries: &ObjId) -> bool {
    match (object, entries) {
        (ObjectId::Id(found), ObjId::Id(counter, actor, _)) => {
            found.counter() == *counter && found.actor() == actor
        }
        _ => false,
    }
}

/// The whole change log read from its beginning: the slow, thorough way, taken only when
/// something irregular is there.
///
/// For each key the first valid value stands: among all values ever written to it, those
/// whose signature holds; of these the one with the lowest operation counter, which is
/// the earliest in causal order; of concurrent ones the one with the lowest change hash.
/// So every device that has the same changes sees the same lines.
pub(super) fn read_log(
    id: &LedgerId,
    document: &Automerge,
    entries: &ObjId,
) -> Result<(BTreeMap<EntryId, Line>, BTreeSet<Irregular>), LedgerError> {
    struct Candidate {
        rank: (bool, u64, [u8; 32]),
        bytes: Vec<u8>,
    }
    let mut candidates: BTreeMap<EntryId, Vec<Candidate>> = BTreeMap::new();
    let mut irregular = BTreeSet::new();
    guarded("read the change log", || {
        for change in document.get_changes(&[]) {
            let first = change.deps().is_empty();
            let start = change.start_op().get();
            for (counter, op) in (start..).zip(change.decode().operations) {
                if first {
                    continue;
                }
                let key = match &op.key {
                    Key::Map(key) if is_entries(&op.obj, entries) => key.parse::<EntryId>().ok(),
                    Key::Map(_) | Key::Seq(_) => None,
                };
                match (key, op.action) {
                    (Some(key), OpType::Put(ScalarValue::Bytes(bytes))) => {
                        let signed = Line::check(id, key, &bytes).signed;
                        let rank = (!signed, counter, change.hash().0);
                        candidates
                            .entry(key)
                            .or_default()
                            .push(Candidate { rank, bytes });
                    }
                    (Some(key), OpType::Delete) => {
                        irregular.insert(Irregular::Deleted(key));
                    }
                    _ => {
                        irregular.insert(Irregular::Foreign);
                    }
                }
            }
        }
        Ok::<_, LedgerError>(())
    })?;
    let mut lines = BTreeMap::new();
    for (key, mut found) in candidates {
        found.sort_by(|a, b| a.rank.cmp(&b.rank));
        if found
            .windows(2)
            .any(|pair| matches!(pair, [a, b] if a.bytes != b.bytes))
        {
            irregular.insert(Irregular::Overwritten(key));
        }
        if let Some(first) = found.first() {
            lines.insert(key, Line::check(id, key, &first.bytes));
        }
    }
    Ok((lines, irregular))
}
