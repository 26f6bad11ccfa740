//! Lost day: the sessions of a day that cannot be held, before and after, and who is to be told
//! what. A proposal: nothing moves before a person accepts it.

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::gaps::before_gaps;
use super::one_water::shared_with;
use super::people::{StaffName, StudentName, WhoName};
use super::session_list::SessionState;
use super::shared::{minutes, within};
use super::staff_gaps::staff_gaps;
use super::{Leave, Moment, Reader};
use crate::course::{Role, SessionId, SessionPlan, Setting, Slot, StaffId, StudentId};
use crate::entry::{Kind, Who};
use crate::plan::{
    Going, LostSession, Missing, Offer, Spacing, StaffMissing, StayingSession, free_slots, is_away,
    move_lost, people_of,
};
use crate::standing::{CourseStanding, SessionNow};

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
    /// Whether no other way would change less of what people were told.
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
    /// The titles of other courses that were to share its water: their day is lost as well.
    pub shared_with: Vec<String>,
    /// The students to be told.
    pub students: Vec<StudentName>,
    /// The staff to be told.
    pub staff: Vec<StaffName>,
    /// Who of them cannot come then: away, or in another session.
    pub away: Vec<WhoName>,
}

/// When and where a session is held anew.
#[derive(Debug, Clone, PartialEq, Eq)]
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
        let is_lost =
            |plan: &SessionPlan| plan.setting == setting && plan.starts.date_naive() == day;
        let ahead = |now: &SessionNow| {
            SessionState::of(&now.plan, now.cancelled.is_some(), reader) == SessionState::Ahead
        };
        let held = course.sessions().iter();
        let held = held.filter(|(_, now)| now.cancelled.is_none());
        let (mut lost, others): (Vec<_>, Vec<_>) =
            held.partition(|(_, now)| ahead(now) && is_lost(&now.plan));
        lost.sort_by_key(|(id, now)| (now.plan.starts, **id));
        let others = others.into_iter().map(|(_, now)| StayingSession {
            starts: now.plan.starts,
            setting: now.plan.setting,
            students: now.plan.students.iter().copied().collect(),
        });
        let others: Vec<StayingSession> = others.collect();
        let ids: Vec<SessionId> = lost.iter().map(|(id, _)| **id).collect();
        // Where the lake is too rough on that day, its other hours of the day are too.
        let mut free = free_slots(reader.shop, courses, reader.now);
        free.retain(|slot| !(slot.starts.date_naive() == day && slot.setting == setting));
        let cannot = |plan: &SessionPlan, slot: &Slot| {
            cannot_come(course, courses, reader, &ids, (plan, slot.starts))
        };
        let offers: Vec<Offer> = free
            .iter()
            .map(|slot| Offer {
                starts: slot.starts,
                minutes: slot.minutes,
                setting: slot.setting,
                site: slot.site.clone(),
                away: lost
                    .iter()
                    .map(|(_, now)| super::reader::count(cannot(&now.plan, slot).len()))
                    .collect(),
            })
            .collect();
        let sessions: Vec<LostSession> = lost
            .iter()
            .map(|(_, now)| LostSession {
                starts: now.plan.starts,
                minutes: now.plan.minutes,
                setting: now.plan.setting,
                site: now.plan.site.clone(),
                students: now.plan.students.iter().copied().collect(),
            })
            .collect();
        let spacing = Spacing::of(course, days_between);
        let moved = move_lost(&sessions, &offers, &others, spacing);
        let mut stay = others;
        let placed = lost
            .iter()
            .zip(&moved.held_in)
            .filter_map(|((_, now), held)| {
                let slot = free.get((*held)?)?;
                Some(StayingSession {
                    starts: slot.starts,
                    setting: now.plan.setting,
                    students: now.plan.students.iter().copied().collect(),
                })
            });
        stay.extend(placed);
        let beside = Beside {
            course,
            courses,
            reader,
            lost: &ids,
            day: (day, setting),
            spacing,
        };
        let rows = lost.iter().zip(&moved.held_in).map(|((id, now), held)| {
            let slot = held.and_then(|place| free.get(place).copied());
            let together = match slot {
                Some(_) => None,
                None => beside.together(&now.plan, &mut stay),
            };
            let shared = shared_with(course, reader, &now.plan);
            LostDayRow {
                together,
                shared_with: shared.iter().map(|(other, ..)| other.title()).collect(),
                session: **id,
                title: now.plan.title.clone(),
                before: reader.when(now.plan.starts),
                before_site: now.plan.site.clone(),
                after: slot.map(|slot| HeldAnew::of(reader, &now.plan, slot)),
                students: reader.people.roster(&now.plan.students),
                staff: now.plan.staff.iter().map(|id| reader.staff(id)).collect(),
                away: slot.map_or_else(Vec::new, |slot| {
                    let away = cannot(&now.plan, slot);
                    away.iter().map(|who| reader.who(who)).collect()
                }),
            }
        });
        let rows: Vec<LostDayRow> = rows.collect();
        let without = |row: &&LostDayRow| row.after.is_none() && row.together.is_none();
        Some(Self {
            unplaced: super::reader::count(rows.iter().filter(without).count()),
            rows,
            free: super::reader::count(free.len()),
            proven: moved.proven,
            days_between,
            dives_a_day: spacing.dives_a_day,
            may_plan: reader.may_write(Kind::SessionMoved),
        })
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

