//! What is asked of a course about its sessions: planned, moved, in and out of the water, and
//! what goes wrong in it.

use chrono::{DateTime, FixedOffset};

use super::SAME_PRESS;
use crate::course::{Alarm, CourseId, EntryId, SessionId, SessionPlan};
use crate::desk::shelf::Shelf;
use crate::desk::{DeskError, Drafts};
use crate::entry::{AlarmRaised, Attendance, Body, Passage, SessionPlanned, Who};

impl Shelf {
    pub(super) fn plan_drafts(
        &mut self,
        course: CourseId,
        session: Option<SessionId>,
        plan: SessionPlan,
    ) -> Result<Drafts, DeskError> {
        let session = match session {
            Some(session) => session,
            None => SessionId::new(self.stamps.id()?),
        };
        let planned = SessionPlanned { session, plan };
        Ok(self
            .about_session(course, session, planned)?
            .making(session))
    }

    /// After all that planned, moved or cancelled the session.
    pub(super) fn about_session(
        &mut self,
        course: CourseId,
        session: SessionId,
        body: impl Into<Body>,
    ) -> Result<Drafts, DeskError> {
        let after = self.course(&course)?.standing.session_entries(&session);
        Ok(Drafts::of_course_after(course, body, after))
    }

    pub(super) fn pass_drafts(
        &mut self,
        course: CourseId,
        session: SessionId,
        (who, passage): (Who, Passage),
        when: Option<DateTime<FixedOffset>>,
    ) -> Result<Drafts, DeskError> {
        let after = self.course(&course)?.standing.passages(&session, &who);
        if when.is_none() && self.just_passed(&course, &after)? {
            return Ok(Drafts::none());
        }
        let when = when.unwrap_or_else(|| self.stamps.now());
        let attendance = Attendance {
            who,
            session,
            passage,
            when,
        };
        Ok(Drafts::of_course_after(course, attendance, after))
    }

    /// Whether this device counted the same person within this second: then the press is the
    /// same one, and *in* does not become *out* under it.
    fn just_passed(&mut self, course: &CourseId, passages: &[EntryId]) -> Result<bool, DeskError> {
        let (own_key, now) = (self.device.key.public(), self.stamps.now());
        let tally = self.course(course)?.standing.tally();
        let own = passages.iter().filter_map(|id| tally.standing(id));
        Ok(own
            .filter(|one| one.device == own_key)
            .any(|one| (now - one.entry.at).abs() < SAME_PRESS))
    }

    pub(super) fn alarm_drafts(
        &self,
        course: CourseId,
        session: SessionId,
        what: Alarm,
        when: Option<DateTime<FixedOffset>>,
    ) -> Result<Drafts, DeskError> {
        let raised = AlarmRaised {
            session,
            what,
            when: when.unwrap_or_else(|| self.stamps.now()),
            missing: Vec::new(),
            reported_by: None,
        };
        Ok(Drafts::of_course(course, raised))
    }
}
