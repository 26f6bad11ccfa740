//! Layout: how a ledger lies in its Automerge document, and its first change.
//!
//! ```text
//! root: { "format": 1, "ledger": "course:…", "entries": { "<entry id>": <envelope bytes> } }
//! ```
//! The first change is byte-identical on every device: if each made its own map, one
//! device's entries would hide the other's.

use automerge::transaction::{CommitOptions, Transactable as _};
use automerge::{ActorId, Automerge, ObjId, ObjType, ROOT, ReadDoc as _, ScalarValue, Value};

use super::LedgerError;
use super::guard::guarded;
use crate::course::LedgerId;
use crate::entry::FormatError;

/// The newest document format this program writes and reads.
pub const LEDGER_FORMAT: u64 = 1;

/// The writer of every first change; it never writes again.
const GENESIS_ACTOR: [u8; 16] = *b"tallywater-first";

/// How many operations the first change has: format, ledger, map.
pub(super) const GENESIS_OPS: u64 = 3;

/// A new document for this ledger, with its first change.
pub(super) fn genesis(id: &LedgerId) -> Result<Automerge, LedgerError> {
    guarded("begin a ledger", || {
        let mut document = Automerge::new().with_actor(ActorId::from(GENESIS_ACTOR.to_vec()));
        let mut first = document.transaction();
        first.put(ROOT, "format", LEDGER_FORMAT)?;
        first.put(ROOT, "ledger", id.to_string())?;
        first.put_object(ROOT, "entries", ObjType::Map)?;
        first.commit_with(CommitOptions::default().with_time(0));
        Ok::<_, automerge::AutomergeError>(document)
    })
}

/// Checks that a document is this ledger in a format we know, and finds its entries.
pub(super) fn entries_of(document: &Automerge, id: &LedgerId) -> Result<ObjId, LedgerError> {
    let format = match document.get(ROOT, "format") {
        Ok(Some((Value::Scalar(value), _))) => match value.as_ref() {
            ScalarValue::Uint(format) => *format,
            _ => return Err(malformed("ledger format")),
        },
        Ok(_) | Err(_) => return Err(malformed("ledger format")),
    };
    if format > LEDGER_FORMAT {
        let found = u32::try_from(format).unwrap_or(u32::MAX);
        return Err(FormatError::Newer { found, known: 1 }.into());
    }
    if ledger_of(document)? != *id {
        return Err(LedgerError::OtherLedger);
    }
    match document.get(ROOT, "entries") {
        Ok(Some((Value::Object(ObjType::Map), entries))) => Ok(entries),
        Ok(_) | Err(_) => Err(malformed("ledger entries")),
    }
}

/// Which ledger a document says it is.
pub(super) fn ledger_of(document: &Automerge) -> Result<LedgerId, LedgerError> {
    match document.get(ROOT, "ledger") {
        Ok(Some((Value::Scalar(value), _))) => match value.as_ref() {
            ScalarValue::Str(text) => text.parse().map_err(|_| malformed("ledger id")),
            _ => Err(malformed("ledger id")),
        },
        Ok(_) | Err(_) => Err(malformed("ledger id")),
    }
}

const fn malformed(what: &'static str) -> LedgerError {
    LedgerError::Format(FormatError::Malformed { what })
}
