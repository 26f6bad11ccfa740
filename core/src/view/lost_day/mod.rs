//! Lost day: the sessions of a day that cannot be held, before and after, and who is to be told
//! what. A proposal: nothing moves before a person accepts it.
//!
//! Sessions of other courses that share the water of a lost one go where it goes, if one slot
//! suits all of them and this device may plan in their courses.

mod along;
mod beside;

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset};

use super::people::{StaffName, StudentName, WhoName};
use super::reader::count;
use super::session_list::SessionState;
use super::{Leave, Moment, Reader};
use crate::course::{CourseId, SessionId, SessionPlan, Slot};
use crate::entry::{Kind, Who};
use crate::plan::{
    LostSession, Offer, Spacing, StayingSession, free_slots, is_away, move_lost, people_of,
};
use crate::standing::{CourseStanding, SessionNow};

use along::Along;
pub use along::{ApartBecause, LostAlong, LostApart};
use beside::Beside;

/// A lost day, planned anew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LostDayView {
    /// Its sessions, in order of their start.
    pub rows: Vec<LostDayRow>,
    /// How many of them neither a free slot nor another course's session suits: these would be
    /// cancelled.
    pub unplaced: u32,
    /// How many free slots the school has from now on.
    pub free: u32,
    /// Whether no other way would change less of what people were told, with what moves
    /// together held together.
    pub proven: bool,
    /// The least days that were asked for from one session to the next.
    pub days_between: u16,
    /// The most dives on one day, by the course's rule.
    pub dives_a_day: Option<u8>,
    /// Whether the reader may move and cancel.
    pub may_plan: Leave,
}

/// One session of a lost day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LostDayRow {
    /// Which.
    pub session: SessionId,
    /// What it is called.
    pub title: String,
    /// When people were told that it starts.
    pub before: Moment,
    /// Where.
    pub before_site: String,
    /// When and where it would be held; `None` where no free slot suits it.
    pub after: Option<HeldAnew>,
    /// Where no free slot suits it, a session of another course in whose water it could be held,
    /// with its staff.
    pub together: Option<HeldTogether>,
    /// The sessions of other courses that share its water and move with it.
    pub along: Vec<LostAlong>,
    /// Those that share its water and stay where they are: their day is lost as well.
    pub apart: Vec<LostApart>,
    /// The students to be told.
    pub students: Vec<StudentName>,
    /// The staff to be told.
    pub staff: Vec<StaffName>,
    /// Who of them cannot come then: away, or in another session.
    pub away: Vec<WhoName>,
}

/// When and where a session is held anew.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct HeldAnew {
    /// When it starts.
    pub starts: Moment,
    /// When it ends.
    pub ends: Moment,
    /// Where.
    pub site: String,
    /// What the slot costs, in the school's words.
    pub price: Option<String>,
}

/// A session of another course in whose water one of a lost day could be held.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldTogether {
    /// The other course's title.
    pub course_title: String,
    /// What its session is called.
    pub title: String,
    /// When it starts.
    pub starts: Moment,
    /// When it ends.
    pub ends: Moment,
    /// Where.
    pub site: String,
    /// Who teaches and assists there, and would in both.
    pub staff: Vec<StaffName>,
    /// Students together.
    pub students: u32,
    /// The most that the rules of both courses allow with these staff; `None` on land.
    pub ceiling: Option<u32>,
    /// The session as it would be planned.
    pub plan: SessionPlan,
}

/// What is asked while a day is planned anew.
struct Asked<'a, 'r> {
    course: &'a CourseStanding,
    courses: &'a [&'a CourseStanding],
    reader: &'a Reader<'r>,
    /// The lost sessions, and those that move with them.
    gone: Vec<SessionId>,
}

