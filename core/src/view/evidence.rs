//! Evidence: raw counts out of the marks, for [`crate`]'s calculations to work on. Counts
//! only: no share, no average, and nothing that could be taken for a pass.

use std::collections::BTreeMap;

use super::cell::mark_of;
use crate::course::{SessionId, SkillId, StaffId, StudentId};
use crate::entry::{Body, Mark};
use crate::standing::{Counted, CourseStanding};

/// Raw counts of a course.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct EvidenceView {
    /// Skill by skill, in outline order.
    pub skills: Vec<SkillEvidence>,
    /// Marks that two people gave apart on one student's skill in one session: each pair
    /// once, the mark of the lower staff id first.
    pub pairs: Vec<MarkPair>,
}

/// How many tries a skill took.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SkillEvidence {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// For each student who has met it, the number of the first met try.
    pub until_met: Vec<u32>,
    /// For each who has tried and not met it, the tries so far.
    pub still_trying: Vec<u32>,
}

/// Two people's marks of what may have been the same try.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct MarkPair {
    /// Which skill.
    pub skill: SkillId,
    /// The two who judged.
    pub judges: JudgePair,
    /// Their marks.
    pub marks: MarksGiven,
}

/// The two who judged one try, always in the same order, whoever was first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct JudgePair {
    /// One of them.
    pub first: StaffId,
    /// The other.
    pub second: StaffId,
}

/// Their marks, in the same order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct MarksGiven {
    /// Of the first.
    pub first: Mark,
    /// Of the second.
    pub second: Mark,
}

impl EvidenceView {
    /// Raw counts over these courses: skills are told apart by id, and named by the first
    /// course that has them.
    pub fn of(courses: &[&CourseStanding]) -> Self {
        let mut order: Vec<SkillId> = Vec::new();
        let mut skills: BTreeMap<SkillId, SkillEvidence> = BTreeMap::new();
        let mut pairs = Vec::new();
        for course in courses {
            let students = course.students();
            for skill in course
                .spoken_outline()
                .into_iter()
                .flat_map(|one| &one.skills)
            {
                let evidence = skills.entry(skill.id.clone()).or_insert_with(|| {
                    order.push(skill.id.clone());
                    SkillEvidence {
                        skill: skill.id.clone(),
                        name: skill.name.clone(),
                        until_met: Vec::new(),
                        still_trying: Vec::new(),
                    }
                });
                for student in &students {
                    let tries = tries(course, student, &skill.id);
                    match first_met(&tries) {
                        Some(number) => evidence.until_met.push(number),
                        None if !tries.is_empty() => {
                            evidence
                                .still_trying
                                .push(super::reader::count(tries.len()));
                        }
                        None => {}
                    }
                    pairs.extend(pairs_in(&skill.id, &tries));
                }
            }
        }
        pairs.sort();
        Self {
            skills: order.iter().filter_map(|id| skills.remove(id)).collect(),
            pairs,
        }
    }
}

/// Standing attempts that were tries.
fn tries<'a>(course: &'a CourseStanding, student: &StudentId, skill: &SkillId) -> Vec<&'a Counted> {
    course
        .cell_entries(&(*student, skill.clone()))
        .filter(|one| course.tally().counts(&one.entry.id))
        .filter(
            |one| matches!(&one.entry.body, Body::Attempt(attempt) if attempt.mark != Mark::SatOut),
        )
        .collect()
}

/// The number of the first met try: one more than the tries its judge had on screen. The
/// clock has no say in it.
fn first_met(tries: &[&Counted]) -> Option<u32> {
    tries
        .iter()
        .filter(|one| mark_of(&one.entry.body) == Some(Mark::Met))
        .map(|one| {
            let before = tries
                .iter()
                .filter(|other| one.entry.after.contains(&other.entry.id));
            super::reader::count(before.count() + 1)
        })
        .min()
}

fn pairs_in(skill: &SkillId, tries: &[&Counted]) -> Vec<MarkPair> {
    let mut pairs = Vec::new();
    for (place, one) in tries.iter().enumerate() {
        for other in tries.iter().skip(place + 1) {
            let apart = !one.entry.after.contains(&other.entry.id)
                && !other.entry.after.contains(&one.entry.id);
            let same_session = session(one).is_some() && session(one) == session(other);
            if !apart || !same_session || one.entry.by == other.entry.by {
                continue;
            }
            let (first, second) = if one.entry.by <= other.entry.by {
                (one, other)
            } else {
                (other, one)
            };
            if let Some(marks) = mark_of(&first.entry.body).zip(mark_of(&second.entry.body)) {
                pairs.push(MarkPair {
                    skill: skill.clone(),
                    judges: JudgePair {
                        first: first.entry.by,
                        second: second.entry.by,
                    },
                    marks: MarksGiven {
                        first: marks.0,
                        second: marks.1,
                    },
                });
            }
        }
    }
    pairs
}

fn session(one: &Counted) -> Option<SessionId> {
    if let Body::Attempt(attempt) = &one.entry.body {
        attempt.session
    } else {
        None
    }
}
