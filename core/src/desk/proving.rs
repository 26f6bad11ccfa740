//! Proving: a test before water that is a skill of the outline.

use super::shelf::Shelf;
use super::{DeskError, Drafts};
use crate::course::{ClearanceKind, CourseId, LedgerId, StudentId};
use crate::entry::{Attempt, ClearanceResult, Mark, Measured, Origin};
use crate::standing::CellState;

impl Shelf {
    /// A test that is a skill of the outline is marked there, so that it stands in one place:
    /// metres and minutes become the figure of the try. `None` for every other clearance.
    /// What is met already is met once.
    pub(super) fn proving(
        &mut self,
        course: CourseId,
        student: StudentId,
        (what, result): (ClearanceKind, ClearanceResult),
        figure: Option<u32>,
    ) -> Result<Option<Drafts>, DeskError> {
        let standing = &self.course(&course)?.standing;
        let Some(skill) = standing.outline().and_then(|outline| outline.proving(what)) else {
            return Ok(None);
        };
        let cell = standing.cells().get(&(student, skill.id.clone()));
        let cleared = result == ClearanceResult::Cleared;
        let met = cell.is_some_and(|cell| cell.state == CellState::Met && !cell.slipped_since);
        if cleared && met {
            return Ok(Some(Drafts::none()));
        }
        let after = cell.map_or_else(Vec::new, |cell| cell.seen.clone());
        let measured = figure.and_then(|figure| match what {
            ClearanceKind::Swim => Some(Measured::Decimetres(figure.saturating_mul(10))),
            ClearanceKind::Float => Some(Measured::Seconds(figure.saturating_mul(60))),
            ClearanceKind::Health
            | ClearanceKind::Physician
            | ClearanceKind::Consent
            | ClearanceKind::Theory => None,
        });
        let attempt = Attempt {
            student,
            skill: skill.id.clone(),
            method: None,
            mark: if cleared { Mark::Met } else { Mark::NotYet },
            measured: measured.into_iter().collect(),
            slips: Vec::new(),
            note: None,
            despite: None,
            session: None,
            origin: Origin::Live,
        };
        let ledger = LedgerId::Course(course);
        Ok(Some(Drafts::one(ledger, attempt, after)))
    }
}
