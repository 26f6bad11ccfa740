//! Slate: what a session's waterproof sheet asks, and the form into which it is typed.

use tallywater_core::course::{CourseId, SessionId};
use tallywater_core::desk::paper as desk;

use crate::cross::{Asked as _, mirror};
use crate::{Fault, Mark, PaperLanguage, Receipt, Slate, Tallywater};

mirror! {
    /// One box of a marked slate.
    asked record SlateMark = desk::SlateMark {
        student: String,
        skill: String,
        mark: Mark,
    }

    /// The first two boxes of a row: one dive's times.
    asked record SlateTimes = desk::SlateTimes {
        student: String,
        down: String,
        up: Option<String>,
    }

    /// What was written beside a row, or under all of them.
    asked private record SlateRemark = desk::SlateRemark {
        student: Option<String>,
        text: String,
    }

    /// A marked sheet: one dive of a session.
    asked private record SlateSheet = desk::SlateSheet {
        number: Option<String>,
        seen: String,
        marks: Vec<SlateMark>,
        times: Vec<SlateTimes>,
        remarks: Vec<SlateRemark>,
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
        Ok(self.desk.slate(&course, session, language)?)
    }

    /// Records a marked sheet with its times and remarks: all of it, or nothing.
    pub fn type_sheet(
        &self,
        course: String,
        session: String,
        sheet: SlateSheet,
    ) -> Result<Receipt, Fault> {
        let course: CourseId = course.asked()?;
        let session: SessionId = session.asked()?;
        let recorded = self.desk.type_sheet(course, session, sheet.asked()?)?;
        Ok(self.receipt(recorded))
    }

    /// Records a marked slate: every box, or none. `seen` is when the marks were made, `number`
    /// the one at the head of the sheet.
    pub fn type_slate(
        &self,
        course: String,
        session: String,
        number: Option<String>,
        seen: String,
        marks: Vec<SlateMark>,
    ) -> Result<Receipt, Fault> {
        let course: CourseId = course.asked()?;
        let session: SessionId = session.asked()?;
        let recorded = self.desk.type_slate(
            course,
            session,
            number.asked()?,
            seen.asked()?,
            marks.asked()?,
        )?;
        Ok(self.receipt(recorded))
    }
}
