//! Unpacked: a message of a peer taken apart and looked at, before any ledger sees it.
//!
//! All of it is found out from the bytes alone, so it can be done for the next message while
//! this one is taken ([`Unpacked::read_ahead`]). Nothing is believed by it: what hangs on the ledger,
//! on what was said before and on who may say it is for [`super::Conversation`] and its caller.

use automerge::Change;
use automerge::sync::{Have, Message};

use super::{SyncError, plain};
use crate::course::LedgerId;
use crate::ledger::{Ahead, changes_in, guarded};

/// The filter that `automerge::sync` makes: ten bits an entry and seven probes. Another
/// number of probes could keep this device busy for hours.
const FILTER: [u64; 2] = [10, 7];
/// The most filters in one message; an honest device sends one.
const MOST_FILTERS: usize = 4;

/// A message that is what a message may be.
#[derive(Debug)]
pub(crate) struct Unpacked {
    /// The message without its changes.
    pub(super) message: Message,
    /// Its changes.
    pub(super) changes: Vec<Change>,
    /// Whether it came with any.
    pub(super) brings: bool,
    /// What was read of them.
    pub(super) ahead: Ahead,
}

impl Unpacked {
    /// Takes a message apart.
    ///
    /// # Errors
    /// [`SyncError`] for bytes that no honest device sends.
    pub(crate) fn of(bytes: &[u8]) -> Result<Self, SyncError> {
        let mut message = guarded("read a sync message", || Message::decode(bytes))
            .map_err(|_| SyncError::Malformed)?;
        if message.have.len() > MOST_FILTERS || !message.have.iter().all(has_usual_filter) {
            return Err(SyncError::Malformed);
        }
        let mut changes = Vec::with_capacity(bytes.len());
        message
            .changes
            .iter()
            .for_each(|one| changes.extend_from_slice(one));
        let count = plain::count(&changes).map_err(SyncError::NotPlain)?;
        let changes = guarded("read changes", || changes_in(&changes))?;
        message.changes = Vec::<Vec<u8>>::new().into();
        Ok(Self {
            message,
            changes,
            brings: count > 0,
            ahead: Ahead::default(),
        })
    }

    /// Pieces of one message, one after the other, as one: what the last says, with the changes
    /// of all.
    ///
    /// # Errors
    /// [`SyncError::Malformed`] for none.
    pub(crate) fn together(pieces: Vec<Self>) -> Result<Self, SyncError> {
        let mut pieces = pieces.into_iter();
        let mut whole = pieces.next().ok_or(SyncError::Malformed)?;
        for next in pieces {
            whole.message = next.message;
            whole.changes.extend(next.changes);
            whole.brings |= next.brings;
            whole.ahead.join(next.ahead);
        }
        Ok(whole)
    }

    /// Takes a message about this ledger apart, with every entry in it read and each signature
    /// checked, over all cores.
    ///
    /// # Errors
    /// [`SyncError`] for bytes that no honest device sends.
    pub(crate) fn read_ahead(ledger: &LedgerId, bytes: &[u8]) -> Result<Self, SyncError> {
        let mut unpacked = Self::of(bytes)?;
        unpacked.ahead = Ahead::of(ledger, &unpacked.changes)?;
        Ok(unpacked)
    }
}

fn has_usual_filter(have: &Have) -> bool {
    let bytes = have.bloom.to_bytes();
    // Empty for a filter over nothing; else three LEB128 numbers first. The last two are
    // one byte each when they are the usual ones.
    bytes.is_empty()
        || bytes
            .iter()
            .position(|byte| byte & 0x80 == 0)
            .and_then(|end| bytes.get(end + 1..end + 3))
            .is_some_and(|rest| rest.iter().map(|byte| u64::from(*byte)).eq(FILTER))
}
