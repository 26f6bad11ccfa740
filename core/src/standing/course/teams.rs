//! Teams: who dives beside whom in a session, as it was last said.

use super::CourseStanding;
use crate::course::{EntryId, Role, SessionId};
use crate::entry::{Body, Kind, Teams};
use crate::standing::tally::{Counted, chance_of};

/// The pairs and zones of a session.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Said<'a> {
    /// The entry that says so.
    pub one: &'a Counted,
    /// What it says.
    pub teams: &'a Teams,
}

/// The pairs and zones of a session as they stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TeamsNow<'a> {
    /// The one that holds.
    pub holds: Said<'a>,
    /// Those that were said apart from it and say something else, in order of id: nobody has
    /// settled them yet.
    pub apart: Vec<Said<'a>>,
}

impl CourseStanding {
    /// Every standing word on the pairs and zones of a session, by id.
    pub fn teams_entries(&self, session: &SessionId) -> Vec<EntryId> {
        self.of_kind(Kind::TeamsSet)
            .filter(|one| matches!(&one.entry.body, Body::TeamsSet(b) if b.session == *session))
            .map(|one| one.entry.id)
            .collect()
    }

    /// The pairs and zones of a session; `None` while nobody has said any.
    ///
    /// Of several said apart the one holds that is of the session's own staff, then an
    /// instructor's: they are at the water. The others are not lost, they are shown beside it.
    pub fn teams(&self, session: &SessionId) -> Option<TeamsNow<'_>> {
        let ids = self.teams_entries(session);
        let mut said: Vec<Said<'_>> = self
            .tally
            .latest(&ids)
            .into_iter()
            .filter_map(|one| {
                if let Body::TeamsSet(body) = &one.entry.body {
                    let teams = &body.teams;
                    Some(Said { one, teams })
                } else {
                    None
                }
            })
            .collect();
        let planned = self.sessions.get(session).map(|now| &now.plan.staff);
        let weight = |said: &Said<'_>| {
            let writer = said.one.writer;
            (
                planned.is_some_and(|staff| staff.contains(&writer.staff)),
                writer.role == Role::Instructor,
                chance_of(&said.one.entry.id),
            )
        };
        let holds = *said.iter().max_by_key(|said| weight(said))?;
        said.retain(|one| !one.teams.same_as(holds.teams));
        said.sort_by_key(|one| one.one.entry.id);
        Some(TeamsNow { holds, apart: said })
    }
}
