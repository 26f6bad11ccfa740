//! Change: what a listener is told, so that a screen redraws no more than it must.

use crate::course::{LedgerId, SkillId, StudentId};

/// Something in a ledger changed, by a tap here or by what came from elsewhere.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Which ledger.
    pub ledger: LedgerId,
    /// Cells to draw anew.
    pub cells: Vec<(StudentId, SkillId)>,
    /// Whether anything beside these cells changed.
    pub wider: bool,
    /// Whether it came from another device.
    pub from_elsewhere: bool,
}

/// Is told what changed. Called after every lock is released, on the thread that made the
/// change: it may ask the desk anything.
pub trait Listener: Send + Sync {
    /// Something changed.
    fn changed(&self, change: &Change);

    /// The link brought something. It is told as whatever else changed, unless the listener is
    /// one who would only tell the link.
    fn arrived(&self, change: &Change) {
        self.changed(change);
    }
}
