//! Session list: a course's sessions in order of their start, and what the next one is.

use chrono::{DateTime, FixedOffset};

use super::ratio::RatioView;
use super::reader::count;
use super::{DepthAgainst, Leave, Limit, Moment, Reader, StaffName};
use crate::course::{CourseId, SessionId, SessionPlan, Setting};
use crate::entry::{Kind, Who};
use crate::plan::Going;
use crate::standing::{CourseStanding, SessionNow};

/// The sessions of a course.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SessionListView {
    /// Of which course.
    pub course: CourseId,
    /// In order of their start.
    pub rows: Vec<SessionCard>,
    /// The first that is running or ahead.
    pub next: Option<SessionId>,
    /// Whether the reader may plan one.
    pub may_plan: Leave,
}

/// A session in a few words.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SessionCard {
    /// Of which course.
    pub course: CourseId,
    /// The course's title.
    pub course_title: String,
    /// Which.
    pub session: SessionId,
    /// What it is called.
    pub title: String,
    /// Where.
    pub setting: Setting,
    /// The place, in words.
    pub site: String,
    /// When it starts.
    pub starts: Moment,
    /// When it ends, as planned.
    pub ends: Moment,
    /// Planned length.
    pub minutes: u16,
    /// How it stands at this moment.
    pub state: SessionState,
    /// Why it was cancelled, if it was.
    pub cancelled: Option<String>,
    /// How often it was planned anew, moved or cancelled.
    pub changes: u32,
    /// Students planned.
    pub students: u32,
    /// Of those, how many have gaps before it.
    pub with_gaps: u32,
    /// Staff planned.
    pub staff: Vec<StaffName>,
    /// Skills on the run list.
    pub skills: u32,
    /// In the water, staff too, and not counted out.
    pub in_water: u32,
    /// Of those the staff.
    pub staff_in_water: u32,
    /// Students against the ceiling, as planned; `None` on land.
    pub ratio: Option<RatioView>,
    /// The planned depth against the rules.
    pub depth_limit: Limit,
}

/// How a session stands at this moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum SessionState {
    /// Planned, and not begun.
    Ahead,
    /// Between its planned start and end.
    Running,
    /// Its planned end is past.
    Over,
    /// It will not be held.
    Cancelled,
}

impl SessionState {
    pub(super) fn of(plan: &SessionPlan, cancelled: bool, reader: &Reader<'_>) -> Self {
        if cancelled {
            Self::Cancelled
        } else if reader.now < plan.starts {
            Self::Ahead
        } else if reader.now < ends(plan) {
            Self::Running
        } else {
            Self::Over
        }
    }
}

/// The planned end of a session; its start, where the calendar ends before it does.
pub(super) fn ends(plan: &SessionPlan) -> DateTime<FixedOffset> {
    plan.ends()
}

impl SessionListView {
    /// The sessions of a course, cancelled ones too.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>) -> Self {
        let mut rows: Vec<SessionCard> = course
            .sessions()
            .iter()
            .map(|(id, now)| SessionCard::of(course, reader, id, now))
            .collect();
        rows.sort_by_key(|row| (row.starts.at, row.session));
        Self {
            course: *course.id(),
            next: rows
                .iter()
                .find(|row| row.is_to_come())
                .map(|row| row.session),
            rows,
            may_plan: reader.may_write(Kind::SessionPlanned),
        }
    }
}

impl SessionCard {
    /// A session in a few words.
    pub(super) fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        id: &SessionId,
        now: &SessionNow,
    ) -> Self {
        let plan = &now.plan;
        let (starts, ends) = Self::times(plan, reader);
        let going = Going::of(plan, Some(*id));
        let with_gaps = plan.students.iter().filter(|student| {
            !super::gaps::before_gaps(course, reader, student, &going).is_empty()
        });
        let staff_with_gaps = plan
            .staff
            .iter()
            .filter(|id| !super::staff_gaps::staff_gaps(course, reader, plan, id).is_empty());
        let wet = super::board::in_water(course, id);
        Self {
            course: *course.id(),
            course_title: course.title(),
            session: *id,
            title: plan.title.clone(),
            setting: plan.setting,
            site: plan.site.clone(),
            starts,
            ends,
            minutes: plan.minutes,
            state: SessionState::of(plan, now.cancelled.is_some(), reader),
            cancelled: now.cancelled.clone(),
            changes: now.changes,
            students: count(plan.students.len()),
            with_gaps: count(with_gaps.count() + staff_with_gaps.count()),
            staff: plan.staff.iter().map(|id| reader.staff(id)).collect(),
            skills: count(plan.run_list.len()),
            in_water: count(wet.len()),
            staff_in_water: count(
                wet.iter()
                    .filter(|who| matches!(who, Who::Staff(_)))
                    .count(),
            ),
            ratio: super::session::planned_ratio(course, reader, plan),
            depth_limit: DepthAgainst::of(course, reader, plan).limit,
        }
    }

    pub(super) fn times(plan: &SessionPlan, reader: &Reader<'_>) -> (Moment, Moment) {
        (reader.when(plan.starts), reader.when(ends(plan)))
    }

    pub(super) const fn is_to_come(&self) -> bool {
        matches!(self.state, SessionState::Ahead | SessionState::Running)
    }
}
