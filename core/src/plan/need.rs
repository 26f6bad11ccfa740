//! Need: what a student still has to show, and where a try would bring them on.

use std::collections::BTreeSet;

use crate::course::{SessionId, Setting, Skill, SkillId, StudentId, suits};
use crate::entry::{Body, Mark};
use crate::standing::{CellState, CourseStanding};

/// Whether a student still has to show a skill; a mark that waits for confirmation is shown.
pub fn still_needs(course: &CourseStanding, student: &StudentId, skill: &Skill) -> bool {
    course
        .cells()
        .get(&(*student, skill.id.clone()))
        .is_some_and(|cell| {
            matches!(
                cell.state,
                CellState::Open | CellState::Trying | CellState::TwoViews
            ) || cell.slipped_since
        })
}

/// Whether a try in this setting would bring the student on: a skill that was met in the
/// pool and must be met again in open water is not run in the pool again.
pub fn brings_on(
    course: &CourseStanding,
    student: &StudentId,
    skill: &Skill,
    setting: Setting,
) -> bool {
    if !suits(skill, setting) || !still_needs(course, student, skill) {
        return false;
    }
    let key = (*student, skill.id.clone());
    let open = course.cells().get(&key);
    if open.is_some_and(|cell| cell.slipped_since || cell.state == CellState::TwoViews) {
        return true;
    }
    let Some(parts) = course.parts(&key) else {
        return true;
    };
    let demand = &skill.demand;
    let settings = demand.each_of.difference(&parts.settings);
    let elsewhere = settings.clone().filter(|asked| !shows(setting, **asked));
    let elsewhere = u8::try_from(elsewhere.count()).unwrap_or(u8::MAX);
    let here = settings.clone().any(|asked| shows(setting, *asked));
    let ways = skill
        .methods_asked()
        .any(|method| !parts.methods.contains(&method.id));
    // What must be met elsewhere will count as a try and as a session of its own.
    here || ways
        || demand.times.saturating_sub(parts.tries) > elsewhere
        || demand.sessions.saturating_sub(parts.sessions) > elsewhere
}

/// The most tries of one skill that a student is asked for in one session: after three
/// misses another day is better. Common practice, no published source.
const MOST_A_SESSION: usize = 3;

/// Whether a further try in a session that is being held would bring the student on. What
/// was met in it counts once, however often it is met.
pub fn brings_on_today(
    course: &CourseStanding,
    student: &StudentId,
    skill: &Skill,
    setting: Setting,
    session: &SessionId,
) -> bool {
    if !brings_on(course, student, skill, setting) {
        return false;
    }
    let key = (*student, skill.id.clone());
    let tries: Vec<Mark> = marks_in(course, &key, session).collect();
    if tries.len() >= MOST_A_SESSION {
        return false;
    }
    let slipped = course
        .cells()
        .get(&key)
        .is_some_and(|one| one.slipped_since);
    if slipped || !tries.contains(&Mark::Met) {
        return true;
    }
    let Some(parts) = course.parts(&key) else {
        return false;
    };
    let ways = skill
        .methods_asked()
        .any(|method| !parts.methods.contains(&method.id));
    let sessions = skill.demand.sessions.saturating_sub(parts.sessions);
    ways || skill.demand.times.saturating_sub(parts.tries) > sessions
}

/// The skills that anybody tried in a session.
pub fn tried_in(course: &CourseStanding, session: &SessionId) -> BTreeSet<SkillId> {
    let cells = course.cells().keys();
    let tried = cells.filter(|key| marks_in(course, key, session).next().is_some());
    tried.map(|(_, skill)| skill.clone()).collect()
}

/// What the tries of a cell in a session were marked, withdrawn ones left out.
fn marks_in<'a>(
    course: &'a CourseStanding,
    key: &(StudentId, SkillId),
    session: &'a SessionId,
) -> impl Iterator<Item = Mark> + 'a {
    let standing = course.cell_entries(key);
    let standing = standing.filter(|one| course.tally().counts(&one.entry.id));
    standing.filter_map(move |one| {
        let Body::Attempt(attempt) = &one.entry.body else {
            return None;
        };
        let here = attempt.session.as_ref() == Some(session) && attempt.mark != Mark::SatOut;
        here.then_some(attempt.mark)
    })
}

/// Whether a student may go on to what builds on a skill: it is met, or has been met once
/// and not slipped since.
pub fn may_go_on(course: &CourseStanding, student: &StudentId, skill: &SkillId) -> bool {
    let key = (*student, skill.clone());
    course
        .cells()
        .get(&key)
        .is_none_or(|cell| match cell.state {
            CellState::Met | CellState::Shown | CellState::Exempt => true,
            CellState::Open | CellState::TwoViews => false,
            CellState::Trying => {
                !cell.slipped_since && course.parts(&key).is_some_and(|parts| parts.tries > 0)
            }
        })
}

/// How many more sessions a skill takes at least.
pub(super) fn sessions_left(course: &CourseStanding, student: &StudentId, skill: &Skill) -> u32 {
    let parts = course.parts(&(*student, skill.id.clone()));
    let have = parts.map_or(0, |parts| parts.sessions);
    skill.demand.sessions.saturating_sub(have).max(1).into()
}

/// A skill of the surface is shown at the surface of confined or open water.
fn shows(held_in: Setting, asked: Setting) -> bool {
    held_in == asked
        || (asked == Setting::Surface && matches!(held_in, Setting::Confined | Setting::Open))
}
