//! Chunk: bytes from elsewhere taken apart into changes, all of them or none.
//!
//! Automerge's own way of adding bytes to a document keeps the good beginning of a broken
//! file and says nothing; a bundle that was cut short would look like a whole one.

use automerge::{Automerge, Change, ReadDoc as _};

use super::LedgerError;
use super::adds::A_ROW;
use super::guard::guarded;
use crate::entry::FormatError;
use crate::hands;

/// What every chunk begins with.
const MAGIC: [u8; 4] = [0x85, 0x6f, 0x4a, 0x83];

/// A whole document.
const DOCUMENT: u8 = 0;
/// One change, plain or compressed.
const CHANGE: [u8; 2] = [1, 2];

/// Every change in the bytes: changes and whole documents, joined end to end; read on all
/// cores where there are many.
pub(crate) fn changes_in(mut bytes: &[u8]) -> Result<Vec<Change>, LedgerError> {
    let mut chunks = Vec::new();
    while !bytes.is_empty() {
        let (chunk, rest) = split(bytes).ok_or_else(broken)?;
        chunks.push(chunk);
        bytes = rest;
    }
    let read = |chunk: &Chunk<'_>| guarded("read changes", || Ok::<_, LedgerError>(chunk.read()));
    let all = hands::share(&chunks, A_ROW, |row| row.iter().map(read).collect());
    let mut changes = Vec::with_capacity(all.len());
    for some in all {
        changes.extend(some??);
    }
    Ok(changes)
}

/// The chunks of bytes that may be hurt, one by one; what is no chunk is passed over.
pub(super) fn chunks(mut bytes: &[u8]) -> Vec<Vec<u8>> {
    let mut found = Vec::new();
    while !bytes.is_empty() {
        if let Some((chunk, rest)) = split(bytes) {
            found.push(chunk.bytes.to_vec());
            bytes = rest;
        } else {
            let next = bytes
                .windows(MAGIC.len())
                .skip(1)
                .position(|window| window == MAGIC);
            let Some(rest) = next.and_then(|at| bytes.get(at + 1..)) else {
                break;
            };
            bytes = rest;
        }
    }
    found
}

const fn broken() -> LedgerError {
    LedgerError::Format(FormatError::Malformed {
        what: "ledger bytes",
    })
}

struct Chunk<'a> {
    kind: u8,
    checksum: [u8; 4],
    /// The chunk with its header.
    bytes: &'a [u8],
}

impl Chunk<'_> {
    /// The changes in it. Runs the engine's decoder.
    fn read(&self) -> Result<Vec<Change>, LedgerError> {
        if self.kind == DOCUMENT {
            let document = Automerge::load(self.bytes).map_err(|_| broken())?;
            if !document.get_missing_deps(&[]).is_empty() {
                return Err(broken());
            }
            return Ok(document.get_changes(&[]));
        }
        if !CHANGE.contains(&self.kind) {
            return Err(broken());
        }
        let change = Change::try_from(self.bytes).map_err(|_| broken())?;
        // The engine does not compare these when it reads a single change.
        if !change.hash().0.starts_with(&self.checksum) {
            return Err(broken());
        }
        Ok(vec![change])
    }
}

/// The first chunk and what follows it; `None` if there is no whole one.
fn split(bytes: &[u8]) -> Option<(Chunk<'_>, &[u8])> {
    let rest = bytes.strip_prefix(&MAGIC)?;
    let (checksum, rest) = rest.split_first_chunk::<4>()?;
    let (&kind, rest) = rest.split_first()?;
    let (length, rest) = length(rest)?;
    let after = rest.get(length..)?;
    let whole = bytes.len().checked_sub(after.len())?;
    let chunk = Chunk {
        kind,
        checksum: *checksum,
        bytes: bytes.get(..whole)?,
    };
    Some((chunk, after))
}

/// A length in LEB128: seven bits a byte, the lowest first.
fn length(bytes: &[u8]) -> Option<(usize, &[u8])> {
    let mut length = 0_u64;
    let mut bytes = bytes;
    for shift in (0..63).step_by(7) {
        let (&byte, rest) = bytes.split_first()?;
        length |= u64::from(byte & 0x7f) << shift;
        bytes = rest;
        if byte & 0x80 == 0 {
            return usize::try_from(length).ok().map(|length| (length, bytes));
        }
    }
    None
}
