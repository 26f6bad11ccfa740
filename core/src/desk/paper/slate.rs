//! A marked slate, typed in: each mark says that it came from a slate, and when it was seen.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset};

use super::PaperError;
use crate::course::{CourseId, SessionId, SkillId, StudentId};
use crate::desk::{Desk, DeskError, MarkTap, Recorded, Request};
use crate::entry::{Mark, Origin, Refusal};
use crate::paper::{Language, Slate};

/// One box of a marked slate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SlateMark {
    /// The row.
    pub student: StudentId,
    /// The column.
    pub skill: SkillId,
    /// What stands in it.
    pub mark: Mark,
}

impl Desk {
    /// The slate of a session: what its sheet asks, and the form into which the marked sheet is
    /// typed.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] for a course or session that is not here.
    pub fn slate(
        &self,
        course: &CourseId,
        session: SessionId,
        language: Language,
    ) -> Result<Slate, DeskError> {
        let papers = self.papers(course)?;
        Slate::of(&papers.source(), session, language).ok_or_else(|| DeskError::NotFound {
            what: "session",
            id: session.to_string(),
        })
    }

    /// Records a marked slate: every box, or none. `seen` is when the marks were made.
    ///
    /// # Errors
    /// [`Refusal::Twice`] if a box is there twice, and whatever forbids one of the marks.
    pub fn type_slate(
        &self,
        course: CourseId,
        session: SessionId,
        seen: DateTime<FixedOffset>,
        marks: Vec<SlateMark>,
    ) -> Result<Recorded, PaperError> {
        let boxes: BTreeSet<_> = marks
            .iter()
            .map(|mark| (mark.student, mark.skill.clone()))
            .collect();
        if boxes.len() != marks.len() {
            // The second would not have seen the first: two views of one person.
            return Err(Refusal::Twice { what: "mark" }.into());
        }
        let tap = |mark: SlateMark| {
            Request::Mark(MarkTap {
                course,
                student: mark.student,
                skill: mark.skill,
                mark: mark.mark,
                method: None,
                measured: Vec::new(),
                slips: Vec::new(),
                note: None,
                session: Some(session),
                origin: Origin::Slate { seen },
                after: None,
            })
        };
        Ok(self.record_all(marks.into_iter().map(tap).collect())?)
    }
}
