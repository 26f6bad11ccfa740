//! Irregular: what no honest device writes into a ledger, and so none takes.
//!
//! A ledger is a set of entries, each under the digest of its own bytes. The only thing a
//! change may do to it is to add entries. Whatever else a change does, writing something
//! else under a key, deleting one, touching another part of the document, is refused with
//! the whole change, here and on every honest device: so it never spreads, nothing honest is
//! ever built upon it, and whoever brings one is the device that made it. The entries beside
//! it are not lost: they can be carried over by themselves ([`crate::sync`]).

use automerge::legacy::{Key, ObjectId, OpType};
use automerge::{Change, ObjId, ScalarValue};

use super::layout::entry_key;
use crate::course::{EntryId, LedgerId};
use crate::entry::content_id;

/// Something in a change that is no new entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Irregular {
    /// Something else was written under an entry's key than the entry.
    Overwritten(EntryId),
    /// An entry's key was deleted.
    Deleted(EntryId),
    /// Something else was written into the document, or nothing at all.
    Foreign,
}

/// The entries that a change adds.
///
/// Runs the engine's decoder, so call it inside [`super::guarded`].
///
/// # Errors
/// [`Irregular`]: the first thing it does besides.
pub(super) fn entries_in(
    change: &Change,
    ledger: &LedgerId,
    entries: &ObjId,
) -> Result<Vec<(EntryId, Vec<u8>)>, Irregular> {
    let operations = change.decode().operations;
    if operations.is_empty() {
        return Err(Irregular::Foreign);
    }
    let mut found = Vec::with_capacity(operations.len());
    for op in operations {
        let key = match &op.key {
            Key::Map(key) if is_entries(&op.obj, entries) && !op.insert => entry_key(key),
            Key::Map(_) | Key::Seq(_) => None,
        };
        let key = key.ok_or(Irregular::Foreign)?;
        match op.action {
            OpType::Put(ScalarValue::Bytes(bytes)) if content_id(ledger, &bytes) == key => {
                found.push((key, bytes));
            }
            OpType::Delete => return Err(Irregular::Deleted(key)),
            OpType::Put(_)
            | OpType::Make(_)
            | OpType::Increment(_)
            | OpType::MarkBegin(..)
            | OpType::MarkEnd(_) => return Err(Irregular::Overwritten(key)),
        }
    }
    Ok(found)
}

fn is_entries(object: &ObjectId, entries: &ObjId) -> bool {
    match (object, entries) {
        (ObjectId::Id(found), ObjId::Id(counter, actor, _)) => {
            found.counter() == *counter && found.actor() == actor
        }
        (ObjectId::Id(_) | ObjectId::Root, ObjId::Root) | (ObjectId::Root, ObjId::Id(..)) => false,
    }
}
