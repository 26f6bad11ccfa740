//! Run: from the times at which marks were tapped, how long each line took.
//!
//! What is measured, by our own definition, since there is no published one: a line is the
//! marks that one person gave on one device in one session for one skill, and it took from the
//! last mark of the line before it to its own last mark: showing, turns, and getting there. So
//! the first line of a session is not counted, for nobody knows when it began. Only marks
//! tapped while the session was on count; a line that was interrupted by another, or in which
//! somebody tried twice, does not; nor do lines whose ends lie within a minute of each other,
//! which were tapped afterwards. A break between two lines counts to the second.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::course::{
    BlockId, EntryId, MethodId, SessionId, SessionPlan, SkillId, StaffId, StudentId,
};
use crate::entry::{Body, DeviceKey, Kind, Mark, Origin};
use crate::standing::CourseStanding;

/// So long before and after its planned hours a session may be on.
const AROUND: TimeDelta = TimeDelta::minutes(30);
/// Lines that end closer together than this were not tapped as they ended.
const APART: u32 = 60;

/// A line that was run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ran {
    /// Of which skill.
    pub skill: SkillId,
    /// How many students had a try.
    pub students: usize,
    /// How long it took, in seconds.
    pub seconds: u32,
}

/// What one person ran in one session of a block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AsRun {
    /// Of which block of the outline.
    pub block: BlockId,
    /// Each skill once, by its first mark.
    pub skills: Vec<SkillId>,
}

/// One mark.
struct Seen {
    at: DateTime<FixedOffset>,
    id: EntryId,
    skill: SkillId,
    student: StudentId,
    method: Option<MethodId>,
}

/// One person on one device in one session.
type Judge = (SessionId, StaffId, DeviceKey);

/// Every line of a course that can be timed, and every order.
pub(super) fn lines(course: &CourseStanding) -> (Vec<Ran>, Vec<AsRun>) {
    let (mut ran, mut order) = (Vec::new(), Vec::new());
    for ((session, _, _), mut marks) in seen(course) {
        marks.sort_by_key(|one| (one.at, one.id));
        ran.extend(timed(&marks));
        let block = course.sessions().get(&session);
        let block = block.and_then(|session| session.plan.block.clone());
        order.extend(block.map(|block| AsRun {
            block,
            skills: in_order(&marks),
        }));
    }
    (ran, order)
}

/// Marks that were tapped when they were seen, while their session was on.
fn seen(course: &CourseStanding) -> BTreeMap<Judge, Vec<Seen>> {
    let mut judges: BTreeMap<Judge, Vec<Seen>> = BTreeMap::new();
    for one in course.of_kind(Kind::Attempt) {
        let Body::Attempt(attempt) = &one.entry.body else {
            continue;
        };
        if !matches!(attempt.origin, Origin::Live) || attempt.mark == Mark::SatOut {
            continue;
        }
        let session = attempt.session;
        let held = session.and_then(|id| Some((id, course.sessions().get(&id)?)));
        let Some((session, now)) = held else { continue };
        if !is_on(&now.plan, one.entry.at) {
            continue;
        }
        let judge = (session, one.entry.by, one.device);
        judges.entry(judge).or_default().push(Seen {
            at: one.entry.at,
            id: one.entry.id,
            skill: attempt.skill.clone(),
            student: attempt.student,
            method: attempt.method.clone(),
        });
    }
    judges
}

fn is_on(plan: &SessionPlan, at: DateTime<FixedOffset>) -> bool {
    let ends = plan.starts + TimeDelta::minutes(plan.minutes.into());
    plan.starts - AROUND <= at && at <= ends + AROUND
}

fn in_order(marks: &[Seen]) -> Vec<SkillId> {
    let mut skills: Vec<SkillId> = Vec::new();
    for mark in marks {
        if !skills.contains(&mark.skill) {
            skills.push(mark.skill.clone());
        }
    }
    skills
}

/// The lines among one person's marks that have a beginning and an end.
fn timed(marks: &[Seen]) -> Vec<Ran> {
    let lines: Vec<&[Seen]> = marks
        .chunk_by(|one, next| one.skill == next.skill)
        .collect();
    let mut times: BTreeMap<&SkillId, u32> = BTreeMap::new();
    for first in lines.iter().filter_map(|line| line.first()) {
        *times.entry(&first.skill).or_default() += 1;
    }
    let ends: Vec<Option<DateTime<FixedOffset>>> = lines
        .iter()
        .map(|line| line.last().map(|last| last.at))
        .collect();
    // From the end of each line to the end of the next.
    let gaps: Vec<u32> = ends
        .windows(2)
        .map(|pair| match pair {
            [Some(before), Some(here)] => {
                u32::try_from((*here - *before).num_seconds()).unwrap_or(0)
            }
            _ => 0,
        })
        .collect();
    let mut ran = Vec::new();
    for (place, line) in lines.iter().enumerate().skip(1) {
        let seconds = gaps.get(place - 1).copied().unwrap_or(0);
        let next = gaps.get(place).copied().unwrap_or(u32::MAX);
        let Some(first) = line.first() else { continue };
        let whole = times.get(&first.skill) == Some(&1) && tried_once(line);
        if whole && seconds >= APART && next >= APART {
            let students: BTreeSet<&StudentId> = line.iter().map(|one| &one.student).collect();
            ran.push(Ran {
                skill: first.skill.clone(),
                students: students.len(),
                seconds,
            });
        }
    }
    ran
}

/// Whether nobody tried twice in the same way.
fn tried_once(line: &[Seen]) -> bool {
    let tries: BTreeSet<(&StudentId, &Option<MethodId>)> =
        line.iter().map(|one| (&one.student, &one.method)).collect();
    tries.len() == line.len()
}
