//! Debrief: what might be said to a student after a session, proposed from the marks of that
//! session and the outline's own faults and fixes. An instructor changes it; it decides nothing.

use crate::course::{SessionId, Skill, SkillId, StudentId};
use crate::entry::{Attempt, Body, DebriefText, Mark};
use crate::plan::{may_go_on, still_needs};
use crate::standing::CourseStanding;

/// The most skills that a part names: more is not kept in mind.
const MOST: usize = 3;

/// The students whom a debrief of a session is for: who was marked in it or went into its
/// water; where nobody did, who is planned for it.
pub fn debriefed(course: &CourseStanding, session: &SessionId) -> Vec<StudentId> {
    let there: Vec<StudentId> = course
        .students()
        .into_iter()
        .filter(|student| {
            let who = crate::entry::Who::Student(*student);
            !marks(course, session, student).is_empty()
                || !course.passages(session, &who).is_empty()
        })
        .collect();
    if there.is_empty() {
        let planned = course.sessions().get(session);
        return planned.map_or_else(Vec::new, |now| now.plan.students.clone());
    }
    there
}

/// The last standing mark of each skill in a session, in the order of the outline.
fn marks<'a>(
    course: &'a CourseStanding,
    session: &SessionId,
    student: &StudentId,
) -> Vec<(&'a Skill, Attempt)> {
    let tries: Vec<Attempt> = course
        .about(student)
        .filter_map(|one| {
            if let Body::Attempt(attempt) = &one.entry.body {
                (attempt.session == Some(*session)).then(|| attempt.clone())
            } else {
                None
            }
        })
        .collect();
    let skills = course.outline().map_or(&[][..], |outline| &outline.skills);
    skills
        .iter()
        .filter_map(|skill| {
            let last = tries.iter().rfind(|one| one.skill == skill.id)?;
            Some((skill, last.clone()))
        })
        .collect()
}

/// What might be said to a student after a session.
pub fn debrief(course: &CourseStanding, session: &SessionId, student: &StudentId) -> DebriefText {
    let marks = marks(course, session, student);
    let met = marks.iter().filter(|(_, one)| one.mark == Mark::Met);
    let met: Vec<&str> = met.map(|(skill, _)| skill.name.as_str()).collect();
    let not_yet: Vec<&(&Skill, Attempt)> = marks
        .iter()
        .filter(|(_, one)| matches!(one.mark, Mark::NotYet | Mark::Nearly))
        .collect();
    // One fault, and the gravest mark first: more than one is heard as none.
    let faults = marks.iter().filter_map(|(skill, one)| {
        let seen = one.slips.first()?;
        let slip = skill.slips.iter().find(|slip| slip.id == *seen)?;
        Some((grave(one.mark), skill, slip))
    });
    let fault = faults.reduce(
        |gravest, next| {
            if next.0 > gravest.0 { next } else { gravest }
        },
    );
    let practise: Vec<String> = not_yet
        .iter()
        .take(MOST)
        .map(|(skill, _)| match skill.cues.first() {
            Some(cue) => format!("{}: {cue}", skill.name),
            None => skill.name.clone(),
        })
        .collect();
    DebriefText {
        met: met.join(", "),
        fault: fault.map_or_else(String::new, |(_, skill, slip)| {
            format!("{}: {}", skill.name, slip.fault)
        }),
        fix: fault.map_or_else(String::new, |(_, _, slip)| slip.fix.clone()),
        next: next(course, session, student).join(", "),
        practise: practise.join(". "),
    }
}

const fn grave(mark: Mark) -> u8 {
    match mark {
        Mark::NotYet => 3,
        Mark::Nearly => 2,
        Mark::Met => 1,
        Mark::SatOut => 0,
    }
}

/// What comes next: of the next session's run list what the student still needs; without one
/// the first skills of the outline that are needed and may be gone on to.
fn next(course: &CourseStanding, session: &SessionId, student: &StudentId) -> Vec<String> {
    let Some(outline) = course.outline() else {
        return Vec::new();
    };
    let here = course.sessions().get(session).map(|now| now.plan.starts);
    let ahead = course.sessions().iter().filter(|(id, now)| {
        now.cancelled.is_none()
            && *id != session
            && now.plan.students.contains(student)
            && here.is_none_or(|here| now.plan.starts > here)
    });
    let next = ahead.min_by_key(|(id, now)| (now.plan.starts, **id));
    let needed = |skill: &&Skill| still_needs(course, student, skill);
    let listed: Vec<&SkillId> =
        next.map_or_else(Vec::new, |(_, now)| now.plan.run_list.iter().collect());
    let mut found: Vec<&Skill> = listed
        .into_iter()
        .filter_map(|id| outline.skill(id))
        .filter(needed)
        .collect();
    if found.is_empty() {
        let ready = |skill: &&Skill| {
            let mut needs = skill.needs.iter();
            skill.required && needs.all(|need| may_go_on(course, student, need))
        };
        found = outline.skills.iter().filter(needed).filter(ready).collect();
    }
    let named = found.into_iter().take(MOST);
    named.map(|skill| skill.name.clone()).collect()
}
