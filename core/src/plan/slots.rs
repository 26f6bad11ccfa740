//! Slots: which hours of pool and site are still free, and who is away at any of them.

use chrono::{DateTime, FixedOffset};

use crate::course::{SessionId, SessionPlan, Slot, folded};
use crate::entry::Who;
use crate::standing::{CourseStanding, SessionNow, ShopStanding};

/// The session that is held in a slot: at its place, at any of its hours, and not cancelled.
pub fn held_in<'a>(
    slot: &Slot,
    courses: &[&'a CourseStanding],
) -> Option<(&'a CourseStanding, SessionId, &'a SessionNow)> {
    let place = folded(&slot.site);
    for course in courses.iter().copied() {
        for (id, now) in course.sessions() {
            let plan = &now.plan;
            let meets = plan.starts < slot.ends() && slot.starts < plan.ends();
            if now.cancelled.is_none() && meets && folded(&plan.site) == place {
                return Some((course, *id, now));
            }
        }
    }
    None
}

/// The slots that begin after a moment and in which none of these courses holds a session, by
/// their beginning.
pub fn free_slots<'a>(
    shop: &'a ShopStanding,
    courses: &[&CourseStanding],
    after: DateTime<FixedOffset>,
) -> Vec<&'a Slot> {
    let slots = shop.slots().into_values();
    let mut free: Vec<&Slot> = slots
        .filter(|slot| slot.starts > after && held_in(slot, courses).is_none())
        .collect();
    free.sort_by_key(|slot| (slot.starts, &slot.uid));
    free
}

/// Whether somebody said that they are away at any of these hours.
pub fn is_away(
    shop: &ShopStanding,
    course: &CourseStanding,
    who: &Who,
    (from, until): (DateTime<FixedOffset>, DateTime<FixedOffset>),
) -> bool {
    let said = match who {
        Who::Student(_) => course.away(),
        Who::Staff(_) => shop.away(),
    };
    said.iter()
        .any(|(of, away)| of == who && away.meets(from, until))
}

/// Everybody whom a plan names, students first.
pub fn people_of(plan: &SessionPlan) -> impl Iterator<Item = Who> + '_ {
    let students = plan.students.iter().copied().map(Who::Student);
    students.chain(plan.staff.iter().copied().map(Who::Staff))
}