impl LostDayView {
    /// The day of a session, as far as it is held where that one is: every session of the
    /// course on that day and in that setting which has not begun. `courses` are all that this
    /// device knows of, for their slots and their people; `days_between` the least days that are
    /// to lie from one session of a student to the next.
    pub fn of(
        course: &CourseStanding,
        courses: &[&CourseStanding],
        reader: &Reader<'_>,
        session: SessionId,
        days_between: u16,
    ) -> Option<Self> {
        let chosen = &course.sessions().get(&session)?.plan;
        let (day, setting) = (chosen.starts.date_naive(), chosen.setting);
        let lost = lost_with(course, reader, chosen);
        let plans: Vec<&SessionPlan> = lost.iter().map(|(_, now)| &now.plan).collect();
        let ids: Vec<SessionId> = lost.iter().map(|(id, _)| **id).collect();
        // Where the lake is too rough on that day, its other hours of the day are too.
        let mut free = free_slots(reader.shop, courses, reader.now);
        free.retain(|slot| !(slot.starts.date_naive() == day && slot.setting == setting));
        let mut along = Along::of_each(course, reader, &plans);
        let (asked, others, moved) = loop {
            let beside = along.iter().flat_map(Along::sessions);
            let asked = Asked {
                course,
                courses,
                reader,
                gone: ids.iter().copied().chain(beside).collect(),
            };
            let each = || plans.iter().copied().zip(&along);
            let sessions = each().map(|(plan, along)| along.as_one(course, plan, days_between));
            let sessions: Vec<LostSession> = sessions.collect();
            let offers = free.iter().map(|slot| asked.offer(each(), slot));
            let offers: Vec<Offer> = offers.collect();
            let others = asked.staying(&along);
            let moved = move_lost(&sessions, &offers, &others);
            // What finds no slot for all moves without the others.
            let mut left = false;
            for ((plan, along), held) in plans.iter().zip(&mut along).zip(&moved.held_in) {
                left |= held.is_none() && along.leave(&asked, plan, &free);
            }
            if !left {
                break (asked, others, moved);
            }
        };
        let spacing = Spacing::of(course, days_between);
        let beside = Beside {
            course,
            courses,
            reader,
            lost: &asked.gone,
            day: (day, setting),
            spacing,
        };
        let held: Vec<Option<&Slot>> = moved
            .held_in
            .iter()
            .map(|held| held.and_then(|place| free.get(place).copied()))
            .collect();
        let mut stay = others;
        stay.extend(plans.iter().zip(&held).filter_map(|(plan, slot)| {
            Some(StayingSession {
                course: *course.id(),
                starts: (*slot)?.starts,
                setting: plan.setting,
                students: plan.students.iter().copied().collect(),
            })
        }));
        let rows = lost.iter().zip(held).zip(&along);
        let rows = rows.map(|(((id, now), slot), along)| {
            let plan = &now.plan;
            LostDayRow {
                session: **id,
                title: plan.title.clone(),
                before: reader.when(plan.starts),
                before_site: plan.site.clone(),
                after: slot.map(|slot| HeldAnew::of(reader, plan, slot)),
                together: match slot {
                    Some(_) => None,
                    None => beside.together(plan, &mut stay),
                },
                along: slot.map_or_else(Vec::new, |slot| along.rows(&asked, slot)),
                apart: along.apart().to_vec(),
                students: reader.people.roster(&plan.students),
                staff: plan.staff.iter().map(|id| reader.staff(id)).collect(),
                away: slot.map_or_else(Vec::new, |slot| asked.away(course, plan, slot)),
            }
        });
        let rows: Vec<LostDayRow> = rows.collect();
        let without = |row: &&LostDayRow| row.after.is_none() && row.together.is_none();
        Some(Self {
            unplaced: count(rows.iter().filter(without).count()),
            rows,
            free: count(free.len()),
            proven: moved.proven,
            days_between,
            dives_a_day: spacing.dives_a_day,
            may_plan: reader.may_write(Kind::SessionMoved),
        })
    }
}

/// The sessions of a course that are lost with this one, in order of their start.
fn lost_with<'a>(
    course: &'a CourseStanding,
    reader: &Reader<'_>,
    chosen: &SessionPlan,
) -> Vec<(&'a SessionId, &'a SessionNow)> {
    let day = chosen.starts.date_naive();
    let is_lost = |now: &SessionNow| {
        let plan = &now.plan;
        plan.setting == chosen.setting
            && plan.starts.date_naive() == day
            && SessionState::of(plan, now.cancelled.is_some(), reader) == SessionState::Ahead
    };
    let sessions = course.sessions().iter();
    let mut lost: Vec<_> = sessions.filter(|(_, now)| is_lost(now)).collect();
    lost.sort_by_key(|(id, now)| (now.plan.starts, **id));
    lost
}

