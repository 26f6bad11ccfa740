//! Layout: how a ledger lies in its Automerge document, and its first change.
//!
//! ```text
//! root: { "format": 2, "ledger": "course:…", "entries": { "<entry id>": <envelope bytes> } }
//! ```
//! The first change is byte-identical on every device: if each made its own map, one
//! device's entries would hide the other's. It alone says which format, which ledger and
//! which map: whatever a peer writes at the root later is seen and changes none of these,
//! or one write would hide every entry.

use automerge::transaction::{CommitOptions, Transactable as _};
use automerge::{
    ActorId, Automerge, Change, ChangeHash, ObjId, ObjType, ROOT, ReadDoc as _, ScalarValue, Value,
};

use super::LedgerError;
use super::guard::guarded;
use crate::course::{EntryId, LedgerId};
use crate::entry::FormatError;

/// The newest document format this program writes and reads.
pub const LEDGER_FORMAT: u64 = 2;

/// The writer of every first change; it never writes again.
const GENESIS_ACTOR: [u8; 16] = *b"tallywater-first";

/// Where things are in a document that began with the ledger's first change.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    /// The first change.
    pub(super) first: ChangeHash,
    /// The map of entries.
    pub(super) entries: ObjId,
}

/// A new document for this ledger, with its first change.
pub(super) fn begin(id: &LedgerId) -> Result<(Automerge, Layout, Change), LedgerError> {
    guarded("begin a ledger", || {
        let mut document = Automerge::new().with_actor(ActorId::from(GENESIS_ACTOR.to_vec()));
        let mut first = document.transaction();
        first.put(ROOT, "format", LEDGER_FORMAT)?;
        first.put(ROOT, "ledger", id.to_string())?;
        let entries = first.put_object(ROOT, "entries", ObjType::Map)?;
        first.commit_with(CommitOptions::default().with_time(0));
        let change = document
            .get_last_local_change()
            .ok_or(automerge::AutomergeError::Fail)?;
        let layout = Layout {
            first: change.hash(),
            entries,
        };
        Ok::<_, automerge::AutomergeError>((document, layout, change))
    })
}

/// Checks that a document began as this ledger, in a format we know.
pub(super) fn layout_of(document: &Automerge, id: &LedgerId) -> Result<Layout, LedgerError> {
    let (_, layout, _) = begin(id)?;
    if has(document, &layout.first) {
        return Ok(layout);
    }
    // Not ours: say why, as far as the document tells.
    Err(match ledger_of(document) {
        Ok(_) => LedgerError::OtherLedger,
        Err(error) => error,
    })
}

/// Whether a change is in the document.
pub(super) fn has(document: &Automerge, change: &ChangeHash) -> bool {
    document.get_change_meta_by_hash(change).is_some()
}

/// Which ledger a document began as.
pub(super) fn ledger_of(document: &Automerge) -> Result<LedgerId, LedgerError> {
    guarded("read a ledger's beginning", || {
        let mut newest = None;
        for first in document
            .get_changes_meta(&[])
            .into_iter()
            .filter(|change| change.deps.is_empty())
        {
            if let Some(id) = text_at(document, "ledger", first.hash)
                && let Ok(id) = id.parse()
                && begin(&id).is_ok_and(|(_, layout, _)| layout.first == first.hash)
            {
                return Ok(Ok(id));
            }
            newest = newest.max(number_at(document, "format", first.hash));
        }
        let format = newest.and_then(|format| u32::try_from(format).ok());
        Ok::<_, LedgerError>(Err(match format {
            Some(found) if u64::from(found) > LEDGER_FORMAT => {
                FormatError::Newer { found, known: 2 }.into()
            }
            Some(found @ 1) => FormatError::Older { found, least: 2 }.into(),
            Some(_) | None => FormatError::Malformed { what: "ledger" }.into(),
        }))
    })?
}

fn text_at(document: &Automerge, key: &str, at: ChangeHash) -> Option<String> {
    match document.get_at(ROOT, key, &[at]) {
        Ok(Some((Value::Scalar(value), _))) => value.as_str().map(str::to_owned),
        Ok(_) | Err(_) => None,
    }
}

fn number_at(document: &Automerge, key: &str, at: ChangeHash) -> Option<u64> {
    match document.get_at(ROOT, key, &[at]) {
        Ok(Some((Value::Scalar(value), _))) => value.as_u64(),
        Ok(_) | Err(_) => None,
    }
}

/// The entry that a key of the map names; `None` unless the key is written exactly as we
/// write it, or one entry could stand under two keys.
pub(super) fn entry_key(key: &str) -> Option<EntryId> {
    key.parse().ok().filter(|id: &EntryId| *id == *key)
}

/// The bytes a value holds; `None` for another sort.
pub(super) fn bytes_in(value: &Value<'_>) -> Option<Vec<u8>> {
    match value {
        Value::Scalar(value) => match value.as_ref() {
            ScalarValue::Bytes(bytes) => Some(bytes.clone()),
            ScalarValue::Str(_)
            | ScalarValue::Int(_)
            | ScalarValue::Uint(_)
            | ScalarValue::F64(_)
            | ScalarValue::Counter(_)
            | ScalarValue::Timestamp(_)
            | ScalarValue::Boolean(_)
            | ScalarValue::Unknown { .. }
            | ScalarValue::Null => None,
        },
        Value::Object(_) => None,
    }
}
