//! Teams: pairs and zones of a session as they are said anew, or with one person moved.
//!
//! Whoever moves one person answers the word that the move rests on and no other: what was said
//! apart stays open until somebody who sees both says what holds.

use super::shelf::Shelf;
use super::{DeskError, Drafts};
use crate::course::{AgeKnown, CourseId, EntryId, LedgerId, PersonDetails, SessionId, StudentId};
use crate::entry::{Teams, TeamsSet};
use crate::plan::propose_teams;

impl Shelf {
    pub(super) fn teams_drafts(
        &mut self,
        course: CourseId,
        session: SessionId,
        teams: Teams,
        seen: &[EntryId],
    ) -> Result<Drafts, DeskError> {
        let standing = &self.course(&course)?.standing;
        let mut after = standing.teams_entries(&session);
        after.retain(|id| seen.contains(id));
        let ledger = LedgerId::Course(course);
        Ok(Drafts::one(ledger, TeamsSet { session, teams }, after))
    }

    /// What holds, or is proposed, with a change; nothing where the change changes nothing.
    pub(super) fn moved(
        &mut self,
        course: CourseId,
        session: SessionId,
        change: impl FnOnce(Teams) -> Teams,
    ) -> Result<Drafts, DeskError> {
        self.course(&course)?;
        let (courses, people) = (&self.courses, &self.people);
        let standing = courses.get(&course).map(|open| &open.standing);
        let standing = standing.ok_or_else(|| DeskError::NotFound {
            what: "course",
            id: course.to_string(),
        })?;
        let age = |student: &StudentId| {
            let details = people.get(student).and_then(|open| open.details.as_ref());
            details.map_or(AgeKnown::Nothing, PersonDetails::age)
        };
        let (base, after) = match standing.teams(&session) {
            Some(now) => (now.holds.teams.clone(), vec![now.holds.one.entry.id]),
            None => (propose_teams(standing, &session, age), Vec::new()),
        };
        let teams = change(base.clone());
        if teams.same_as(&base) {
            return Ok(Drafts::none());
        }
        let ledger = LedgerId::Course(course);
        Ok(Drafts::one(ledger, TeamsSet { session, teams }, after))
    }
}
