//! Slots: which hours of pool and site are still free, who is away at any of them, and how
//! close together sessions may lie.

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::course::{Rule, SessionId, SessionPlan, Setting, Slot, folded};
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
            let meets = plan.meets(slot.starts, slot.ends());
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

/// What a setting needs of a slot: what is shown at the surface is shown in the pool.
pub const fn water_of(setting: Setting) -> Setting {
    match setting {
        Setting::Surface => Setting::Confined,
        Setting::Classroom | Setting::Confined | Setting::Open => setting,
    }
}

/// How close together somebody's sessions may lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Spacing {
    /// The least days from the day of one session to that of the next; at nought two may lie
    /// on one day.
    pub days_between: u16,
    /// The most sessions in open water on one day; `None` without a rule.
    pub dives_a_day: Option<u8>,
}

impl Spacing {
    /// By the course's rule on dives a day, and so many days between that a person asks for.
    pub fn of(course: &CourseStanding, days_between: u16) -> Self {
        let rules = course.rules();
        let most = rules.filter_map(|rule| {
            if let Rule::DivesPerDay { most } = rule.rule {
                Some(most)
            } else {
                None
            }
        });
        Self {
            days_between,
            dives_a_day: most.min(),
        }
    }

    /// As far apart as either of the two asks.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        let dives = [self.dives_a_day, other.dives_a_day];
        Self {
            days_between: self.days_between.max(other.days_between),
            dives_a_day: dives.into_iter().flatten().min(),
        }
    }

    /// Whether anything is asked of a session in this setting.
    pub fn asks(self, setting: Setting) -> bool {
        self.days_between > 0 || (setting == Setting::Open && self.dives_a_day.is_some())
    }

    /// Whether a session may lie on a day beside these others of the same person.
    pub fn allows(
        self,
        (day, setting): (NaiveDate, Setting),
        others: impl IntoIterator<Item = (NaiveDate, Setting)>,
    ) -> bool {
        let mut dives: u32 = 0;
        for (other, held) in others {
            let apart = (other - day).num_days().abs();
            if apart < i64::from(self.days_between) {
                return false;
            }
            dives = dives.saturating_add(u32::from(apart == 0 && held == Setting::Open));
        }
        let most = self.dives_a_day.filter(|_| setting == Setting::Open);
        most.is_none_or(|most| dives < u32::from(most))
    }
}
