//! What is asked of a course about its people: who joins it, their papers, what is said to them,
//! and how it ends for them.

use chrono::NaiveDate;

use super::hex;
use crate::course::{
    ClearanceKind, CourseId, EntryId, LedgerId, PersonDetails, SessionId, StudentId,
};
use crate::desk::shelf::Shelf;
use crate::desk::{DeskError, Drafts};
use crate::entry::{
    Clearance, ClearanceResult, Completion, Debrief, DebriefText, Details, DetailsDigest,
    Enrolment, Outcome, Refusal,
};

impl Shelf {
    /// Somebody new to the shop, and not the twin of somebody in this course.
    pub(super) fn enrol_new_drafts(
        &mut self,
        course: CourseId,
        details: PersonDetails,
        referred_from: Option<String>,
    ) -> Result<Drafts, DeskError> {
        self.course(&course)?;
        let details = details.cleaned();
        if self.is_twin(&course, &details) {
            return Err(Refusal::AlreadyEnrolled.into());
        }
        self.enrol_drafts(course, details, referred_from, None)
    }

    /// A new student's details in a ledger of their own, and the enrolment over their digest.
    pub(in crate::desk) fn enrol_drafts(
        &mut self,
        course: CourseId,
        details: PersonDetails,
        referred_from: Option<String>,
        known_there_as: Option<StudentId>,
    ) -> Result<Drafts, DeskError> {
        let student = StudentId::new(self.stamps.id()?);
        let details = details.cleaned();
        let salt = hex(&self.stamps.secret()?);
        let person = LedgerId::Person(student);
        let drafts = Drafts::one(person, Details { details, salt }, Vec::new());
        let enrolment = Enrolment {
            student,
            details: DetailsDigest::unknown(),
            referred_from,
            known_there_as,
        };
        Ok(drafts
            .and_enrol(LedgerId::Course(course), enrolment)
            .making(student))
    }

    pub(super) fn enrol_again_drafts(
        &mut self,
        course: CourseId,
        student: StudentId,
        referred_from: Option<String>,
    ) -> Result<Drafts, DeskError> {
        self.course(&course)?;
        let details = self.latest_digest(student)?;
        let enrolment = Enrolment {
            student,
            details,
            referred_from,
            known_there_as: None,
        };
        Ok(Drafts::of_course(course, enrolment))
    }

    /// A test that is a skill of the outline is marked there.
    pub(super) fn clear_drafts(
        &mut self,
        course: CourseId,
        student: StudentId,
        (what, result): (ClearanceKind, ClearanceResult),
        until: Option<NaiveDate>,
        figure: Option<u32>,
    ) -> Result<Drafts, DeskError> {
        if let Some(marked) = self.proving(course, student, (what, result), figure)? {
            return Ok(marked);
        }
        let standing = &self.course(&course)?.standing;
        let after = standing.clearance_entries(&student, what);
        let clearance = Clearance {
            student,
            what,
            result,
            until,
            figure,
        };
        Ok(Drafts::of_course_after(course, clearance, after))
    }

    pub(super) fn debrief_drafts(
        &mut self,
        course: CourseId,
        session: SessionId,
        student: StudentId,
        said: DebriefText,
    ) -> Result<Drafts, DeskError> {
        let standing = &self.course(&course)?.standing;
        let after = standing.debrief_entries(&session, &student);
        let debrief = Debrief {
            session,
            student,
            said,
        };
        Ok(Drafts::of_course_after(course, debrief, after))
    }

    pub(super) fn complete_drafts(
        &mut self,
        course: CourseId,
        student: StudentId,
        outcome: Outcome,
        considered: Vec<EntryId>,
    ) -> Result<Drafts, DeskError> {
        let after = self.course(&course)?.standing.completion_entries(&student);
        let completion = Completion {
            student,
            outcome,
            considered,
        };
        Ok(Drafts::of_course_after(course, completion, after))
    }
}
