//! DeskError: everything that can keep the desk from answering.

use crate::entry::{FormatError, Refusal};
use crate::ledger::LedgerError;
use crate::stamp::NoChance;
use crate::store::StoreError;

/// Why the desk could not do what was asked. Nothing has been recorded then.
#[derive(Debug, thiserror::Error)]
pub enum DeskError {
    /// A rule forbids it.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// The store could not.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A ledger's bytes are not what they should be.
    #[error(transparent)]
    Ledger(#[from] LedgerError),
    /// An entry could not be written or read.
    #[error(transparent)]
    Format(#[from] FormatError),
    /// No random bytes.
    #[error(transparent)]
    NoChance(#[from] NoChance),
    /// The device's key store could not.
    #[error(transparent)]
    Keys(#[from] KeyStoreError),
    /// Something named that is not here.
    #[error("there is no such {what} on this device")]
    NotFound {
        /// What was named.
        what: &'static str,
        /// Its id as it was given.
        id: String,
    },
    /// The device belongs to no shop yet.
    #[error("this device has not been set up")]
    NotStarted,
    /// A person stopped it.
    #[error("it was stopped")]
    Stopped,
    /// The device belongs to a shop already.
    #[error("this device has been set up already")]
    Started,
}

/// The device's key store could not keep or give a secret.
#[derive(Debug, thiserror::Error)]
#[error("could not {during} in the key store: {detail}")]
pub struct KeyStoreError {
    /// What was being done.
    pub during: &'static str,
    /// What the key store said.
    pub detail: String,
}
