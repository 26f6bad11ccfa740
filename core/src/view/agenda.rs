//! Agenda: the hours of pool and site that the school has from now on, what is held in them,
//! and who is away when.

use super::people::WhoName;
use super::{Leave, Moment, Reader};
use crate::course::{Away, CourseId, SessionPlan, Slot};
use crate::entry::{Kind, Who};
use crate::plan::{held_in, is_away, people_of};
use crate::standing::CourseStanding;

/// Slots and absences, as a course sees them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AgendaView {
    /// Of which course.
    pub course: CourseId,
    /// Slots that have not ended, in order of their start.
    pub slots: Vec<SlotRow>,
    /// Of these, how many are free.
    pub free: u32,
    /// Absences of the course's students and staff that have not ended, in order of their
    /// start.
    pub away: Vec<AwayRow>,
    /// The course's students and staff, to say of whom an absence is.
    pub people: Vec<WhoName>,
    /// Whether the reader may write slots and absences down.
    pub may_set: Leave,
}

/// A slot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SlotRow {
    /// As it is kept.
    pub slot: Slot,
    /// When it starts.
    pub starts: Moment,
    /// When it ends.
    pub ends: Moment,
    /// The session that is held in it; `None` while it is free.
    pub held: Option<String>,
    /// Of which course that is, where it is another one.
    pub other_course: Option<String>,
}

/// An absence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AwayRow {
    /// Whose.
    pub who: WhoName,
    /// As it is kept.
    pub away: Away,
    /// From when.
    pub from: Moment,
    /// Until when; of whole days the last minute that is taken, so that its day is the last.
    pub until: Moment,
    /// Whether it is of whole days.
    pub whole_days: bool,
}

impl AgendaView {
    /// Of a course; `courses` are all that this device knows of, for what is held in a slot.
    pub fn of(course: &CourseStanding, courses: &[&CourseStanding], reader: &Reader<'_>) -> Self {
        let mut slots: Vec<SlotRow> = reader
            .shop
            .slots()
            .into_values()
            .filter(|slot| slot.ends() > reader.now)
            .map(|slot| SlotRow::of(course, courses, reader, slot))
            .collect();
        slots.sort_by(|a, b| (a.starts.at, &a.slot.uid).cmp(&(b.starts.at, &b.slot.uid)));
        let staff = course.staff();
        let of_staff = reader.shop.away().into_iter();
        let of_staff = of_staff.filter(|(who, _)| match who {
            Who::Staff(id) => staff.contains_key(id),
            Who::Student(_) => false,
        });
        let mut away: Vec<(Who, &Away)> = course.away();
        away.extend(of_staff);
        away.retain(|(_, away)| away.until > reader.now);
        away.sort_by_key(|(who, away)| (away.from, *who));
        let roster = reader.people.roster(&course.students());
        let students = roster.into_iter().map(|name| Who::Student(name.student));
        let people = students.chain(staff.keys().copied().map(Who::Staff));
        Self {
            course: *course.id(),
            free: super::reader::count(slots.iter().filter(|one| one.held.is_none()).count()),
            slots,
            away: away
                .into_iter()
                .map(|(who, away)| AwayRow::of(reader, &who, away))
                .collect(),
            people: people.map(|who| reader.who(&who)).collect(),
            may_set: reader.may_write(Kind::SlotSet),
        }
    }
}

impl SlotRow {
    fn of(
        own: &CourseStanding,
        courses: &[&CourseStanding],
        reader: &Reader<'_>,
        slot: &Slot,
    ) -> Self {
        let held = held_in(slot, courses);
        let other = held.filter(|(course, ..)| course.id() != own.id());
        Self {
            slot: slot.clone(),
            starts: reader.when(slot.starts),
            ends: reader.when(slot.ends()),
            held: held.map(|(_, _, now)| now.plan.title.clone()),
            other_course: other.map(|(course, ..)| course.title()),
        }
    }
}

impl AwayRow {
    fn of(reader: &Reader<'_>, who: &Who, away: &Away) -> Self {
        let midnight =
            |at: chrono::DateTime<chrono::FixedOffset>| at.time() == chrono::NaiveTime::MIN;
        let whole_days = midnight(away.from) && midnight(away.until);
        let last = away
            .until
            .checked_sub_signed(chrono::TimeDelta::minutes(1))
            .filter(|_| whole_days);
        Self {
            who: reader.who(who),
            away: away.clone(),
            from: reader.when(away.from),
            until: reader.when(last.unwrap_or(away.until)),
            whole_days,
        }
    }
}

/// Whom a plan names and who said that they are away at its hours.
pub(super) fn away_from(
    course: &CourseStanding,
    reader: &Reader<'_>,
    plan: &SessionPlan,
) -> Vec<Who> {
    let hours = (plan.starts, plan.ends());
    people_of(plan)
        .filter(|who| is_away(reader.shop, course, who, hours))
        .collect()
}
