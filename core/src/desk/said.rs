//! Said: what the other devices have said they hold, until it is written down.
//!
//! It is their word about their own disk and no promise of ours, so it needs no flush of its
//! own: it goes into the next commit, whatever that is of, and at the latest when the link is
//! at rest for a moment. Until then it is answered from here. A power cut in between costs what
//! the other device says again at the next meeting, and shows too little as held, never too
//! much: for that reason a word that takes something back is written at once.

use super::DeskError;
use super::shelf::Shelf;
use crate::course::LedgerId;
use crate::entry::DeviceKey;
use crate::ledger::Heads;

/// So many words wait at most.
const MOST_WAITING: usize = 4_096;

impl Shelf {
    /// Notes that a device has stored a ledger up to these heads.
    pub(super) fn note_said(
        &mut self,
        key: DeviceKey,
        ledger: &LedgerId,
        heads: &Heads,
    ) -> Result<(), DeskError> {
        // Between two words of one meeting a device loses nothing.
        if let Some(waits) = self.said.get_mut(&(*ledger, key)) {
            waits.clone_from(heads);
            return Ok(());
        }
        let before = self.store.held(ledger)?;
        let before = before.into_iter().find(|(who, _)| *who == key);
        let takes_back = match &before {
            Some((_, before)) if before == heads => return Ok(()),
            Some((_, before)) => !self.goes_on(ledger, before, heads),
            None => false,
        };
        if takes_back {
            return Ok(self.store.put_held(&key, ledger, heads)?);
        }
        self.said.insert((*ledger, key), heads.clone());
        if self.said.len() >= MOST_WAITING {
            self.write_said()?;
        }
        Ok(())
    }

    /// Whether whoever holds `now` holds all that `before` covers, as far as this device can
    /// tell without opening the ledger.
    fn goes_on(&self, ledger: &LedgerId, before: &Heads, now: &Heads) -> bool {
        let open = self.open(ledger);
        open.is_some_and(|ledger| ledger.covers(now, before))
    }

    /// What each device has said it stored of a ledger, written down or not, in order of key.
    pub(super) fn said_of(&self, ledger: &LedgerId) -> Result<Vec<(DeviceKey, Heads)>, DeskError> {
        let mut said = self.store.held(ledger)?;
        let least = (*ledger, DeviceKey([0; 32]));
        let most = (*ledger, DeviceKey([u8::MAX; 32]));
        for ((_, key), heads) in self.said.range(least..=most) {
            match said.iter_mut().find(|(who, _)| who == key) {
                Some((_, written)) => written.clone_from(heads),
                None => said.push((*key, heads.clone())),
            }
        }
        said.sort_unstable_by_key(|(key, _)| *key);
        Ok(said)
    }

    /// Writes down what waits, in one transaction.
    pub(super) fn write_said(&mut self) -> Result<(), DeskError> {
        if !self.said.is_empty() {
            self.store.put_all_held(&self.said)?;
            self.said.clear();
        }
        Ok(())
    }
}
