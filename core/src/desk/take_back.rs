//! Taking back: what undoes a request as a whole, and the entries that do so.
//!
//! Most entries are taken back by withdrawing them. A name is never withdrawn, for a shop or
//! a course without one is nothing: what was called so before is written once more.

use super::shelf::Shelf;
use super::{Desk, DeskError, Drafts, Recorded};
use crate::course::{EntryId, LedgerId};
use crate::entry::{Body, Kind, Refusal, Withdrawal};
use crate::standing::{Counted, Tally};

impl Desk {
    /// The entries whose taking back undoes the whole of what was recorded; none where that
    /// cannot be, or is not this device's to do. A new student's details stay in their own
    /// ledger, where nothing refers to them any more.
    pub fn may_take_back(&self, entries: &[(LedgerId, EntryId)]) -> Vec<(LedgerId, EntryId)> {
        let mut shelf = self.shelf();
        let enrols = entries
            .iter()
            .any(|one| shelf.kind(one) == Some(Kind::Enrolment));
        let back: Vec<_> = entries
            .iter()
            .filter(|(ledger, _)| !(enrols && matches!(ledger, LedgerId::Person(_))))
            .copied()
            .collect();
        if back.iter().all(|one| shelf.is_own_to_take_back(one)) {
            back
        } else {
            Vec::new()
        }
    }

    /// What kind of entry this is; `None` for one that this device does not read, or of a
    /// person's own ledger.
    pub fn kind_of(&self, entry: &(LedgerId, EntryId)) -> Option<Kind> {
        self.shelf().kind(entry)
    }

    /// Takes entries back, all of them or none; the latest first. What that records can be
    /// taken back as well.
    ///
    /// # Errors
    /// [`DeskError::Refused`] names the rule; nothing has been recorded then.
    pub fn take_back(&self, entries: &[(LedgerId, EntryId)]) -> Result<Recorded, DeskError> {
        let (recorded, changes) = {
            let mut shelf = self.shelf();
            let mut drafts = Drafts::none();
            for one in entries.iter().rev() {
                drafts = drafts.then(shelf.take_back_drafts(one)?);
            }
            shelf.write_down(drafts)?
        };
        self.tell(&changes);
        Ok(recorded)
    }
}

impl Shelf {
    /// The ledger's entries, as far as this device reads them.
    fn tally(&mut self, ledger: &LedgerId) -> Option<&Tally> {
        match ledger {
            LedgerId::Shop(_) => Some(self.shop().ok()?.0.standing.tally()),
            LedgerId::Course(course) => Some(self.course(course).ok()?.standing.tally()),
            LedgerId::Person(_) => None,
        }
    }

    fn kind(&mut self, (ledger, entry): &(LedgerId, EntryId)) -> Option<Kind> {
        Some(self.tally(ledger)?.get(entry)?.entry.body.kind())
    }

    fn is_own_to_take_back(&mut self, one: &(LedgerId, EntryId)) -> bool {
        let Ok(drafts) = self.take_back_drafts(one) else {
            return false;
        };
        drafts
            .list
            .iter()
            .all(|draft| self.ask_rules(draft).is_ok())
    }

    fn take_back_drafts(
        &mut self,
        (ledger, entry): &(LedgerId, EntryId),
    ) -> Result<Drafts, DeskError> {
        let withdrawal = Withdrawal {
            entry: *entry,
            why: None,
        };
        let withdrawn = Drafts::one(*ledger, withdrawal, vec![*entry]);
        let Some(tally) = self.tally(ledger) else {
            return Ok(withdrawn);
        };
        let Some(one) = tally.get(entry) else {
            return Ok(withdrawn);
        };
        let kind = one.entry.body.kind();
        if !matches!(kind, Kind::ShopOpened | Kind::CourseOpened) {
            return Ok(withdrawn);
        }
        let body = before(tally, one).ok_or(Refusal::NothingOpen)?;
        let after = tally
            .iter()
            .filter(|one| one.entry.body.kind() == kind)
            .map(|one| one.entry.id)
            .collect();
        Ok(Drafts::one(*ledger, body, after))
    }
}

/// What held before a name was given.
fn before(tally: &Tally, one: &Counted) -> Option<Body> {
    let held = tally.latest_one(&one.entry.after, |_| ())?;
    Some(held.entry.body.clone())
}
