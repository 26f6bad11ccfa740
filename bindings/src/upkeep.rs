//! Upkeep: what is done while nobody waits.

use std::path::Path;

use crate::{Fault, Tallywater};

#[uniffi::export]
impl Tallywater {
    /// Makes one ledger with many loose changes into one piece, so that it opens faster.
    /// To be called when nobody has touched the device for a while; `true` if there may be
    /// more to do.
    pub fn tidy(&self) -> Result<bool, Fault> {
        Ok(self.desk.tidy()?.is_some())
    }

    /// Writes a whole copy of what is here to a file that must not exist yet, while this
    /// device goes on working. The device's keys are not in it.
    pub fn back_up(&self, to: String) -> Result<(), Fault> {
        Ok(self.desk.back_up(Path::new(&to))?)
    }
}
