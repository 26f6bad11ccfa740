//! Looking: one method a screen. Each answers a plain value, worked out to the last figure.

use tallywater_core::course::{CourseId, SessionId, SkillId, StudentId};
use tallywater_core::standing::CourseStanding;
use tallywater_core::view;
use tallywater_core::view::Reader;

use crate::cross::{Asked, Shown};
use crate::{
    ActivityView, AttemptSheetView, BriefingView, CourseListView, Fault, GapRow, GapsView,
    HeadcountView, IncidentsView, Kind, LineUpView, NotesOn, NotesView, RecordView, RecordsView,
    SessionListView, SessionName, SessionView, StaffView, StudentView, Tallywater, ToConfirmView,
    TodayView, WaterView, Who,
};

#[uniffi::export]
impl Tallywater {
    /// The first screen.
    pub fn today(&self) -> Result<TodayView, Fault> {
        Ok(self.desk.today(self.units())?)
    }

    /// The shop's courses; those whose title has this text in it, where one is given.
    pub fn course_list(&self, text: Option<String>) -> Result<CourseListView, Fault> {
        self.see_shop(|reader| CourseListView::of(reader, text.as_deref()))
    }

    /// Staff and devices.
    pub fn staff(&self) -> Result<StaffView, Fault> {
        let own = self.desk.own_key();
        self.see_shop(|reader| StaffView::of(reader, Some(&own)))
    }

    /// What stands before a session for one student.
    pub fn missing_before(
        &self,
        course: String,
        session: String,
        student: String,
    ) -> Result<Vec<GapRow>, Fault> {
        let (session, student): (SessionId, StudentId) = (session.asked()?, student.asked()?);
        self.see(&course, |course, reader| {
            view::missing_before(course, reader, &student, &session)
        })
    }

    /// A session by name and time; `None` when it is not planned.
    pub fn session_name(
        &self,
        course: String,
        session: String,
    ) -> Result<Option<SessionName>, Fault> {
        let id: SessionId = session.asked()?;
        self.see(&course, |course, reader| {
            SessionName::of(course, reader, &id)
        })
    }

    /// Every assistant's mark of a course that waits for an instructor.
    pub fn to_confirm(&self, course: String) -> Result<ToConfirmView, Fault> {
        self.see(&course, ToConfirmView::of)
    }

    /// The sessions of a course.
    pub fn session_list(&self, course: String) -> Result<SessionListView, Fault> {
        self.see_among(&course, SessionListView::of)
    }

    /// One session.
    pub fn session(&self, course: String, session: String) -> Result<SessionView, Fault> {
        let id: SessionId = session.clone().asked()?;
        Ok(self
            .find_among(&course, ("session", &session), |course, reader| {
                view::SessionView::of(course, reader, &id)
            })?
            .shown())
    }

    /// Who is in the water, since when, and who should be back.
    pub fn headcount(&self, course: String, session: String) -> Result<HeadcountView, Fault> {
        let id: SessionId = session.clone().asked()?;
        Ok(self
            .find_among(&course, ("session", &session), |course, reader| {
                view::HeadcountView::of(course, reader, &id)
            })?
            .shown())
    }

    /// The briefing cards of a session.
    pub fn briefing(&self, course: String, session: String) -> Result<BriefingView, Fault> {
        let id: SessionId = session.clone().asked()?;
        self.find(&course, ("session", &session), |course, reader| {
            BriefingView::of(course, reader, &id)
        })
    }

    /// One skill, one student after another, in a session where one is given.
    pub fn line_up(
        &self,
        course: String,
        session: Option<String>,
        skill: String,
    ) -> Result<LineUpView, Fault> {
        let (id, session): (SkillId, _) = (skill.clone().asked()?, session.asked()?);
        Ok(self
            .find(&course, ("skill", &skill), |course, reader| {
                view::LineUpView::of(course, reader, &id, session)
            })?
            .shown())
    }

    /// One student and one skill, in a session where one is given.
    pub fn attempt_sheet(
        &self,
        course: String,
        student: String,
        skill: String,
        session: Option<String>,
    ) -> Result<AttemptSheetView, Fault> {
        let (id, of): (StudentId, SkillId) = (student.asked()?, skill.clone().asked()?);
        let session = session.asked()?;
        Ok(self
            .find(&course, ("skill", &skill), |course, reader| {
                view::AttemptSheetView::of(course, reader, &id, &of, session)
            })?
            .shown())
    }

    /// One student's page.
    pub fn student(&self, course: String, student: String) -> Result<StudentView, Fault> {
        let id: StudentId = student.clone().asked()?;
        Ok(self
            .find(&course, ("student", &student), |course, reader| {
                view::StudentView::of(course, reader, &id)
            })?
            .shown())
    }

