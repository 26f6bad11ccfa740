//! Slate: what a session's waterproof sheet asks, and the form into which it is typed.

use tallywater_core::course::{CourseId, SessionId};
use tallywater_core::desk::{Recorded, paper as desk};
use tallywater_core::paper;

use crate::cross::{Asked as _, Shown as _, mirror};
use crate::{Fault, Mark, PaperLanguage, Receipt, Setting, Tallywater};

mirror! {
    /// A session's slate.
    shown private record Slate = paper::Slate {
        session: String,
        title: String,
        site: String,
        starts: String,
        setting: Setting,
        supervision: SlateSupervision,
        students: Vec<SlateStudent>,
        skills: Vec<SlateSkill>,
        boxes: Vec<SlateBox>,
    }

    /// A row.
    shown tuple SlateStudent = (tallywater_core::course::StudentId, String) {
        student: String,
        called: String,
    }

    /// A column.
    shown record SlateSkill = paper::SlateSkill {
        skill: String,
        name: String,
        cues: Vec<String>,
        caution: Option<String>,
    }

    /// What a box asks; the boxes go row by row.
    shown enum SlateBox = paper::SlateBox {
        Wanted,
        Done,
        NotAsked,
    }

    /// Who is planned to watch over how many; no ceiling while no person has confirmed a rule.
    shown record SlateSupervision = paper::Supervision {
        students: u32,
        instructors: u32,
        assistants: u32,
        ceiling: Option<u32>,
    }

    /// One box of a marked slate.
    asked record SlateMark = desk::SlateMark {
        student: String,
        skill: String,
        mark: Mark,
    }
}

#[uniffi::export]
impl Tallywater {
    /// The slate of a session, as rows and boxes.
    pub fn slate(
        &self,
        course: String,
        session: String,
        language: PaperLanguage,
    ) -> Result<Slate, Fault> {
        let course: CourseId = course.asked()?;
        let session: SessionId = session.asked()?;
        Ok(self
            .desk
            .slate(&course, session, language.asked()?)?
            .shown())
    }

    /// Records a marked slate: every box, or none. `seen` is when the marks were made. Answers
    /// a receipt for each box.
    pub fn type_slate(
        &self,
        course: String,
        session: String,
        seen: String,
        marks: Vec<SlateMark>,
    ) -> Result<Vec<Receipt>, Fault> {
        let course: CourseId = course.asked()?;
        let session: SessionId = session.asked()?;
        let recorded = self
            .desk
            .type_slate(course, session, seen.asked()?, marks.asked()?)?;
        let each = recorded.entries.into_iter().map(|entry| Recorded {
            entries: vec![entry],
            made: None,
        });
        Ok(each.map(|recorded| self.receipt(recorded)).collect())
    }
}
