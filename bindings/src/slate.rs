//! Slate: what a session's waterproof sheet asks, and the form into which it is typed.

use tallywater_core::course::{CourseId, SessionId};
use tallywater_core::desk::paper as desk;
use tallywater_core::paper;

use crate::cross::{Asked as _, Shown as _, mirror};
use crate::{EmergencyPlan, Fault, Mark, PaperLanguage, Receipt, Setting, Tallywater};

mirror! {
    /// A session's slate.
    shown private record Slate = paper::Slate {
        session: String,
        title: String,
        site: String,
        starts: String,
        setting: Setting,
        supervision: SlateSupervision,
        emergency: Option<EmergencyPlan>,
        emergency_lacks: Vec<String>,
        contacts: Vec<String>,
        teams: Vec<String>,
        students: Vec<SlateStudent>,
        skills: Vec<SlateSkill>,
        boxes: Vec<SlateBox>,
        counted: Vec<SlateCounted>,
        number: Option<String>,
        printed: Vec<PrintedSlate>,
    }

    /// What the headcount has of a row.
    shown record SlateCounted = paper::SlateCounted {
        absent: bool,
        down: Option<String>,
        up: Option<String>,
    }

    /// A slate that was printed on this device.
    shown record PrintedSlate = paper::PrintedSlate {
        number: String,
        at: String,
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
        age_unknown: bool,
        ceiling: Option<u32>,
    }

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
        Ok(self
            .desk
            .slate(&course, session, language.asked()?)?
            .shown())
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
