//! Dives from a diver's log file.

use tallywater_core::course::{CourseId, SessionId, StudentId};
use tallywater_core::desk::paper as desk;
use tallywater_core::paper::data;
use tallywater_core::view;

use crate::cross::{Asked as _, Shown as _, mirror};
use crate::{DiveLog, DiveSheet, DivesTaken, Fault, Tallywater, Who};

mirror! {
    /// A dive of a file, beside what the course has.
    shown record DiveSeen = desk::DiveSeen {
        dive: ReadDive,
        here: bool,
    }

    /// A file of dives, beside what the course has.
    shown private record LogSeen = desk::LogSeen {
        dives: Vec<DiveSeen>,
        new: u32,
        of_another: Option<String>,
        doubtful: u32,
    }

    /// A dive as it was read.
    shown record ReadDive = data::ReadDive {
        id: String,
        log: DiveLog,
        site: Option<String>,
    }
}

#[uniffi::export]
impl Tallywater {
    /// What is known before a dive is logged: who went in and when, each one's last cylinder.
    pub fn dive_sheet(&self, course: String, session: Option<String>) -> Result<DiveSheet, Fault> {
        let id: Option<SessionId> = session.clone().asked()?;
        let named = session.unwrap_or_default();
        self.find(&course, ("session", &named), |course, reader| {
            view::DiveSheetView::of(course, reader, id.as_ref())
        })
    }

    /// The dives of a UDDF file, beside what the course has of this diver; and whose log it says
    /// it is, if that is somebody else's. Nothing is recorded.
    pub fn look_at_dives(
        &self,
        course: String,
        who: Who,
        bytes: Vec<u8>,
    ) -> Result<LogSeen, Fault> {
        let course: CourseId = course.asked()?;
        Ok(self
            .desk
            .look_at_dives(&course, &who.asked()?, &bytes)?
            .shown())
    }

    /// Logs the dives of a UDDF file that are not here yet: all of them, or none.
    pub fn take_dives(
        &self,
        course: String,
        who: Who,
        session: Option<String>,
        bytes: Vec<u8>,
    ) -> Result<DivesTaken, Fault> {
        let course: CourseId = course.asked()?;
        let session: Option<SessionId> = session.asked()?;
        let taken = self
            .desk
            .take_dives(course, who.asked()?, session, &bytes)?;
        Ok(taken)
    }

    /// The dives of a student's own log (UDDF), beside what the course and the student's earlier
    /// files have of them; the rules are asked, and nothing is recorded.
    pub fn look_at_own_dives(
        &self,
        course: String,
        student: String,
        bytes: Vec<u8>,
    ) -> Result<LogSeen, Fault> {
        let (course, student): (CourseId, StudentId) = (course.asked()?, student.asked()?);
        let seen = self.desk.look_at_own_dives(&course, &student, &bytes)?;
        Ok(seen.shown())
    }

    /// Takes in the dives of a student's own log that are not here yet, as none of the course:
    /// all of them, or none.
    pub fn take_own_dives(
        &self,
        course: String,
        student: String,
        bytes: Vec<u8>,
    ) -> Result<DivesTaken, Fault> {
        let (course, student): (CourseId, StudentId) = (course.asked()?, student.asked()?);
        let taken = self.desk.take_own_dives(&course, &student, &bytes)?;
        Ok(taken)
    }
}
