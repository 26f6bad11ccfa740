//! Proving: a test before water that is a skill of the outline.

use super::DeskError;
use super::request::MarkTap;
use super::shelf::Shelf;
use crate::course::{ClearanceKind, CourseId, StudentId};
use crate::entry::{ClearanceResult, Mark, Measured, Origin};

impl Shelf {
    /// A test that is a skill of the outline is marked there, so that it stands in one place:
    /// metres and minutes become the figure of the try.
    pub(super) fn proving(
        &mut self,
        course: CourseId,
        student: StudentId,
        (what, result): (ClearanceKind, ClearanceResult),
        figure: Option<u32>,
    ) -> Result<Option<MarkTap>, DeskError> {
        let standing = &self.course(&course)?.standing;
        let Some(skill) = standing.outline().and_then(|outline| outline.proving(what)) else {
            return Ok(None);
        };
        let measured = figure.and_then(|figure| match what {
            ClearanceKind::Swim => Some(Measured::Decimetres(figure.saturating_mul(10))),
            ClearanceKind::Float => Some(Measured::Seconds(figure.saturating_mul(60))),
            ClearanceKind::Health
            | ClearanceKind::Physician
            | ClearanceKind::Consent
            | ClearanceKind::Theory => None,
        });
        Ok(Some(MarkTap {
            course,
            student,
            skill: skill.id.clone(),
            mark: match result {
                ClearanceResult::Cleared => Mark::Met,
                ClearanceResult::Referred | ClearanceResult::NotCleared => Mark::NotYet,
            },
            method: None,
            measured: measured.into_iter().collect(),
            slips: Vec::new(),
            note: None,
            despite: None,
            session: None,
            origin: Origin::Live,
            after: None,
        }))
    }
}
