//! Held: where a ledger is held, as far as the other devices have said.

use std::collections::{BTreeMap, BTreeSet};

use super::shelf::Shelf;
use super::{Desk, DeskError};
use crate::course::{EntryId, LedgerId, Role};
use crate::entry::{DeviceKey, Kind};
use crate::store::Stands;
use crate::sync::Held;
use crate::trust::Doubt;

/// Where a course is held, or the shop's own book. The people of a course are counted
/// with it: it is held where all of it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldRow {
    /// The course's ledger, or the shop's.
    pub ledger: LedgerId,
    /// What the course is called; the shop's name for its book. `None` if not known.
    pub title: Option<String>,
    /// How many entries are here, its people's among them.
    pub entries: u32,
    /// What the shop's own computers hold of it, the best of them.
    pub by_shop: Held,
    /// What each other device that may have it holds, by signing key.
    pub by_each: BTreeMap<DeviceKey, Held>,
}

/// What two ledgers that belong together come to: whatever is missing of either is missing.
fn together(a: Held, b: Held) -> Held {
    match (a, b) {
        (Held::HereOnly { changes: a }, Held::HereOnly { changes: b }) => {
            Held::HereOnly { changes: a + b }
        }
        (here @ Held::HereOnly { .. }, _) | (_, here @ Held::HereOnly { .. }) => here,
        (Held::NotKnown, _) | (_, Held::NotKnown) => Held::NotKnown,
        (Held::There, Held::There) => Held::There,
    }
}

/// The best of what several devices hold.
fn best(held: impl Iterator<Item = Held>) -> Held {
    held.min_by_key(|held| match held {
        Held::There => (0, 0),
        Held::HereOnly { changes } => (1, *changes),
        Held::NotKnown => (2, 0),
    })
    .unwrap_or(Held::NotKnown)
}

impl Shelf {
    fn held_by_each(&mut self, id: &LedgerId) -> Result<BTreeMap<DeviceKey, Held>, DeskError> {
        let said = self.said_of(id)?;
        if let Some(here) = self.store.stands(id)?
            && said.iter().all(|(_, heads)| *heads == here.heads)
        {
            // Everyone has all of it: nothing needs to be opened to know.
            return Ok(said
                .into_iter()
                .map(|(key, _)| (key, Held::There))
                .collect());
        }
        let ledger = self.held_ledger(id)?;
        let held = |(key, heads)| (key, Held::of(ledger, Some(&heads)));
        Ok(said.into_iter().map(held).collect())
    }

    /// The shop's own computers that are admitted, this one among them if it is one.
    fn shop_computers(&self) -> Result<BTreeSet<DeviceKey>, DeskError> {
        let (_, book) = self.shop()?;
        let certified = book.certificates().map(|(_, one)| one);
        Ok(certified
            .filter(|one| one.role == Role::Shop && !book.is_revoked(&one.key))
            .map(|one| one.key)
            .collect())
    }

    /// Other devices that are admitted and may have this ledger.
    fn may_hold(&mut self, id: &LedgerId) -> Result<Vec<DeviceKey>, DeskError> {
        let own = self.device.key.public();
        let (_, book) = self.shop()?;
        let others: Vec<_> = book
            .certificates()
            .map(|(_, one)| (one.key, one.staff, one.role, book.vouched_by(&one.key)))
            .filter(|(key, ..)| *key != own && !book.is_revoked(key))
            .collect();
        let mut holders = Vec::new();
        for (key, staff, role, vouched) in others {
            let vouched = match vouched {
                Some(vouched) => self.may_have(&vouched, id)?,
                None => true,
            };
            if role == Role::Shop || (vouched && self.may_have(&staff, id)?) {
                holders.push(key);
            }
        }
        Ok(holders)
    }

    fn held_row(
        &mut self,
        ledgers: &[(LedgerId, Stands)],
        computers: &BTreeSet<DeviceKey>,
    ) -> Result<Option<HeldRow>, DeskError> {
        let Some((ledger, _)) = ledgers.first() else {
            return Ok(None);
        };
        let own = self.device.key.public();
        let holders = self.may_hold(ledger)?;
        let mut by_each: BTreeMap<DeviceKey, Held> =
            holders.iter().map(|key| (*key, Held::There)).collect();
        let (mut entries, mut by_shop) = (0_u32, Held::There);
        for (id, stands) in ledgers {
            entries = entries.saturating_add(stands.entries);
            let said = self.held_by_each(id)?;
            let of = |key: &DeviceKey| said.get(key).copied().unwrap_or(Held::NotKnown);
            for (key, held) in &mut by_each {
                *held = together(*held, of(key));
            }
            if !computers.contains(&own) {
                by_shop = together(by_shop, best(computers.iter().map(of)));
            }
            self.close_unused();
        }
        if computers.is_empty() {
            // A lone instructor's tablet is its own shop, and nobody else's.
            by_shop = Held::HereOnly {
                changes: usize::try_from(entries).unwrap_or(usize::MAX),
            };
        }
        let standing = &self.shop()?.0.standing;
        let title = match ledger {
            LedgerId::Shop(_) => standing.name().map(str::to_owned),
            LedgerId::Course(id) => standing.course(id).map(|listed| listed.title.clone()),
            LedgerId::Person(_) => None,
        };
        Ok(Some(HeldRow {
            ledger: *ledger,
            title,
            entries,
            by_shop,
            by_each,
        }))
    }
}

