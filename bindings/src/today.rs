//! Today: the first screen.

use crate::{AtHand, Fault, Tallywater};

#[uniffi::export]
impl Tallywater {
    /// What one works on now: the session with people in the water, else the one that runs,
    /// else the first of today that is not over or cancelled, else the course that comes
    /// first; `None` without any course.
    pub fn at_hand(&self) -> Result<Option<AtHand>, Fault> {
        let today = self.desk.today(self.units())?;
        Ok(AtHand::of(&today))
    }
}
