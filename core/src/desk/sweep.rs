//! Sweep: what was recorded of everybody in one go, and the exceptions that are said next.
//!
//! Who a sweep takes is [`crate::view`]'s to say; it goes through the same door as any mark.

use chrono::TimeDelta;

use super::DeskError;
use super::request::{Again, MarkTap};
use super::shelf::Shelf;
use crate::course::EntryId;
use crate::entry::{Body, Origin};

/// How long after a sweep another mark on one of its cells is an exception to it. Later it is
/// asked what it is, as of any mark: somebody may have tried again.
const EXCEPTIONS: TimeDelta = TimeDelta::minutes(15);

/// A mark that a sweep gave and nothing was said of since.
pub(super) struct Swept {
    pub(super) entry: EntryId,
    /// When it was seen: the exception was seen then too.
    pub(super) origin: Origin,
}

impl Shelf {
    /// The mark of a sweep that this tap is an exception to: of this person, on this device,
    /// in the same session, a short while ago, and another mark than that.
    pub(super) fn swept(&mut self, tap: &MarkTap) -> Result<Option<Swept>, DeskError> {
        let (Some(me), Again::Unsaid, Origin::Live) = (self.writer(), tap.again, tap.origin) else {
            return Ok(None);
        };
        let (now, own_key) = (self.stamps.now(), self.device.key.public());
        let course = &self.course(&tap.on.course())?.standing;
        let tally = course.tally();
        let from_memory = |id: &EntryId| match tally.get(id).map(|one| &one.entry.body) {
            Some(Body::Attempt(attempt)) => matches!(attempt.origin, Origin::Memory { .. }),
            Some(_) | None => false,
        };
        let key = (tap.on.student(), tap.on.skill().clone());
        let own: Vec<_> = course
            .cell_entries(&key)
            .filter(|one| one.entry.by == me.staff && one.device == own_key)
            .filter(|one| tally.counts(&one.entry.id))
            .collect();
        let swept = own.iter().find_map(|one| {
            let Body::Attempt(attempt) = &one.entry.body else {
                return None;
            };
            let recent = (now - one.entry.at).abs() < EXCEPTIONS;
            // An exception that was said already lists the mark it was one to.
            let plain = !one.entry.after.iter().any(from_memory);
            let last = !own
                .iter()
                .any(|other| other.entry.after.contains(&one.entry.id));
            (matches!(attempt.origin, Origin::Memory { .. })
                && attempt.session == tap.session
                && attempt.mark != tap.mark
                && recent
                && plain
                && last)
                .then_some(Swept {
                    entry: one.entry.id,
                    origin: attempt.origin,
                })
        });
        Ok(swept)
    }
}