impl Asked<'_, '_> {
    /// A free slot as it suits these sessions, each with what moves with it.
    fn offer<'b>(
        &self,
        each: impl Iterator<Item = (&'b SessionPlan, &'b Along<'b>)>,
        slot: &Slot,
    ) -> Offer {
        let (mut away, mut barred) = (Vec::new(), BTreeSet::new());
        for (at, (plan, along)) in each.enumerate() {
            if along.unfit(self, plan, slot).is_some() {
                barred.insert(at);
            }
            let own = self.cannot(self.course, plan, slot);
            let all: BTreeSet<Who> = own.into_iter().chain(along.cannot(self, slot)).collect();
            away.push(count(all.len()));
        }
        Offer {
            starts: slot.starts,
            minutes: slot.minutes,
            setting: slot.setting,
            site: slot.site.clone(),
            away,
            barred,
        }
    }

    /// The sessions that stay where they are, of the course and of each whose sessions move with
    /// one of it.
    fn staying(&self, along: &[Along<'_>]) -> Vec<StayingSession> {
        let mut courses: BTreeMap<CourseId, &CourseStanding> = BTreeMap::new();
        courses.insert(*self.course.id(), self.course);
        courses.extend(along.iter().flat_map(Along::courses));
        let mut staying = Vec::new();
        for (course, standing) in courses {
            for (id, now) in standing.sessions() {
                if now.cancelled.is_none() && !self.gone.contains(id) {
                    staying.push(StayingSession {
                        course,
                        starts: now.plan.starts,
                        setting: now.plan.setting,
                        students: now.plan.students.iter().copied().collect(),
                    });
                }
            }
        }
        staying
    }

    /// Who of a course's session cannot come when it is held in a slot.
    fn cannot(&self, course: &CourseStanding, plan: &SessionPlan, slot: &Slot) -> Vec<Who> {
        let then = (plan, slot.starts);
        cannot_come(course, self.courses, self.reader, &self.gone, then)
    }

    /// The same, by name.
    fn away(&self, course: &CourseStanding, plan: &SessionPlan, slot: &Slot) -> Vec<WhoName> {
        let away = self.cannot(course, plan, slot);
        away.iter().map(|who| self.reader.who(who)).collect()
    }
}

impl HeldAnew {
    fn of(reader: &Reader<'_>, plan: &SessionPlan, slot: &Slot) -> Self {
        let moved = SessionPlan {
            starts: slot.starts,
            ..plan.clone()
        };
        Self {
            starts: reader.when(moved.starts),
            ends: reader.when(moved.ends()),
            site: slot.site.clone(),
            price: slot.price.clone(),
        }
    }
}

/// Whom a plan names and who cannot come when it starts then: away, or in another session that
/// is not lost itself.
pub(super) fn cannot_come(
    course: &CourseStanding,
    courses: &[&CourseStanding],
    reader: &Reader<'_>,
    lost: &[SessionId],
    (plan, starts): (&SessionPlan, DateTime<FixedOffset>),
) -> Vec<Who> {
    let moved = SessionPlan {
        starts,
        ..plan.clone()
    };
    let hours = (moved.starts, moved.ends());
    let busy = elsewhere(courses, lost, hours);
    people_of(plan)
        .filter(|who| is_away(reader.shop, course, who, hours) || busy.contains(who))
        .collect()
}

/// Who is in a session that is not lost itself at any of these hours.
fn elsewhere(
    courses: &[&CourseStanding],
    lost: &[SessionId],
    (from, until): (DateTime<FixedOffset>, DateTime<FixedOffset>),
) -> BTreeSet<Who> {
    let all = courses.iter().flat_map(|course| course.sessions());
    all.filter(|(id, now)| now.cancelled.is_none() && !lost.contains(id))
        .map(|(_, now)| &now.plan)
        .filter(|plan| plan.meets(from, until))
        .flat_map(people_of)
        .collect()
}
