//! Tally: the entries of one ledger that count, and what was withdrawn.
//!
//! Only grows. Every question is answered from the whole set, never from the order in
//! which the entries came, so two devices with the same entries agree.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::course::{EntryId, Role, StaffId};
use crate::entry::{Body, DeviceKey, Entry, Kind, Mark, Writer, may_withdraw};
use crate::trust::{Doubt, Line, Verdict};

/// How far a chain of withdrawals of withdrawals is followed. A person undoing and
/// redoing reaches a handful; only a forged ring gets here, and it then counts for nothing.
const DEEPEST_CHAIN: usize = 64;

/// An entry that counts unless it was withdrawn, with who wrote it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Counted {
    /// The entry.
    pub entry: Arc<Entry>,
    /// Who wrote it, in which role.
    pub writer: Writer,
    /// On which device.
    pub device: DeviceKey,
}

/// The entries of one ledger.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tally {
    counted: BTreeMap<EntryId, Counted>,
    withdrawals: BTreeMap<EntryId, BTreeSet<EntryId>>,
    /// Attempts, each with what confirms it.
    confirmations: BTreeMap<EntryId, BTreeSet<EntryId>>,
    /// Attempts, each with the words of an instructor that it is *met*: what those stand upon.
    affirmations: BTreeMap<EntryId, BTreeSet<EntryId>>,
    /// From a newer version.
    newer: BTreeSet<EntryId>,
    /// Kept, and counting for nothing.
    unverified: BTreeMap<EntryId, Doubt>,
}

impl Tally {
    /// Takes a line with its verdict; answers the entry if it counts.
    pub fn take(&mut self, id: EntryId, line: &Line, verdict: Verdict) -> Option<&Counted> {
        match (verdict, line.entry().zip(line.key)) {
            (Verdict::Counts(writer), Some((entry, device))) => {
                if let Body::Withdrawal(withdrawal) = &entry.body {
                    self.withdrawals
                        .entry(withdrawal.entry)
                        .or_default()
                        .insert(id);
                } else if let Body::Confirmation(confirmation) = &entry.body {
                    for attempt in &confirmation.attempts {
                        self.confirmations.entry(*attempt).or_default().insert(id);
                    }
                } else if let Body::Resolution(resolution) = &entry.body
                    && resolution.mark == Mark::Met
                {
                    for attempt in &entry.after {
                        self.affirmations.entry(*attempt).or_default().insert(id);
                    }
                }
                self.counted.insert(
                    id,
                    Counted {
                        entry: Arc::clone(entry),
                        writer,
                        device,
                    },
                );
                self.counted.get(&id)
            }
            (Verdict::Newer | Verdict::Counts(_), _) => {
                self.newer.insert(id);
                None
            }
            (Verdict::Unverified(doubt), _) => {
                self.unverified.insert(id, doubt);
                None
            }
        }
    }

    /// An entry that may count, withdrawn or not.
    pub fn get(&self, id: &EntryId) -> Option<&Counted> {
        self.counted.get(id)
    }

    /// Every entry that may count, withdrawn or not, by id.
    pub fn iter(&self) -> impl Iterator<Item = &Counted> {
        self.counted.values()
    }

    /// The same, in the order of the clocks that wrote them.
    pub fn in_order(&self) -> Vec<&Counted> {
        let mut all: Vec<&Counted> = self.counted.values().collect();
        all.sort_by_key(|one| (one.entry.at, one.entry.id));
        all
    }

    /// Whether the entry is there and stands.
    pub fn counts(&self, id: &EntryId) -> bool {
        self.counted.contains_key(id) && self.withdrawn_by(id).is_none()
    }

    /// The entry, if it stands.
    pub fn standing(&self, id: &EntryId) -> Option<&Counted> {
        if self.withdrawn_by(id).is_some() {
            None
        } else {
            self.counted.get(id)
        }
    }

    /// The withdrawal that takes the entry out, if one does.
    pub fn withdrawn_by(&self, id: &EntryId) -> Option<EntryId> {
        self.withdrawn(id, DEEPEST_CHAIN)
    }

