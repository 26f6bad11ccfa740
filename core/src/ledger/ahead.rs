//! Ahead: what changes from elsewhere add, read and checked before it is their turn to be taken.
//!
//! Whether bytes are an entry, are named by their digest and were signed by the key they name
//! hangs on these bytes and on which ledger it is, and on nothing that a ledger holds: so it can
//! be found out while another piece is applied. Whose the key is, and whether the entry counts,
//! is asked when it is taken.

use std::collections::BTreeMap;

use automerge::{Change, ChangeHash};

use super::LedgerError;
use super::adds::{Add, adds_of_all};
use super::irregular::Irregular;
use super::layout::begin;
use crate::course::LedgerId;

/// What was read, by change. It is believed of a change with the same hash, which is over every
/// byte, and in the ledger it was read for: in another neither id nor signature would hold.
#[derive(Debug, Default)]
pub(crate) struct Ahead {
    ledger: Option<LedgerId>,
    read: BTreeMap<ChangeHash, Result<Vec<Add>, Irregular>>,
}

impl Ahead {
    /// Reads changes as those of this ledger.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub(crate) fn of(ledger: &LedgerId, changes: &[Change]) -> Result<Self, LedgerError> {
        let (_, layout, _) = begin(ledger)?;
        let changes: Vec<&Change> = changes.iter().collect();
        Ok(Self {
            ledger: Some(*ledger),
            read: adds_of_all(&changes, ledger, &layout.entries),
        })
    }

    /// What was read of more changes. Of another ledger's it is nothing, whichever it was read
    /// for.
    pub(crate) fn join(&mut self, more: Self) {
        match (self.ledger, more.ledger) {
            (Some(here), Some(there)) if here == there => self.read.extend(more.read),
            (None, _) => *self = more,
            (Some(_), _) => {}
        }
    }

    /// What of it holds in this ledger.
    pub(super) fn within(self, ledger: &LedgerId) -> Self {
        if self.ledger == Some(*ledger) {
            self
        } else {
            Self::default()
        }
    }

    /// Whether this change was read.
    pub(super) fn has(&self, change: &Change) -> bool {
        self.read.contains_key(&change.hash())
    }

    /// What the change adds, if it was read; once.
    pub(super) fn take(&mut self, change: &Change) -> Option<Result<Vec<Add>, Irregular>> {
        self.read.remove(&change.hash())
    }

    /// Puts what was read meanwhile to it.
    pub(super) fn extend(&mut self, more: BTreeMap<ChangeHash, Result<Vec<Add>, Irregular>>) {
        self.read.extend(more);
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::course::CourseId;
    use crate::ledger::sample::sealed;
    use crate::ledger::{Ledger, Taken, changes_in};

    fn ledger(course: u128, actor: u8) -> Ledger {
        let id = LedgerId::Course(CourseId::new(Uuid::from_u128(course)));
        Ledger::new(id, [actor; 16]).unwrap()
    }

    /// Changes of a device, one of which carries a signature that does not hold.
    fn changes(of: &mut Ledger, count: u128) -> Vec<Change> {
        let mut bytes = Vec::new();
        for second in 0..count {
            let (_, mut sealed) = sealed(of.id(), 2, second, "");
            if second == 5 {
                *sealed.last_mut().unwrap() ^= 1;
            }
            bytes.extend(of.add(&sealed).unwrap().change);
        }
        changes_in(&bytes).unwrap()
    }

    fn taken(here: &Ledger, changes: Vec<Change>, ahead: Ahead) -> Taken {
        here.clone().take_whole(changes, ahead).unwrap()
    }

    fn said(taken: &Taken) -> impl PartialEq + std::fmt::Debug + use<> {
        (
            taken.entries.clone(),
            taken.unsigned.clone(),
            taken.changes.clone(),
            taken.lengths.clone(),
            taken.ledger().lines().clone(),
        )
    }

    #[test]
    fn what_was_read_ahead_is_what_would_have_been_read() {
        let here = ledger(7, 1);
        // A few, which are written one by one, and so many that the cores share them.
        for count in [1, 6, 100, 200] {
            let changes = changes(&mut ledger(7, 2), count);
            let in_turn = taken(&here, changes.clone(), Ahead::default());
            assert_eq!(in_turn.entries.len(), usize::try_from(count).unwrap());
            assert_eq!(in_turn.unsigned.len(), usize::from(count > 5));
            let all = Ahead::of(here.id(), &changes).unwrap();
            assert!(changes.iter().all(|change| all.has(change)));
            assert_eq!(said(&taken(&here, changes.clone(), all)), said(&in_turn));
            // Others came before, and were not read with it.
            let half = Ahead::of(here.id(), &changes[changes.len() / 2..]).unwrap();
            assert_eq!(said(&taken(&here, changes.clone(), half)), said(&in_turn));
        }
    }

    #[test]
    fn what_was_read_for_another_ledger_is_not_believed() {
        let here = ledger(7, 1);
        let changes = changes(&mut ledger(7, 2), 100);
        let elsewhere = Ahead::of(ledger(8, 1).id(), &changes).unwrap();
        let read = changes.iter().filter(|change| elsewhere.has(change));
        assert_eq!(read.count(), 100, "each was read, as no entry of that one");
        let in_turn = taken(&here, changes.clone(), Ahead::default());
        assert_eq!(said(&taken(&here, changes, elsewhere)), said(&in_turn));
    }
}
