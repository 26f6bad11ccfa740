//! Irregular: what a ledger's change log holds that no honest device writes.

use std::collections::{BTreeMap, BTreeSet};

use automerge::legacy::{Key, ObjectId, OpType};
use automerge::{Automerge, Change, ChangeHash, ObjId, ScalarValue};

use super::LedgerError;
use super::guard::guarded;
use super::layout::{Layout, entry_key};
use crate::course::{EntryId, LedgerId};
use crate::trust::Line;

/// Something in the change log that is no new entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Irregular {
    /// An entry's key was written again with something else; the first valid value stands.
    Overwritten(EntryId),
    /// An entry's key was deleted; the entry stands.
    Deleted(EntryId),
    /// Something else was written into the document; it changes nothing.
    Foreign,
}

/// The value that stands under a key to which more happened than one writing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Standing {
    /// The bytes.
    pub(super) bytes: Vec<u8>,
    /// Every change that wrote just these.
    pub(super) changes: Vec<ChangeHash>,
}

/// What the whole change log says.
#[derive(Debug, Clone, Default)]
pub(super) struct Log {
    /// Every line.
    pub(super) lines: BTreeMap<EntryId, Line>,
    /// What no honest device writes.
    pub(super) irregular: BTreeSet<Irregular>,
    /// The keys at which the document may show something else than what stands.
    pub(super) touched: BTreeMap<EntryId, Standing>,
    /// Keys under which something was written and nothing stands.
    pub(super) misused: BTreeSet<EntryId>,
}

/// What one change does, as far as a ledger is concerned.
pub(super) enum Deed {
    /// It adds one entry and does nothing else.
    Adds(EntryId, Vec<u8>),
    /// It does something else.
    Other,
}

/// Reads one change. Runs the engine's decoder, so call it inside [`guarded`].
pub(super) fn deed(change: &Change, entries: &ObjId) -> Deed {
    let expanded = change.decode();
    if let [op] = expanded.operations.as_slice()
        && op.pred.is_empty()
        && !op.insert
        && is_entries(&op.obj, entries)
        && let (OpType::Put(ScalarValue::Bytes(bytes)), Key::Map(key)) = (&op.action, &op.key)
        && let Some(id) = entry_key(key)
    {
        return Deed::Adds(id, bytes.clone());
    }
    Deed::Other
}

fn is_entries(object: &ObjectId, entries: &ObjId) -> bool {
    match (object, entries) {
        (ObjectId::Id(found), ObjId::Id(counter, actor, _)) => {
            found.counter() == *counter && found.actor() == actor
        }
        (ObjectId::Id(_) | ObjectId::Root, ObjId::Root) | (ObjectId::Root, ObjId::Id(..)) => false,
    }
}

/// One value written to a key.
struct Written {
    counter: u64,
    change: ChangeHash,
    bytes: Vec<u8>,
}

/// Everything done to one key.
#[derive(Default)]
struct Trace {
    written: Vec<Written>,
    deleted: bool,
    /// Something that is no entry was written.
    misused: bool,
}

/// The whole change log read from its beginning: the slow, thorough way, taken only when
/// something irregular is there. `sole` reads the bytes of a key that was written once
/// and never touched again; the others are checked anew.
///
/// For each key the first valid value stands: among all values ever written to it, those
/// whose signature holds; of these the one with the lowest operation counter, which is
/// the earliest in causal order; of concurrent ones the one with the lowest change hash.
/// So every device that has the same changes sees the same lines.
pub(super) fn read_log(
    id: &LedgerId,
    document: &Automerge,
    layout: &Layout,
    mut sole: impl FnMut(EntryId, &[u8]) -> Line,
) -> Result<Log, LedgerError> {
    let (traces, foreign) = guarded("read the change log", || {
        Ok::<_, LedgerError>(traces(document, layout))
    })?;
    let mut log = Log::default();
    if foreign {
        log.irregular.insert(Irregular::Foreign);
    }
    for (key, trace) in traces {
        match trace.written.as_slice() {
            // Deleting or misusing a key under which nothing ever stood.
            [] => {
                log.irregular.insert(Irregular::Foreign);
                log.misused.insert(key);
            }
            [only] if !trace.deleted && !trace.misused => {
                log.lines.insert(key, sole(key, &only.bytes));
            }
            _ => log.judge(id, key, trace),
        }
    }
    Ok(log)
}

impl Log {
    /// Finds what stands under a key to which more happened than one writing.
    fn judge(&mut self, id: &LedgerId, key: EntryId, trace: Trace) {
        let mut lines: Vec<(Line, Written)> = trace
            .written
            .into_iter()
            .map(|written| (Line::check(id, key, &written.bytes), written))
            .collect();
        lines.sort_by_key(|(line, written)| (!line.signed, written.counter, written.change));
        let mut lines = lines.into_iter();
        let Some((line, first)) = lines.next() else {
            return;
        };
        let mut changes = vec![first.change];
        let mut overwritten = trace.misused;
        for (_, other) in lines {
            if other.bytes == first.bytes {
                changes.push(other.change);
            } else {
                overwritten = true;
            }
        }
        if overwritten {
            self.irregular.insert(Irregular::Overwritten(key));
        }
        if trace.deleted {
            self.irregular.insert(Irregular::Deleted(key));
        }
        let bytes = first.bytes;
        self.touched.insert(key, Standing { bytes, changes });
        self.lines.insert(key, line);
    }
}

/// Sorts every operation after the first change by the entry it touches; and whether there
/// are others.
fn traces(document: &Automerge, layout: &Layout) -> (BTreeMap<EntryId, Trace>, bool) {
    let mut traces: BTreeMap<EntryId, Trace> = BTreeMap::new();
    let mut foreign = false;
    for change in document.get_changes(&[]) {
        let hash = change.hash();
        if hash == layout.first {
            continue;
        }
        for (counter, op) in (change.start_op().get()..).zip(change.decode().operations) {
            let key = match &op.key {
                Key::Map(key) if is_entries(&op.obj, &layout.entries) => entry_key(key),
                Key::Map(_) | Key::Seq(_) => None,
            };
            let Some(key) = key else {
                foreign = true;
                continue;
            };
            let trace = traces.entry(key).or_default();
            match op.action {
                OpType::Put(ScalarValue::Bytes(bytes)) => trace.written.push(Written {
                    counter,
                    change: hash,
                    bytes,
                }),
                OpType::Delete => trace.deleted = true,
                OpType::Put(_)
                | OpType::Make(_)
                | OpType::Increment(_)
                | OpType::MarkBegin(..)
                | OpType::MarkEnd(_) => trace.misused = true,
            }
        }
    }
    (traces, foreign)
}
