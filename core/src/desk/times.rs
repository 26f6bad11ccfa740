//! Times: somebody's times in and out of the water, put right after they were counted.
//!
//! What was counted at the time it says stays; the rest is withdrawn and written anew, each
//! passage after the one before it. So the journal shows what was counted, what it was put
//! right to, and when.

use chrono::{DateTime, FixedOffset};

use super::request::InWater;
use super::shelf::Shelf;
use super::{DeskError, Drafts};
use crate::course::{CourseId, LedgerId, SessionId};
use crate::entry::{Attendance, Body, Passage, Refusal, Who, Withdrawal};

impl Shelf {
    pub(super) fn times_drafts(
        &mut self,
        course: CourseId,
        session: SessionId,
        who: Who,
        dives: &[InWater],
    ) -> Result<Drafts, DeskError> {
        let now = self.stamps.now();
        let mut wanted = Vec::with_capacity(dives.len() * 2);
        for (place, dive) in dives.iter().enumerate() {
            let last = place + 1 == dives.len();
            if dive.up.is_none() && !last {
                return Err(Refusal::EndsBeforeItBegins { field: "dive" }.into());
            }
            wanted.push((Passage::In, dive.down));
            wanted.extend(dive.up.map(|up| (Passage::Out, up)));
        }
        let in_order = wanted.windows(2).all(|pair| match pair {
            [before, after] => before.1 < after.1,
            _ => true,
        });
        if !in_order {
            return Err(Refusal::EndsBeforeItBegins { field: "dive" }.into());
        }
        if wanted.iter().any(|(_, when)| *when > now) {
            return Err(Refusal::StillToCome { field: "time" }.into());
        }
        let standing = &self.course(&course)?.standing;
        let all = standing.passages(&session, &who);
        let mut there: Vec<_> = all
            .iter()
            .filter_map(|id| standing.tally().standing(id))
            .filter_map(|one| {
                if let Body::Attendance(attendance) = &one.entry.body {
                    Some((one.entry.id, (attendance.passage, attendance.when)))
                } else {
                    None
                }
            })
            .collect();
        there.sort_unstable_by_key(|(id, (passage, when))| (*when, *passage, *id));
        let kept = there
            .iter()
            .zip(&wanted)
            .take_while(|((_, counted), wanted)| is_same(*counted, **wanted))
            .count();
        let ledger = LedgerId::Course(course);
        let mut drafts = Drafts::none();
        for (entry, _) in there.iter().skip(kept) {
            let withdrawal = Withdrawal {
                entry: *entry,
                why: None,
            };
            drafts = drafts.and(ledger, withdrawal, vec![*entry]);
        }
        for (place, (passage, when)) in wanted.into_iter().enumerate().skip(kept) {
            let attendance = Attendance {
                who,
                session,
                passage,
                when,
            };
            drafts = if place == kept {
                drafts.and(ledger, attendance, all.clone())
            } else {
                drafts.and_following(ledger, attendance, all.clone())
            };
        }
        Ok(drafts)
    }
}

/// Whether a passage that was counted is the one that is meant. A time that is typed knows no
/// seconds: what was counted within that minute is finer, and stays.
fn is_same(
    counted: (Passage, DateTime<FixedOffset>),
    wanted: (Passage, DateTime<FixedOffset>),
) -> bool {
    let minute = |at: DateTime<FixedOffset>| at.timestamp().div_euclid(60);
    let exact = wanted.1.timestamp().rem_euclid(60) != 0;
    counted.0 == wanted.0
        && (counted.1 == wanted.1 || (!exact && minute(counted.1) == minute(wanted.1)))
}
