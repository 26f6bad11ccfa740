//! Teams on paper: who dives beside whom and who watches whom, as lines of names.

use super::source::Source;
use super::words::Words;
use crate::course::{SessionId, SessionPlan, StaffId, StudentId};
use crate::entry::{Teams, Who};
use crate::view::fitting;

/// Whom one member of staff watches, pair by pair.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct WatchLine {
    /// Who watches; `None` for those whom nobody does.
    pub(crate) staff: Option<String>,
    /// Each pair: "Mia + Ben".
    pub(crate) pairs: Vec<String>,
}

/// What was kept of a session's pairs and zones, ready to be printed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct TeamLines {
    /// By who watches; those whom nobody watches last.
    pub(crate) watched: Vec<WatchLine>,
    /// Who is beside nobody, by name.
    pub(crate) alone: Vec<String>,
}

impl TeamLines {
    /// What was kept for a session; nothing where nobody kept anything.
    pub(crate) fn kept(source: &Source<'_>, session: &SessionId, words: &Words) -> Self {
        let plan = source.course.sessions().get(session).map(|now| &now.plan);
        let said = source.course.teams(session);
        match (plan, said) {
            (Some(plan), Some(said)) => Self::of(source, plan, said.holds.teams, words),
            (_, None) | (None, _) => Self::default(),
        }
    }

    /// Of these pairs and zones, as far as they fit the plan.
    pub(crate) fn of(
        source: &Source<'_>,
        plan: &SessionPlan,
        teams: &Teams,
        words: &Words,
    ) -> Self {
        let teams = fitting(teams, plan);
        let roster = source.roster(&plan.students, words);
        let alone = roster
            .iter()
            .filter(|(id, _)| teams.buddies(&Who::Student(*id)).is_empty());
        let lone = alone.clone().map(|(id, _)| vec![Who::Student(*id)]);
        let pairs: Vec<Vec<Who>> = teams
            .pairs
            .iter()
            .filter(|pair| pair.len() > 1)
            .cloned()
            .chain(lone)
            .collect();
        let watcher = |pair: &[Who]| {
            pair.iter().find_map(|who| match who {
                Who::Student(id) => teams.watched_by(id),
                Who::Staff(_) => None,
            })
        };
        let mut staff: Vec<Option<StaffId>> =
            teams.zones.iter().map(|zone| Some(zone.staff)).collect();
        staff.push(None);
        let watched = staff.into_iter().map(|staff| WatchLine {
            staff: staff.map(|id| name_of(source, &id)),
            pairs: pairs
                .iter()
                .filter(|pair| watcher(pair) == staff)
                .map(|pair| pair_line(source, &roster, pair))
                .collect(),
        });
        Self {
            watched: watched.filter(|line| !line.pairs.is_empty()).collect(),
            alone: alone.map(|(_, called)| called.clone()).collect(),
        }
    }

    /// All of it in one line each: "Renate Solheim: Mia + Ben, Tom + Zoe".
    pub(crate) fn lines(&self, words: &Words) -> Vec<String> {
        let lines = self.watched.iter().map(|line| {
            let who = line.staff.as_deref().unwrap_or(words.nobody);
            format!("{who}: {}", line.pairs.join(", "))
        });
        lines.collect()
    }
}

/// A pair by name, the students as every list calls them.
pub(crate) fn pair_line(
    source: &Source<'_>,
    roster: &[(StudentId, String)],
    pair: &[Who],
) -> String {
    let students = roster
        .iter()
        .filter(|(id, _)| pair.contains(&Who::Student(*id)))
        .map(|(_, called)| called.clone());
    let staff = pair.iter().filter_map(|who| match who {
        Who::Student(_) => None,
        Who::Staff(id) => Some(name_of(source, id)),
    });
    students.chain(staff).collect::<Vec<_>>().join(" + ")
}

fn name_of(source: &Source<'_>, staff: &StaffId) -> String {
    source
        .staff_name(staff)
        .unwrap_or_else(|| staff.to_string())
}
