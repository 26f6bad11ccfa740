//! Salvage: the entries in bytes whose history cannot be taken, or cannot be read any more.
//!
//! An entry is named by its content, so one that is found anywhere is the one that was
//! written, whatever the bytes around it say: nothing here has to be believed.

use std::collections::BTreeMap;

use automerge::Change;
use automerge::legacy::OpType;
use automerge::{Automerge, LoadOptions, OnPartialLoad, ScalarValue, VerificationMode};
use sha2::{Digest as _, Sha256};

use super::chunk::{changes_in, chunks};
use super::guard::guarded;
use super::layout::entry_key;
use super::{Ledger, LedgerError, Taken};
use crate::course::{EntryId, LedgerId};
use crate::entry::content_id;

impl Ledger {
    /// Applies bytes from elsewhere to a clone, as [`Ledger::take_bytes`]; where that
    /// history does not go with ours, what entries are in it are carried over by themselves.
    ///
    /// # Errors
    /// [`LedgerError`] for bytes that are broken, or in which there is nothing of this
    /// ledger.
    pub fn take_or_carry(&self, bytes: &[u8]) -> Result<Taken, LedgerError> {
        let changes = guarded("read changes", || changes_in(bytes))?;
        match self.take(changes.clone()) {
            Ok(taken) => Ok(taken),
            Err(refused) => {
                let found = guarded("look for entries", || {
                    Ok::<_, LedgerError>(entries_of(&self.id, &changes))
                })?;
                if found.is_empty() {
                    return Err(refused);
                }
                let sealed: Vec<&[u8]> = found.values().map(Vec::as_slice).collect();
                self.take_entries(&sealed)
            }
        }
    }

    /// The entries that can still be read of a ledger's stored pieces, each of which may be
    /// hurt.
    pub fn salvage(id: &LedgerId, pieces: &[Vec<u8>]) -> BTreeMap<EntryId, Vec<u8>> {
        let mut found = BTreeMap::new();
        for piece in pieces {
            for chunk in chunks(piece) {
                let read = guarded("salvage", || {
                    Ok::<_, LedgerError>(entries_of(id, &changes_of(&chunk)))
                });
                found.extend(read.unwrap_or_default());
            }
        }
        found
    }
}

/// The changes of one chunk, or none; of one whose checksum does not fit what it says now.
fn changes_of(chunk: &[u8]) -> Vec<Change> {
    let mended = mended(chunk);
    let options = || {
        LoadOptions::new()
            .on_partial_load(OnPartialLoad::Ignore)
            .verification_mode(VerificationMode::DontCheck)
    };
    changes_in(chunk)
        .or_else(|_| changes_in(&mended))
        .or_else(|_| {
            Automerge::load_with_options(&mended, options())
                .map(|document| document.get_changes(&[]))
        })
        .unwrap_or_default()
}

/// The chunk with a checksum that fits: the first four bytes of the SHA-256 over what
/// follows it.
fn mended(chunk: &[u8]) -> Vec<u8> {
    let Some((head, rest)) = chunk.split_at_checked(8) else {
        return chunk.to_vec();
    };
    let digest = Sha256::digest(rest);
    let magic = head.iter().take(4);
    let sum = digest.iter().take(4);
    magic.chain(sum).chain(rest).copied().collect()
}

/// Every entry of this ledger that is written in these changes, wherever. Runs the engine's
/// decoder.
fn entries_of(id: &LedgerId, changes: &[Change]) -> BTreeMap<EntryId, Vec<u8>> {
    let mut found = BTreeMap::new();
    for change in changes {
        for op in change.decode().operations {
            let automerge::legacy::Key::Map(key) = &op.key else {
                continue;
            };
            if let OpType::Put(ScalarValue::Bytes(bytes)) = op.action
                && let Some(key) = entry_key(key)
                && content_id(id, &bytes) == key
            {
                found.insert(key, bytes);
            }
        }
    }
    found
}
