//! Check: is a list kept within every limit? Worked out from nothing but the list.

use std::collections::{BTreeMap, BTreeSet};

use super::problem::{Answer, Job, Problem, Slot};

/// A limit that a list breaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
pub enum Broken {
    /// A slot, job or student that is not there, or named twice.
    #[error("the list names something that is not there, or twice")]
    Unknown,
    /// A try that is worth nothing.
    #[error("a student tries what they do not need")]
    NotNeeded,
    /// A student tries the same job twice.
    #[error("a student tries the same twice")]
    Twice,
    /// A student is at two stations at once.
    #[error("a student is at two stations at once")]
    TwoPlaces,
    /// More students than a slot may hold.
    #[error("a station holds more students than it may")]
    Room,
    /// An assistant runs what only an instructor may.
    #[error("an assistant runs what only an instructor may")]
    NotAllowed,
    /// Too many minutes.
    #[error("a station runs longer than it may")]
    Minutes,
    /// Too many ascents.
    #[error("a station makes more ascents than it may")]
    Ascents,
    /// A student tries what builds on something that they have not tried.
    #[error("a student tries what builds on something untried")]
    Needs,
    /// A job without what must stand around it.
    #[error("a skill is run without what belongs around it")]
    Around,
}

/// What a list is worth.
///
/// # Errors
/// The first limit that it breaks.
pub fn check(problem: &Problem, answer: &Answer) -> Result<u64, Broken> {
    let mut tried: BTreeMap<(usize, usize), &Slot> = BTreeMap::new();
    let mut ran: BTreeSet<(usize, usize)> = BTreeSet::new();
    let mut used: BTreeMap<usize, (u32, u32, BTreeSet<usize>)> = BTreeMap::new();
    let mut worth = 0_u64;
    for choice in &answer.choices {
        let slot = problem.slots.get(choice.slot).ok_or(Broken::Unknown)?;
        let job = problem.jobs.get(choice.job).ok_or(Broken::Unknown)?;
        if !ran.insert((choice.slot, choice.job)) {
            return Err(Broken::Unknown);
        }
        if slot.assistant && !job.assistant {
            return Err(Broken::NotAllowed);
        }
        for student in &choice.students {
            let one = problem.worth(choice.job, *student);
            if one == 0 || *student >= problem.students {
                return Err(Broken::NotNeeded);
            }
            worth = worth.saturating_add(one.into());
            if tried.insert((choice.job, *student), slot).is_some() {
                return Err(Broken::Twice);
            }
        }
        let (minutes, ascents, held) = used.entry(choice.slot).or_default();
        *minutes += u32::from(job.minutes(choice.students.len()));
        *ascents += u32::from(job.ascents(choice.students.len()));
        held.extend(&choice.students);
    }
    limits(problem, &used)?;
    for choice in &answer.choices {
        let (Some(slot), Some(job)) =
            (problem.slots.get(choice.slot), problem.jobs.get(choice.job))
        else {
            return Err(Broken::Unknown);
        };
        if !job
            .around()
            .all(|other| ran.contains(&(choice.slot, other)))
        {
            return Err(Broken::Around);
        }
        needs(&tried, slot, job, &choice.students)?;
    }
    Ok(worth)
}

fn limits(
    problem: &Problem,
    used: &BTreeMap<usize, (u32, u32, BTreeSet<usize>)>,
) -> Result<(), Broken> {
    let mut where_in: BTreeSet<(usize, usize)> = BTreeSet::new();
    for (at, (minutes, ascents, held)) in used {
        let slot = problem.slots.get(*at).ok_or(Broken::Unknown)?;
        if *minutes > slot.minutes.into() {
            return Err(Broken::Minutes);
        }
        if *ascents > slot.ascents.into() {
            return Err(Broken::Ascents);
        }
        if held.len() > slot.room {
            return Err(Broken::Room);
        }
        if !held
            .iter()
            .all(|student| where_in.insert((slot.phase, *student)))
        {
            return Err(Broken::TwoPlaces);
        }
    }
    Ok(())
}

/// A need is tried in the same slot, where the running order puts it first, or in an
/// earlier phase.
fn needs(
    tried: &BTreeMap<(usize, usize), &Slot>,
    slot: &Slot,
    job: &Job,
    students: &[usize],
) -> Result<(), Broken> {
    for student in students {
        for need in job.needs(*student) {
            let at = tried.get(&(need, *student)).ok_or(Broken::Needs)?;
            let same = at.station == slot.station && at.phase == slot.phase;
            if !same && at.phase >= slot.phase {
                return Err(Broken::Needs);
            }
        }
    }
    Ok(())
}