impl Desk {
    /// What each device that has said so holds of a ledger, by signing key. One that is not
    /// in it has not said.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the ledger.
    pub fn held_by_each(&self, id: &LedgerId) -> Result<BTreeMap<DeviceKey, Held>, DeskError> {
        self.shelf().held_by_each(id)
    }

    /// Whether the shop holds a ledger: what the shop's own computers have said they stored,
    /// the best of them. The shop's own computer holds what it has.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the ledger.
    pub fn held_by_shop(&self, id: &LedgerId) -> Result<Held, DeskError> {
        let mut shelf = self.shelf();
        let each = shelf.held_by_each(id)?;
        let computers = shelf.shop_computers()?;
        if computers.contains(&shelf.device.key.public()) {
            return Ok(Held::There);
        }
        let said = each.into_iter().filter(|(key, _)| computers.contains(key));
        Ok(best(said.map(|(_, held)| held)))
    }

    /// Where everything on this device is held: the shop's book first, then the courses,
    /// in order of id.
    ///
    /// # Errors
    /// [`DeskError::NotStarted`] before the device has a shop.
    pub fn held(&self) -> Result<Vec<HeldRow>, DeskError> {
        let mut shelf = self.shelf();
        let own_book = shelf.device.shop_ledger()?;
        let (mut heads, mut people) = (Vec::new(), BTreeMap::new());
        for position in shelf.positions()? {
            let stands = Stands {
                entries: position.entries,
                heads: position.heads,
            };
            match position.ledger {
                LedgerId::Shop(_) if position.ledger != own_book => {}
                LedgerId::Shop(_) => heads.insert(0, (position.ledger, stands)),
                LedgerId::Course(_) => heads.push((position.ledger, stands)),
                LedgerId::Person(student) => {
                    people.insert(student, (position.ledger, stands));
                }
            }
        }
        let enrolled = shelf.store.enrolled()?;
        let computers = shelf.shop_computers()?;
        let mut rows = Vec::new();
        for head in heads {
            let course = head.0;
            let students = enrolled.get(&course).into_iter().flatten();
            let theirs = students.filter_map(|one| people.get(one).cloned());
            let ledgers: Vec<_> = std::iter::once(head).chain(theirs).collect();
            rows.extend(shelf.held_row(&ledgers, &computers)?);
        }
        Ok(rows)
    }

    /// Entries of devices that were shut out, which came after the shop last heard of them:
    /// they count for nothing until the shop accepts them.
    ///
    /// # Errors
    /// [`DeskError::NotStarted`] before the device has a shop.
    pub fn late(&self) -> Result<Vec<(LedgerId, Vec<EntryId>)>, DeskError> {
        let mut shelf = self.shelf();
        let shop = shelf.device.shop_ledger()?;
        let (open, _) = shelf.shop()?;
        if open.standing.all_of_kind(Kind::Revocation).is_empty() {
            return Ok(Vec::new());
        }
        let late = |doubts: &BTreeMap<EntryId, Doubt>| -> Vec<EntryId> {
            let late = doubts.iter().filter(|(_, doubt)| **doubt == Doubt::Late);
            late.map(|(id, _)| *id).collect()
        };
        let mut found = vec![(shop, late(open.standing.tally().unverified()))];
        for position in shelf.positions()? {
            if let LedgerId::Course(id) = position.ledger {
                let course = &shelf.course(&id)?.standing;
                found.push((position.ledger, late(course.tally().unverified())));
                shelf.close_unused();
            }
        }
        found.retain(|(_, entries)| !entries.is_empty());
        Ok(found)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_of_either_part_is_missing_of_the_whole() {
        let here = |changes| Held::HereOnly { changes };
        assert_eq!(together(Held::There, Held::There), Held::There);
        assert_eq!(together(Held::There, here(2)), here(2));
        assert_eq!(together(here(2), here(3)), here(5));
        assert_eq!(together(Held::NotKnown, here(3)), here(3));
        assert_eq!(together(Held::There, Held::NotKnown), Held::NotKnown);
    }

    #[test]
    fn of_several_computers_the_one_that_holds_most_is_named() {
        let here = |changes| Held::HereOnly { changes };
        assert_eq!(best([].into_iter()), Held::NotKnown);
        assert_eq!(
            best([Held::NotKnown, here(4), here(1)].into_iter()),
            here(1)
        );
        assert_eq!(best([here(1), Held::There].into_iter()), Held::There);
    }
}
