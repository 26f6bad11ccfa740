//! Mishaps: one ledger is hurt, or one device does what none should, and everything else
//! goes on. What happened is noted here, shown with the ledger, and told with the device that
//! brought it.

use std::collections::BTreeSet;

use tracing::warn;

use super::shelf::Shelf;
use super::{Change, Desk, DeskError};
use crate::course::{EntryId, LedgerId};
use crate::entry::DeviceKey;
use crate::ledger::{Ledger, LedgerError, Mishap};
use crate::store::{Commit, MishapRow, StoreError};

impl Shelf {
    /// Notes a mishap; by no device means by this device's own disk.
    pub(super) fn note_mishap(
        &mut self,
        ledger: &LedgerId,
        device: Option<&DeviceKey>,
        what: Mishap,
        entry: Option<EntryId>,
    ) -> Result<(), DeskError> {
        let now = self.stamps.now();
        Ok(self
            .store
            .note_mishap(ledger, device, what, entry.as_ref(), now)?)
    }

    /// A ledger from the store; a new one if the store has none. One that cannot be read is
    /// set aside whole: what entries can be salvaged of it are in its place, and the rest
    /// comes again from whichever device has it.
    pub(super) fn open_ledger(&mut self, id: &LedgerId) -> Result<Ledger, DeskError> {
        let actor = self.stamps.actor()?;
        let Some(stored) = self.store.load(id)? else {
            return Ok(Ledger::new(*id, actor)?);
        };
        match Ledger::load(*id, actor, &stored.bytes, &stored.unsigned) {
            Ok(ledger) if ledger.irregular().is_empty() => Ok(ledger),
            Err(error @ LedgerError::Format(crate::entry::FormatError::Newer { .. })) => {
                Err(error.into())
            }
            Ok(_) | Err(_) => self.set_aside(id, &stored.unsigned),
        }
    }

    /// A ledger from the store, only looked at: of one that cannot be read what is legible,
    /// and nothing is set aside.
    pub(super) fn peek(&self, id: &LedgerId) -> Result<Ledger, DeskError> {
        let actor = self.stamps.actor()?;
        let Some(stored) = self.store.load(id)? else {
            return Ok(Ledger::new(*id, actor)?);
        };
        if let Ok(ledger) = Ledger::load(*id, actor, &stored.bytes, &stored.unsigned) {
            return Ok(ledger);
        }
        let found = Ledger::salvage(id, &self.store.pieces(id)?);
        let sealed: Vec<&[u8]> = found.values().map(Vec::as_slice).collect();
        let mut ledger = Ledger::new(*id, actor)?;
        let taken = ledger.take_entries(&sealed)?;
        ledger.adopt(taken);
        Ok(ledger)
    }

    fn set_aside(
        &mut self,
        id: &LedgerId,
        unsigned: &BTreeSet<EntryId>,
    ) -> Result<Ledger, DeskError> {
        warn!(target: "tallywater_core::desk", ledger = %id, "a ledger could not be read and is set aside");
        let pieces = self.store.pieces(id)?;
        let found = Ledger::salvage(id, &pieces);
        let sealed: Vec<&[u8]> = found.values().map(Vec::as_slice).collect();
        let mut ledger = Ledger::new(*id, self.stamps.actor()?)?;
        let taken = ledger.take_entries(&sealed)?;
        let unsigned: Vec<EntryId> = taken.unsigned.iter().chain(unsigned).copied().collect();
        let salvaged = Commit {
            changes: &taken.changes,
            unsigned: &unsigned,
            ..Commit::default()
        };
        match self.store.set_aside(id, &salvaged, self.stamps.now()) {
            Ok(()) => self.note_mishap(id, None, Mishap::Unreadable, None)?,
            // A desk that only looks shows what can be read, and leaves the rest to the one
            // that may write.
            Err(StoreError::ReadOnly { .. }) => {}
            Err(error) => return Err(error.into()),
        }
        ledger.adopt(taken);
        // What is found by rows of it is asked of it again.
        self.placed = false;
        Ok(ledger)
    }
}

impl Change {
    /// Something went wrong with a ledger: whoever shows it looks again.
    pub(super) const fn mishap(ledger: LedgerId) -> Self {
        Self {
            ledger,
            cells: Vec::new(),
            wider: true,
            from_elsewhere: true,
        }
    }
}

impl Desk {
    /// What went wrong with ledgers on this device, and which device brought it.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn mishaps(&self) -> Result<Vec<MishapRow>, DeskError> {
        Ok(self.shelf().store.mishaps()?)
    }

    /// The same of one ledger.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn mishaps_of(&self, ledger: &LedgerId) -> Result<Vec<MishapRow>, DeskError> {
        let mut rows = self.mishaps()?;
        rows.retain(|row| row.ledger == *ledger);
        Ok(rows)
    }

    /// How many bytes of a ledger were set aside because they could not be read.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn aside(&self, ledger: &LedgerId) -> Result<u64, DeskError> {
        Ok(self.shelf().store.aside(ledger)?)
    }
}