    fn withdrawn(&self, id: &EntryId, depth: usize) -> Option<EntryId> {
        // Asked of every mark of a cell, and few entries are ever withdrawn: looked for among
        // those before it is looked for among all.
        let withdrawals = self.withdrawals.get(id)?;
        let target = self.counted.get(id)?;
        let depth = depth.checked_sub(1)?;
        withdrawals.iter().copied().find(|withdrawal| {
            self.counted.get(withdrawal).is_some_and(|by| {
                let kind = target.entry.body.kind();
                // Asked only where it matters: an assistant's word against its own.
                let settled = by.writer.role == Role::Assistant && self.stood_behind(id, depth);
                may_withdraw(by.writer, kind, target.entry.by, settled)
            }) && self.withdrawn(withdrawal, depth).is_none()
        })
    }

    /// The confirmation that stands behind an attempt, if one does.
    pub fn confirmed_by(&self, attempt: &EntryId) -> Option<&Counted> {
        self.confirmed(attempt, DEEPEST_CHAIN)
    }

    fn confirmed(&self, attempt: &EntryId, depth: usize) -> Option<&Counted> {
        self.first_standing(self.confirmations.get(attempt)?, depth)
    }

    /// Whether an instructor stands behind an attempt, by a confirmation or by a word that
    /// settled its cell: whoever made it takes it back no more.
    pub fn is_stood_behind(&self, attempt: &EntryId) -> bool {
        self.stood_behind(attempt, DEEPEST_CHAIN)
    }

    fn stood_behind(&self, attempt: &EntryId, depth: usize) -> bool {
        let both = [&self.confirmations, &self.affirmations];
        let mut both = both.into_iter().filter_map(|some| some.get(attempt));
        both.any(|some| self.first_standing(some, depth).is_some())
    }

    fn first_standing(&self, some: &BTreeSet<EntryId>, depth: usize) -> Option<&Counted> {
        some.iter().find_map(|id| {
            let one = self.counted.get(id)?;
            self.withdrawn(id, depth).is_none().then_some(one)
        })
    }

    /// What a withdrawal is about in the end: through withdrawals of withdrawals to the
    /// entry that says something itself.
    pub fn target(&self, id: &EntryId) -> Option<&Counted> {
        let mut at = self.counted.get(id)?;
        for _ in 0..DEEPEST_CHAIN {
            if let Body::Withdrawal(withdrawal) = &at.entry.body {
                at = self.counted.get(&withdrawal.entry)?
            } else {
                return Some(at);
            }
        }
        None
    }

    /// Kind, writer and whether it stands.
    pub fn known(&self, id: &EntryId) -> Option<(Kind, StaffId, bool)> {
        let counted = self.counted.get(id)?;
        Some((counted.entry.body.kind(), counted.entry.by, self.counts(id)))
    }

    /// Entries of a newer version.
    pub const fn newer(&self) -> &BTreeSet<EntryId> {
        &self.newer
    }

    /// Entries that count for nothing, and why.
    pub const fn unverified(&self) -> &BTreeMap<EntryId, Doubt> {
        &self.unverified
    }

    /// Of these entries, those that stand and that no other standing one of them was
    /// written after: usually one; several when people wrote without seeing each other.
    pub fn latest<'i>(&self, ids: impl IntoIterator<Item = &'i EntryId>) -> Vec<&Counted> {
        let standing: Vec<&Counted> = ids.into_iter().filter_map(|id| self.standing(id)).collect();
        let answered: BTreeSet<&EntryId> =
            (standing.iter()).flat_map(|one| &one.entry.after).collect();
        standing
            .iter()
            .filter(|one| !answered.contains(&one.entry.id))
            .copied()
            .collect()
    }

    /// The one of these entries that holds. Where several were written apart, the one that
    /// `weight` calls heaviest; among equals the one whose id ends in the greatest digits,
    /// which means nothing and is the same on every device, whatever its clock.
    pub fn latest_one<'i, W: Ord>(
        &self,
        ids: impl IntoIterator<Item = &'i EntryId>,
        weight: impl Fn(&Entry) -> W,
    ) -> Option<&Counted> {
        self.latest(ids)
            .into_iter()
            .max_by_key(|one| (weight(&one.entry), chance_of(&one.entry.id)))
    }
}

/// The last half of an id, which is a digest: an order without a clock in it.
pub(super) fn chance_of(id: &EntryId) -> u64 {
    let [_, _, _, _, _, _, _, _, chance @ ..] = *id.bytes();
    u64::from_be_bytes(chance)
}
