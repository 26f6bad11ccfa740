//! Tidy: what is done while nobody waits: many loose changes become one piece, and a copy
//! of everything is written.

use std::path::Path;

use super::{Desk, DeskError};
use crate::course::LedgerId;
use crate::store::Tried;

/// From so many changes outside its snapshot on, a ledger is made into one piece: reading
/// ten thousand loose ones takes about twice as long as reading them from a snapshot.
pub const MANY_LOOSE: u32 = 1_000;

impl Desk {
    /// Folds the store's log into its file, and makes the ledger with the most loose changes
    /// into one piece, if any has many. To be
    /// called when nobody has touched the device for a while: it holds the desk for as long
    /// as it takes to read one ledger. Answers which it was; `None` when all are tidy.
    ///
    /// # Errors
    /// [`DeskError::Store`]; every change is still there.
    pub fn tidy(&self) -> Result<Option<LedgerId>, DeskError> {
        let mut shelf = self.shelf();
        shelf.store.fold()?;
        if shelf.device.shop.is_some() {
            shelf.sweep_files()?;
        }
        let Some(id) = shelf.store.loosest(MANY_LOOSE)? else {
            return Ok(None);
        };
        let actor = shelf.stamps.actor()?;
        let ledger = shelf.ledger(&id)?;
        let (snapshot, heads) = (ledger.save()?, ledger.heads());
        let done = shelf.store.compact(&id, &snapshot, &heads, actor)?;
        Ok(done.then_some(id))
    }

    /// Writes a whole and consistent copy of the store to a file that must not exist yet,
    /// while this device goes on working, and opens it before it gets that name. The device's
    /// keys are not in it: it is read by a device that is admitted, or by a new computer with the
    /// recovery sheet.
    ///
    /// # Errors
    /// [`DeskError::Store`]; a file of that name is left as it was.
    pub fn back_up(&self, to: &Path) -> Result<Tried, DeskError> {
        let copy = { self.shelf().store.copy(to)? };
        Ok(copy.settle()?)
    }
}
