//! Listener: a shell's part that is told what to draw anew.

use std::sync::Arc;

use tallywater_core::desk;

use crate::cross::Shown as _;
use crate::{CellKey, Fault};

/// Something changed, by a tap here or by what came from elsewhere.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Change {
    /// Which ledger.
    pub ledger: String,
    /// Its course, if it is a course's.
    pub course: Option<String>,
    /// Whether it is the shop's: names, devices, policies, the list of courses.
    pub shop: bool,
    /// Its student, if it is a person's own: names and contacts.
    pub person: Option<String>,
    /// Cells to draw anew.
    pub cells: Vec<CellKey>,
    /// Whether anything beside these cells changed.
    pub wider: bool,
    /// Whether it came from another device.
    pub from_elsewhere: bool,
}

/// Is told what changed. Called after every lock is released, on the thread that made the
/// change, before that call returns: it may ask anything, and should be quick.
#[uniffi::export(with_foreign)]
pub trait Listener: Send + Sync {
    /// Something changed. A fault is not looked at: what was recorded stays recorded.
    // It can fail only so that an exception in the shell's own code is caught here. Without
    // an error to turn it into it would be a panic in the middle of the tap.
    fn changed(&self, change: Change) -> Result<(), Fault>;
}

/// A shell's listener as the desk knows one.
pub(crate) struct Told(pub(crate) Arc<dyn Listener>);

impl desk::Listener for Told {
    fn changed(&self, change: &desk::Change) {
        // Whatever the shell's part says, the change has happened.
        let _ = self.0.changed(change.shown());
    }
}
