//! Next session: what each student could be run through now, and how long it takes.

use std::collections::BTreeSet;

use crate::course::{Setting, Skill, SkillId, StudentId};
use crate::standing::{CellState, CourseStanding};

/// A proposed run list. The instructor changes it by hand; nothing here decides.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NextPlan {
    /// What fits, in running order.
    pub run: Vec<NextSkill>,
    /// What is open too and does not fit any more.
    pub left_over: Vec<NextSkill>,
    /// Minutes the run list takes, by the quick figure of each skill.
    pub minutes: u16,
}

/// One skill of a proposed run list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NextSkill {
    /// Which.
    pub skill: SkillId,
    /// Who still needs it and has what it builds on.
    pub students: Vec<StudentId>,
    /// Minutes for all of them one after another: the first try slow, as it is briefed and
    /// shown, the others quick.
    pub minutes: u16,
}

/// Proposes a run list for these students in this setting, within so many minutes.
///
/// Outline order, which is teaching order. A skill is proposed to a student who still
/// needs it there and has met, or is run through in this same list, what it builds on.
pub fn next_session(
    course: &CourseStanding,
    setting: Setting,
    students: &[StudentId],
    minutes: u16,
) -> NextPlan {
    let mut plan = NextPlan {
        run: Vec::new(),
        left_over: Vec::new(),
        minutes: 0,
    };
    let Some(outline) = course.outline() else {
        return plan;
    };
    let mut run_through: BTreeSet<(StudentId, &SkillId)> = BTreeSet::new();
    for skill in outline
        .skills
        .iter()
        .filter(|skill| crate::course::suits(skill, setting))
    {
        let need: Vec<StudentId> = students
            .iter()
            .filter(|student| still_needs(course, student, skill))
            .filter(|student| {
                skill.needs.iter().all(|need| {
                    is_done(course, student, need) || run_through.contains(&(**student, need))
                })
            })
            .copied()
            .collect();
        if need.is_empty() {
            continue;
        }
        let next = NextSkill {
            skill: skill.id.clone(),
            minutes: minutes_for(skill, need.len()),
            students: need,
        };
        if plan.minutes.saturating_add(next.minutes) <= minutes {
            plan.minutes += next.minutes;
            run_through.extend(next.students.iter().map(|student| (*student, &skill.id)));
            plan.run.push(next);
        } else {
            plan.left_over.push(next);
        }
    }
    plan
}

/// Minutes to run so many students through a skill in a line-up.
pub fn minutes_for(skill: &Skill, students: usize) -> u16 {
    let others = u16::try_from(students.saturating_sub(1)).unwrap_or(u16::MAX);
    skill
        .minutes
        .slow
        .saturating_add(skill.minutes.quick.saturating_mul(others))
}

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

fn is_done(course: &CourseStanding, student: &StudentId, skill: &SkillId) -> bool {
    course
        .cells()
        .get(&(*student, skill.clone()))
        .is_none_or(|cell| {
            matches!(
                cell.state,
                CellState::Met | CellState::Shown | CellState::Exempt
            )
        })
}

/// How much teaching time is left, and in how many sessions: a span, never a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Forecast {
    /// Minutes if each skill that is left is met at the first, quick try.
    pub quick_minutes: u32,
    /// Minutes if each takes the slow figure.
    pub slow_minutes: u32,
    /// Sessions of this length, at the quick figure, rounded up.
    pub quick_sessions: u32,
    /// At the slow figure.
    pub slow_sessions: u32,
}

/// What is left for these students, in sessions of so many minutes; `None` for sessions of
/// no length.
pub fn forecast(
    course: &CourseStanding,
    students: &[StudentId],
    session_minutes: u16,
) -> Option<Forecast> {
    let length = u32::from(session_minutes);
    let outline = course.outline()?;
    let (mut quick, mut slow) = (0_u32, 0_u32);
    for skill in outline.skills.iter().filter(|skill| skill.required) {
        let need = students
            .iter()
            .filter(|student| still_needs(course, student, skill))
            .count();
        let need = u32::try_from(need).unwrap_or(u32::MAX);
        quick = quick.saturating_add(need.saturating_mul(u32::from(skill.minutes.quick)));
        slow = slow.saturating_add(need.saturating_mul(u32::from(skill.minutes.slow)));
    }
    (length > 0).then(|| Forecast {
        quick_minutes: quick,
        slow_minutes: slow,
        quick_sessions: quick.div_ceil(length),
        slow_sessions: slow.div_ceil(length),
    })
}
