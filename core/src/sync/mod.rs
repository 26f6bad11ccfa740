//! Sync: bytes in, bytes out. What two devices say about one ledger, and the frames it
//! travels in. Pure: no socket, no disk, no clock.
//!
//! [`Conversation`] wraps `automerge::sync` for one ledger with one peer; [`Frame`] is the
//! unit on the wire; [`Held`] says what a peer has stored, by heads. Knows
//! [`crate::ledger`] and nothing of screens; [`crate::link`] carries the frames.
//!
//! Nothing that arrives is believed: a message is taken apart first (`unpacked`), where
//! [`plain`] looks at every change before the engine does, the engine works on a clone behind
//! a guard, and the ledger takes it only after the store has committed.

mod clock;
mod conversation;
mod frame;
mod held;
mod noted;
mod unpacked;

pub use clock::{ClockGap, MOST_CLOCK_GAP_SECONDS};
pub use conversation::{Conversation, FILE_PIECE_BYTES, Heard, HeardState, PIECE_BYTES, Piece};
pub use frame::{
    FileId, FilePlace, Frame, FrameError, MOST_FRAME, PROTOCOL_LEAST, PROTOCOL_VERSION, Position,
    Refused,
};
pub use held::Held;
pub(crate) use unpacked::Unpacked;

pub use crate::ledger::plain;

use crate::ledger::LedgerError;

/// What can be wrong with what a peer said about a ledger. The ledger is as it was.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SyncError {
    /// A message that cannot be read.
    #[error("malformed sync message")]
    Malformed,
    /// A change that no honest device writes and that could exhaust this one.
    #[error("a change that is not taken from a peer: {0}")]
    NotPlain(plain::NotPlain),
    /// More than a device may bring into one ledger in a day.
    #[error("more than a device may bring into a ledger in a day")]
    TooMuch,
    /// The ledger refused it.
    #[error(transparent)]
    Ledger(LedgerError),
}

impl From<LedgerError> for SyncError {
    fn from(error: LedgerError) -> Self {
        Self::Ledger(error)
    }
}
