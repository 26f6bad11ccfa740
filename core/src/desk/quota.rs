//! Quota: how much one device may bring into one ledger in a day. Far above what anybody
//! judges, far below what fills a disk or a memory: a device that was altered, or that runs
//! wild, stops at the bound, the shop is told which, and everybody else goes on.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::DeskError;
use super::shelf::Shelf;
use crate::course::LedgerId;
use crate::entry::DeviceKey;
use crate::ledger::{Mishap, Taken};

/// How much.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Amount {
    entries: usize,
    bytes: usize,
}

/// By a device that the shop admitted, in a course or a person's ledger: some forty times a
/// full pool day.
const IN_A_COURSE: Amount = Amount {
    entries: 20_000,
    bytes: 40 << 20,
};
/// In the shop's ledger, which every device carries.
const IN_THE_SHOP: Amount = Amount {
    entries: 5_000,
    bytes: 10 << 20,
};
/// By keys that no certificate names, all together, as one device brings them: honest ones
/// come a moment before their certificate does.
const BY_STRANGERS: Amount = Amount {
    entries: 2_000,
    bytes: 4 << 20,
};

/// What has come today, by ledger and by whom. Kept in memory: whoever sends cannot switch
/// this device off and on.
#[derive(Debug, Default)]
pub(super) struct Quota {
    day: Option<NaiveDate>,
    had: BTreeMap<(LedgerId, DeviceKey, bool), Amount>,
}

impl Shelf {
    /// Whether what a device brings is within bounds; counts it if it is, and notes who
    /// brought too much if it is not.
    pub(super) fn within_quota(
        &mut self,
        from: Option<DeviceKey>,
        taken: &Taken,
    ) -> Result<bool, DeskError> {
        let ledger = *taken.ledger().id();
        let Some(book) = &self.book else {
            return Ok(true);
        };
        // A device that has not yet the shop's book cannot tell a stranger.
        if book.certificate(&self.device.key.public()).is_none() {
            return Ok(true);
        }
        let today = self.stamps.today();
        if self.quota.day != Some(today) {
            self.quota = Quota {
                day: Some(today),
                had: BTreeMap::new(),
            };
        }
        let mut now: BTreeMap<(DeviceKey, bool), Amount> = BTreeMap::new();
        for (id, bytes) in taken.entries.iter().zip(&taken.lengths) {
            let line = taken.ledger().lines().get(id);
            let key = line.and_then(|line| line.key.filter(|_| line.signed));
            let known = key.filter(|key| book.writer(key).is_some());
            let Some(whose) = known.or(from) else {
                continue;
            };
            let amount = now.entry((whose, known.is_some())).or_insert(NOTHING);
            amount.entries += 1;
            amount.bytes += bytes;
        }
        for ((whose, known), amount) in &now {
            let most = match (known, ledger) {
                (false, _) => BY_STRANGERS,
                (true, LedgerId::Shop(_)) => IN_THE_SHOP,
                (true, LedgerId::Course(_) | LedgerId::Person(_)) => IN_A_COURSE,
            };
            let had = self.quota.had.get(&(ledger, *whose, *known));
            let had = had.copied().unwrap_or(NOTHING);
            if had.entries + amount.entries > most.entries || had.bytes + amount.bytes > most.bytes
            {
                self.note_mishap(&ledger, Some(whose), Mishap::TooMuch, None)?;
                return Ok(false);
            }
        }
        for ((whose, known), amount) in now {
            let had = self
                .quota
                .had
                .entry((ledger, whose, known))
                .or_insert(NOTHING);
            had.entries += amount.entries;
            had.bytes += amount.bytes;
        }
        Ok(true)
    }
}

const NOTHING: Amount = Amount {
    entries: 0,
    bytes: 0,
};
