//! One cell as it is shown: on the board, in a line-up, on a student's page.

use super::reader::count;
use super::{OnScreen, Reader};
use crate::course::{SkillId, StudentId};
use crate::entry::{Body, Mark};
use crate::standing::{Cell, CellState, CourseStanding};

/// One student and one skill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellView {
    /// Whose.
    pub student: StudentId,
    /// Which.
    pub skill: SkillId,
    /// How it stands.
    pub state: CellState,
    /// The mark to show: the latest; `None` before the first and while there are two views.
    pub last: Option<Mark>,
    /// How much of the demand is met, in the part furthest from met.
    pub met: u8,
    /// Out of how much.
    pub of: u8,
    /// Tries judged.
    pub tries: u16,
    /// Met, and a later try was not.
    pub slipped_since: bool,
    /// The latest word is that the student sat out.
    pub sat_out: bool,
    /// Assistants' met marks that wait for an instructor.
    pub waiting: u32,
    /// Whether it is done with: met and not slipped since, or exempt.
    pub done: bool,
    /// What is on screen of it, for whatever is recorded from here.
    pub on: OnScreen,
}

impl CellView {
    /// The cell as it stands; `None` when the outline has no such skill or the student is
    /// not in the course.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        key: &(StudentId, SkillId),
    ) -> Option<Self> {
        let cell = course.cells().get(key)?;
        Some(Self {
            student: key.0,
            skill: key.1.clone(),
            state: cell.state,
            last: if cell.sat_out {
                Some(Mark::SatOut)
            } else {
                cell.last
            },
            met: cell.met,
            of: cell.of,
            tries: cell.tries,
            slipped_since: cell.slipped_since,
            sat_out: cell.sat_out,
            waiting: count(cell.unconfirmed.len()),
            done: is_done(cell),
            on: OnScreen::of(course, reader, key.0, &key.1)?,
        })
    }
}

/// Whether nothing more is asked of a cell.
pub(super) fn is_done(cell: &Cell) -> bool {
    match cell.state {
        CellState::Exempt => true,
        CellState::Met => !cell.slipped_since,
        CellState::Open | CellState::Trying | CellState::Shown | CellState::TwoViews => false,
    }
}

/// The mark that an attempt or a resolution gives.
pub(super) const fn mark_of(body: &Body) -> Option<Mark> {
    if let Body::Attempt(attempt) = body {
        Some(attempt.mark)
    } else if let Body::Resolution(resolution) = body {
        Some(resolution.mark)
    } else {
        None
    }
}
