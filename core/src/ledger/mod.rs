//! Ledger: the set of entries of one course, one person or the shop. Owns Automerge;
//! pure: bytes in, bytes out, no disk.
//!
//! Entries come from [`crate::entry`] and [`crate::trust`]; [`crate::store`] keeps the
//! bytes, [`crate::sync`] carries them, [`crate::standing`] says what the lines mean.

mod adds;
mod ahead;
mod book;
mod chain;
mod chunk;
mod fingerprint;
mod follow;
mod guard;
mod heads;
mod irregular;
mod layout;
mod mishap;
pub mod plain;
mod ready;
mod salvage;
#[cfg(test)]
pub(crate) mod sample;
mod state;
mod take;
mod wreck;

pub(crate) use ahead::Ahead;
pub use book::{Added, Ledger};
pub use chain::Written;
pub(crate) use chunk::changes_in;
pub use fingerprint::{Fingerprint, Likeness};
pub(crate) use guard::guarded;
pub use heads::Heads;
pub use irregular::Irregular;
pub use layout::LEDGER_FORMAT;
pub use mishap::Mishap;
pub(crate) use ready::ready;
pub use state::State;
pub use take::{Lent, Taken};
pub use wreck::{Gathered, Salvaged, gather};

use crate::course::EntryId;
use crate::entry::FormatError;

/// What can go wrong with a ledger's bytes.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LedgerError {
    /// The bytes are of another ledger.
    #[error("the bytes are of another ledger")]
    OtherLedger,
    /// The entry's id is in the ledger already.
    #[error("the entry {entry} is in the ledger already")]
    Taken {
        /// Which id.
        entry: EntryId,
    },
    /// A change does something that no honest device's does.
    #[error("a change does something else than to add entries")]
    Irregular(Irregular),
    /// Bytes of a newer version, or none of ours.
    #[error(transparent)]
    Format(FormatError),
    /// Automerge refused or gave up.
    #[error("could not {during}: {detail}")]
    Engine {
        /// What was being done.
        during: &'static str,
        /// What the engine said.
        detail: String,
    },
}
