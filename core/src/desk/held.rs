//! Held: where a ledger is held, as far as the other devices have said.

use std::collections::BTreeMap;

use super::{Desk, DeskError};
use crate::course::{LedgerId, Role};
use crate::entry::DeviceKey;
use crate::sync::Held;

impl Desk {
    /// What each device that has said so holds of a ledger, by signing key. One that is not
    /// in it has not said.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the ledger.
    pub fn held_by_each(&self, id: &LedgerId) -> Result<BTreeMap<DeviceKey, Held>, DeskError> {
        let mut shelf = self.shelf();
        let said = shelf.store.held(id)?;
        let ledger = shelf.held_ledger(id)?;
        let held = |(key, heads)| (key, Held::of(ledger, Some(&heads)));
        Ok(said.into_iter().map(held).collect())
    }

    /// Whether the shop holds a ledger: what the shop's own computers have said they stored,
    /// the best of them. The shop's own computer holds what it has.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the ledger.
    pub fn held_by_shop(&self, id: &LedgerId) -> Result<Held, DeskError> {
        let each = self.held_by_each(id)?;
        let shelf = self.shelf();
        let (_, book) = shelf.shop()?;
        let is_shop = |key: &DeviceKey| {
            book.writer(key)
                .is_some_and(|writer| writer.role == Role::Shop)
        };
        if is_shop(&shelf.device.key.public()) {
            return Ok(Held::There);
        }
        let said = each
            .into_iter()
            .filter(|(key, _)| is_shop(key) && !book.is_revoked(key))
            .map(|(_, held)| held);
        Ok(said
            .min_by_key(|held| match held {
                Held::There => (0, 0),
                Held::HereOnly { changes } => (1, *changes),
                Held::NotKnown => (2, 0),
            })
            .unwrap_or(Held::NotKnown))
    }
}
