//! Marking: a tap on a cell as the entries it becomes, each answering just what was on screen.

use super::request::{Again, MarkTap};
use super::shelf::Shelf;
use super::{DeskError, Drafts};
use crate::course::{EntryId, LedgerId};
use crate::entry::{Attempt, Body, Mark, Origin, Refusal, Resolution, Withdrawal};
use crate::view::{OnScreen, Tap};

impl Shelf {
    /// A tap on a cell as the entries it becomes: an attempt, a correction, a resolution, or
    /// nothing where the mark stands already.
    pub(super) fn mark_draft(&mut self, mut tap: MarkTap) -> Result<Drafts, DeskError> {
        if let Some(seen) = tap.origin.seen()
            && seen > self.stamps.now()
        {
            return Err(Refusal::StillToCome { field: "seen" }.into());
        }
        if tap.on.tap() == Tap::Resolution && tap.mark != Mark::SatOut {
            return self.resolve_draft(&tap.on, tap.mark, tap.note.unwrap_or_default());
        }
        // An exception to a sweep: the person says of one what was not so, and is asked nothing.
        let swept = self.swept(&tap)?;
        if let Some(swept) = &swept {
            tap.again = Again::Correction;
            tap.origin = swept.origin;
        }
        let given = match &swept {
            Some(swept) => Some(Given {
                entry: swept.entry,
                same: false,
            }),
            None => self.given(&tap)?,
        };
        let same = given.as_ref().is_some_and(|given| given.same);
        let withdrawn = match (tap.again, given) {
            (Again::AnotherTry, _) | (_, None) => None,
            (Again::Correction, Some(given)) => Some(given.entry),
            // A press on a mark that stands already is no second try.
            (Again::Unsaid, Some(_)) if same => return Ok(Drafts::none()),
            (Again::Unsaid, Some(given)) => {
                return Err(Refusal::MarkedAlready { entry: given.entry }.into());
            }
        };
        let attempt = Attempt {
            student: tap.on.student(),
            skill: tap.on.skill().clone(),
            method: tap.method,
            mark: tap.mark,
            measured: tap.measured,
            slips: tap.slips,
            note: tap.note,
            despite: tap.despite,
            session: tap.session,
            origin: tap.origin,
        };
        let drafts = self.answering(&tap.on, attempt)?;
        Ok(match withdrawn {
            None => drafts,
            Some(entry) => {
                let ledger = LedgerId::Course(tap.on.course());
                let withdrawal = Withdrawal { entry, why: None };
                Drafts::one(ledger, withdrawal, vec![entry]).then(drafts)
            }
        })
    }

    /// The mark that this person gave this cell last, in the tap's session or, without one,
    /// today. Another way of doing the skill is another try, and sitting out is none.
    fn given(&mut self, tap: &MarkTap) -> Result<Option<Given>, DeskError> {
        let (Some(me), Origin::Live | Origin::Memory { .. }) = (self.writer(), tap.origin) else {
            return Ok(None);
        };
        let plain = tap.note.is_none() && tap.measured.is_empty() && tap.slips.is_empty();
        let (today, own_key) = (self.today(), self.device.key.public());
        let course = &self.course(&tap.on.course())?.standing;
        let key = (tap.on.student(), tap.on.skill().clone());
        let own = course
            .cell_entries(&key)
            .filter(|one| one.entry.by == me.staff)
            // What was on screen; and what this very device recorded since it was drawn.
            .filter(|one| {
                tap.on.seen().contains(&one.entry.id)
                    || (one.device == own_key && course.tally().counts(&one.entry.id))
            })
            .filter_map(|one| {
                let Body::Attempt(attempt) = &one.entry.body else {
                    return None;
                };
                let here = match tap.session {
                    Some(session) => attempt.session == Some(session),
                    None => one.entry.at.date_naive() == today,
                };
                (here && attempt.method == tap.method).then_some((one, attempt.mark))
            })
            .filter(|(_, mark)| (*mark == Mark::SatOut) == (tap.mark == Mark::SatOut));
        // The one that lists the others: what was written last, whatever the clock says.
        let last = own.max_by_key(|(one, _)| (one.entry.after.len(), one.entry.id));
        Ok(last.map(|(one, mark)| Given {
            entry: one.entry.id,
            same: mark == tap.mark && plain,
        }))
    }

    /// An instructor's word on what was on screen.
    pub(super) fn resolve_draft(
        &self,
        on: &OnScreen,
        mark: Mark,
        why: String,
    ) -> Result<Drafts, DeskError> {
        let resolution = Resolution {
            student: on.student(),
            skill: on.skill().clone(),
            mark,
            why,
        };
        self.answering(on, resolution)
    }

    /// An entry that answers just what was on screen, and on this device's own.
    pub(super) fn answering(
        &self,
        on: &OnScreen,
        body: impl Into<Body>,
    ) -> Result<Drafts, DeskError> {
        if on.device() != self.device.key.public() {
            return Err(Refusal::OtherDesk.into());
        }
        let ledger = LedgerId::Course(on.course());
        Ok(Drafts::one(ledger, body, on.seen().to_vec()))
    }
}

/// A mark that was given already.
struct Given {
    entry: EntryId,
    /// Whether it is the one that is tapped, and nothing is added to it.
    same: bool,
}
