//! Sweep: of whom one word about everybody speaks, and why of the others it does not.
//!
//! What an instructor remembers at the surface is *all of them, except*. It speaks of those
//! whom the headcount had in the water and nobody else, and it is a try like any other: what
//! was marked already, what differs and what was not held since are each said one by one.

use super::cell::CellView;
use super::line_up::Presence;
use super::{Leave, Moment, Reader};
use crate::course::{SessionId, Setting};
use crate::entry::{Body, Passage, Who};
use crate::standing::{CellState, CourseStanding};

/// Whether one word about everybody takes a student, or why not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum InSweep {
    /// It does.
    Takes,
    /// No session is at hand, so nobody can be known to have been there.
    NoSession,
    /// Left the course, or goes on elsewhere.
    Gone,
    /// Did not come.
    Absent,
    /// The headcount did not have them in the water.
    NotInWater,
    /// The skill is not asked of them.
    Exempt,
    /// Marks differ: an instructor settles them one by one.
    Differ,
    /// Met, and not held since: settled one by one.
    NotHeld,
    /// Marked already in this session.
    Marked,
    /// Nothing more is asked of them here.
    Met,
    /// The reader may not mark.
    MayNot,
}

/// What is known of a student in a line-up.
pub(super) struct Asked<'a> {
    pub(super) cell: &'a CellView,
    pub(super) presence: Presence,
    pub(super) needed: bool,
    pub(super) marked: bool,
}

impl InSweep {
    pub(super) fn of(
        course: &CourseStanding,
        session: Option<SessionId>,
        asked: &Asked<'_>,
    ) -> Self {
        let Some(plan) = session.and_then(|id| Some(&course.sessions().get(&id)?.plan)) else {
            return Self::NoSession;
        };
        match asked.presence {
            Presence::Gone => return Self::Gone,
            Presence::Absent => return Self::Absent,
            // In a classroom nobody goes in.
            Presence::NotSeen if plan.setting != Setting::Classroom => return Self::NotInWater,
            Presence::NotSeen | Presence::InWater | Presence::Out => {}
        }
        match asked.cell.state {
            CellState::Exempt => return Self::Exempt,
            CellState::TwoViews => return Self::Differ,
            CellState::Open | CellState::Trying | CellState::Shown | CellState::Met => {}
        }
        if asked.marked {
            Self::Marked
        } else if asked.cell.slipped_since {
            Self::NotHeld
        } else if !asked.needed {
            Self::Met
        } else if asked.cell.on.may_mark() != Leave::Yes {
            Self::MayNot
        } else {
            Self::Takes
        }
    }
}

/// When what is remembered was seen at the latest: now while anybody is in the water, else
/// when the last student came out of it.
pub(super) fn seen(
    course: &CourseStanding,
    reader: &Reader<'_>,
    session: Option<SessionId>,
) -> Moment {
    let counted = session.map(|id| course.headcount(&id)).unwrap_or_default();
    let passages = counted
        .iter()
        .filter(|(who, _)| matches!(who, Who::Student(_)))
        .filter_map(|(_, one)| {
            if let Body::Attendance(attendance) = &one.entry.body {
                Some((attendance.passage, attendance.when))
            } else {
                None
            }
        });
    let passages: Vec<_> = passages.collect();
    let in_water = passages.iter().any(|(passage, _)| *passage == Passage::In);
    let out = passages
        .iter()
        .filter(|(passage, _)| *passage == Passage::Out)
        .map(|(_, when)| *when)
        .max();
    let seen = out
        .filter(|out| !in_water && *out <= reader.now)
        .unwrap_or(reader.now);
    reader.when(seen)
}
