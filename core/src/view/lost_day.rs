//! Lost day: the sessions of a day that cannot be held, before and after, and who is to be told
//! what. A proposal: nothing moves before a person accepts it.

use chrono::{DateTime, FixedOffset};

use super::people::{StaffName, StudentName, WhoName};
use super::session_list::SessionState;
use super::{Leave, Moment, Reader};
use crate::course::{SessionId, SessionPlan, Slot};
use crate::entry::{Kind, Who};
use crate::plan::{
    LostSession, Offer, Spacing, StayingSession, free_slots, is_away, move_lost, people_of,
};
use crate::standing::{CourseStanding, SessionNow};

/// A lost day, planned anew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LostDayView {
    /// Its sessions, in order of their start.
    pub rows: Vec<LostDayRow>,
    /// How many of them no free slot suits: these would be cancelled.
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
        let rows = lost.iter().zip(&moved.held_in).map(|((id, now), held)| {
            let slot = held.and_then(|place| free.get(place).copied());
            LostDayRow {
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
        Some(Self {
            rows: rows.collect(),
            unplaced: moved.changes.unplaced,
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
        .filter(|plan| plan.starts < hours.1 && hours.0 < plan.ends())
        .collect();
    people_of(plan)
        .filter(|who| {
            let elsewhere = |plan: &&SessionPlan| people_of(plan).any(|one| one == *who);
            is_away(reader.shop, course, who, hours) || beside.iter().any(elsewhere)
        })
        .collect()
}