/// What a lost session is held against that no free slot suits.
struct Beside<'a, 'r> {
    course: &'a CourseStanding,
    courses: &'a [&'a CourseStanding],
    reader: &'a Reader<'r>,
    lost: &'a [SessionId],
    /// The day and the setting that are lost.
    day: (NaiveDate, Setting),
    spacing: Spacing,
}

impl Beside<'_, '_> {
    /// The earliest session of another course that is to come, on another day or in other water,
    /// as deep and as long as both need, to which every student can come, and whose staff may
    /// take both by every rule; it then stays among those of the course.
    fn together(&self, lost: &SessionPlan, stay: &mut Vec<StayingSession>) -> Option<HeldTogether> {
        let mut found: Vec<(&CourseStanding, &SessionPlan)> = Vec::new();
        for other in self.courses.iter().copied() {
            if other.id() == self.course.id() {
                continue;
            }
            let held = other.sessions().values();
            let held = held.filter(|now| now.cancelled.is_none());
            found.extend(held.map(|now| (other, &now.plan)));
        }
        found.retain(|(_, plan)| {
            plan.setting == lost.setting
                && plan.starts > self.reader.now
                && (plan.starts.date_naive(), plan.setting) != self.day
        });
        found.sort_by_key(|(other, plan)| (plan.starts, *other.id()));
        let (other, beside, plan, fits) = found.into_iter().find_map(|(other, beside)| {
            let plan = self.beside(lost, beside, stay)?;
            let held = [(self.course, &plan), (other, beside)];
            let fits = within(self.reader, &held)?;
            let long = minutes(&held) <= u32::from(beside.minutes);
            long.then_some((other, beside, plan, fits))
        })?;
        stay.push(StayingSession {
            starts: plan.starts,
            setting: plan.setting,
            students: plan.students.iter().copied().collect(),
        });
        let reader = self.reader;
        Some(HeldTogether {
            course_title: other.title(),
            title: beside.title.clone(),
            starts: reader.when(plan.starts),
            ends: reader.when(plan.ends()),
            site: plan.site.clone(),
            staff: plan.staff.iter().map(|id| reader.staff(id)).collect(),
            students: fits.0,
            ceiling: fits.1,
            plan,
        })
    }

    /// A lost session as it would be held with another: where its staff are of this course as
    /// well and lack nothing, and its students can come and have no other dive too near.
    fn beside(
        &self,
        lost: &SessionPlan,
        other: &SessionPlan,
        stay: &[StayingSession],
    ) -> Option<SessionPlan> {
        let plan = SessionPlan {
            site: other.site.clone(),
            starts: other.starts,
            minutes: other.minutes,
            staff: other.staff.clone(),
            water: other.water.clone(),
            also: other.also.clone(),
            stations: Vec::new(),
            ..lost.clone()
        };
        let roles = self.course.staff();
        let leads = |id: &StaffId| roles.get(id) == Some(&Role::Instructor);
        let ours = |id: &StaffId| roles.get(id).is_some_and(|role| *role != Role::Shop);
        let clear = |id: &StaffId| {
            let gaps = staff_gaps(self.course, self.reader, &plan, id);
            let mut gaps = gaps.iter();
            gaps.all(|gap| matches!(gap.what, StaffMissing::RuleUnconfirmed(_)))
        };
        if !plan.staff.iter().any(leads) || !plan.staff.iter().all(|id| ours(id) && clear(id)) {
            return None;
        }
        let going = Going::of(&plan, None);
        let held = (plan.starts.date_naive(), plan.setting);
        let may = |student: &StudentId| {
            let gaps = before_gaps(self.course, self.reader, student, &going);
            let mut gaps = gaps.iter();
            let theirs = stay.iter().filter(|one| one.students.contains(student));
            let days = theirs.map(|one| (one.starts.date_naive(), one.setting));
            gaps.all(|gap| matches!(gap.what, Missing::RuleUnconfirmed(_)))
                && !other.students.contains(student)
                && self.spacing.allows(held, days)
        };
        let students = SessionPlan {
            staff: Vec::new(),
            ..plan.clone()
        };
        let then = (&students, students.starts);
        let absent = cannot_come(self.course, self.courses, self.reader, self.lost, then);
        (absent.is_empty() && plan.students.iter().all(may)).then_some(plan)
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
    let all = courses.iter().flat_map(|course| course.sessions());
    let beside: Vec<&SessionPlan> = all
        .filter(|(id, now)| now.cancelled.is_none() && !lost.contains(id))
        .map(|(_, now)| &now.plan)
        .filter(|plan| plan.meets(hours.0, hours.1))
        .collect();
    people_of(plan)
        .filter(|who| {
            let elsewhere = |plan: &&SessionPlan| people_of(plan).any(|one| one == *who);
            is_away(reader.shop, course, who, hours) || beside.iter().any(elsewhere)
        })
        .collect()
}
