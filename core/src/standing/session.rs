//! A session and a policy as they stand: the latest word of several entries.

use std::collections::BTreeSet;

use super::course::{PolicyNow, RuleHeld, SessionNow};
use super::tally::{Counted, Tally};
use crate::course::EntryId;
use crate::entry::{Body, Kind, PolicySet};

impl SessionNow {
    /// The session after all that was said of it; `None` while no plan of it stands.
    ///
    /// The latest plan holds; the latest move after it gives time and place; a
    /// cancellation holds until a later plan. Of a plan and a cancellation written apart
    /// the cancellation holds: nobody should wait at a pool that is shut.
    pub(super) fn of(tally: &Tally, entries: &BTreeSet<EntryId>) -> Option<Self> {
        let kind = |wanted: Kind| {
            let of_kind = entries.iter().filter(|id| {
                tally
                    .get(id)
                    .is_some_and(|one| one.entry.body.kind() == wanted)
            });
            tally.latest_one(of_kind, |_| ())
        };
        let planned = kind(Kind::SessionPlanned)?;
        let Body::SessionPlanned(body) = &planned.entry.body else {
            return None;
        };
        let mut now = Self {
            plan: body.plan.clone(),
            entry: planned.entry.id,
            cancelled: None,
            changes: u32::try_from(entries.len().saturating_sub(1)).unwrap_or(u32::MAX),
        };
        let overtaken = |one: &Counted| planned.entry.after.contains(&one.entry.id);
        if let Some(moved) = kind(Kind::SessionMoved).filter(|one| !overtaken(one))
            && let Body::SessionMoved(body) = &moved.entry.body
        {
            now.plan.starts = body.starts;
            now.plan.site.clone_from(&body.site);
            now.entry = moved.entry.id;
        }
        if let Some(cancelled) = kind(Kind::SessionCancelled).filter(|one| !overtaken(one))
            && let Body::SessionCancelled(body) = &cancelled.entry.body
        {
            now.cancelled = Some(body.why.clone());
            now.entry = cancelled.entry.id;
        }
        Some(now)
    }
}

impl PolicyNow {
    /// The policy with every confirmation that stands: taken over from the shop, or made
    /// here over this very entry.
    pub(super) fn of<'a>(
        entry: EntryId,
        set: &PolicySet,
        tally: &Tally,
        confirmations: impl Iterator<Item = &'a Counted>,
    ) -> Self {
        let mut confirmed: std::collections::BTreeMap<_, _> = set
            .confirmed
            .iter()
            .filter(|one| set.policy.rule(&one.rule).is_some())
            .map(|one| {
                let (by, on, read) = (one.by, one.on, one.read.clone());
                (one.rule.clone(), RuleHeld { by, on, read })
            })
            .collect();
        for one in confirmations.filter(|one| tally.counts(&one.entry.id)) {
            if let Body::PolicyConfirmed(body) = &one.entry.body
                && body.policy == entry
            {
                let held = RuleHeld {
                    by: one.entry.by,
                    on: one.entry.at.date_naive(),
                    read: body.read.clone(),
                };
                let rules = body.rules.iter();
                confirmed.extend(rules.map(|rule| (rule.clone(), held.clone())));
            }
        }
        Self {
            entry,
            policy: set.policy.clone(),
            confirmed,
        }
    }

    /// Who confirmed a rule, when and by which text; `None` while nobody has.
    pub fn confirmation(&self, rule: &crate::course::RuleId) -> Option<&RuleHeld> {
        self.confirmed.get(rule)
    }
}