    /// What is missing for one student today.
    pub fn gaps(&self, course: String, student: String) -> Result<GapsView, Fault> {
        let id: StudentId = student.clone().asked()?;
        self.find(&course, ("student", &student), |course, reader| {
            course.has_student(&id).then_some(())?;
            Some(GapsView::of(course, reader, &id, reader.today()))
        })
    }

    /// Dives and weight checks of a course, or of one student.
    pub fn water(&self, course: String, student: Option<String>) -> Result<WaterView, Fault> {
        let id: Option<StudentId> = student.asked()?;
        self.see(&course, |course, reader| {
            WaterView::of(course, reader, id.as_ref())
        })
    }

    /// What people wrote.
    pub fn notes(&self, course: String, about: NotesOn) -> Result<NotesView, Fault> {
        let about: view::NotesOn = about.asked()?;
        Ok(self
            .see(&course, |course, reader| {
                view::NotesView::of(course, reader, about)
            })?
            .shown())
    }

    /// Incidents.
    pub fn incidents(&self, course: String) -> Result<IncidentsView, Fault> {
        self.see(&course, IncidentsView::of)
    }

    /// What happened in a course, newest first: about one person, in one session, of some
    /// kinds (all when none is given), at most so many lines.
    pub fn activity(
        &self,
        course: String,
        who: Option<Who>,
        session: Option<String>,
        kinds: Vec<Kind>,
        most: u32,
    ) -> Result<ActivityView, Fault> {
        let asked = view::ActivityOf {
            who: who.asked()?,
            session: session.asked()?,
            kinds,
            most: usize::try_from(most).unwrap_or(usize::MAX),
        };
        self.see(&course, |course, reader| {
            ActivityView::of(course, reader, &asked)
        })
    }

    /// One student's record.
    pub fn student_record(&self, course: String, student: String) -> Result<RecordView, Fault> {
        let id: StudentId = student.clone().asked()?;
        Ok(self
            .find(&course, ("student", &student), |course, reader| {
                view::RecordView::of(course, reader, &id)
            })?
            .shown())
    }

    /// The records of a course.
    pub fn records(&self, course: String) -> Result<RecordsView, Fault> {
        self.see(&course, RecordsView::of)
    }
}

impl Tallywater {
    /// A view of a course.
    pub(crate) fn see<C>(
        &self,
        course: &str,
        of: impl FnOnce(&CourseStanding, &Reader<'_>) -> C,
    ) -> Result<C, Fault> {
        let id: CourseId = course.to_owned().asked()?;
        Ok(self.desk.look(&id, self.units(), of)?)
    }

    /// Something of a course among all the running courses of this device, to be worked on
    /// after the lock is released.
    pub(crate) fn look_among<C>(
        &self,
        course: &str,
        of: impl FnOnce(&CourseStanding, &[&CourseStanding], &Reader<'_>) -> C,
    ) -> Result<C, Fault> {
        let id: CourseId = course.to_owned().asked()?;
        Ok(self.desk.look_among(&id, self.units(), of)?)
    }

    /// A view of a course for a reader who knows the running courses of this device as well:
    /// what shares hours, staff and water with others is told with them.
    pub(crate) fn see_among<C>(
        &self,
        course: &str,
        of: impl Fn(&CourseStanding, &Reader<'_>) -> C,
    ) -> Result<C, Fault> {
        match self.look_among(course, |course, _, reader| of(course, reader)) {
            Ok(seen) => Ok(seen),
            // A fault in another course's ledger is that one's, and is told there: whoever counts
            // heads in this one is not kept from it.
            Err(_) => self.see(course, of),
        }
    }

    /// The same of something that may not be there.
    pub(crate) fn find_among<C>(
        &self,
        course: &str,
        (what, id): (&str, &str),
        of: impl Fn(&CourseStanding, &Reader<'_>) -> Option<C>,
    ) -> Result<C, Fault> {
        let seen = self.see_among(course, of)?;
        seen.ok_or_else(|| Fault::not_found(what, id))
    }

    /// A view of something in a course that may not be there.
    pub(crate) fn find<C>(
        &self,
        course: &str,
        (what, id): (&str, &str),
        of: impl FnOnce(&CourseStanding, &Reader<'_>) -> Option<C>,
    ) -> Result<C, Fault> {
        let seen = self.see(course, of)?;
        seen.ok_or_else(|| Fault::not_found(what, id))
    }

    /// A view of the shop.
    pub(crate) fn see_shop<C>(&self, of: impl FnOnce(&Reader<'_>) -> C) -> Result<C, Fault> {
        Ok(self.desk.look_at_shop(self.units(), of)?)
    }
}
