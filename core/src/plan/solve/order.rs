//! Order: in which order a slot's jobs are run: what is needed first, few changes of place,
//! cold last.

use std::collections::BTreeSet;

use super::problem::Problem;
use crate::course::RunPlace;

/// The jobs of one slot in running order.
///
/// A job that closes others comes after all that is done under water; a cold one last of
/// those that may come next. Jobs in a ring, which a sound outline does not have, follow in
/// teaching order.
pub fn running_order(problem: &Problem, jobs: &BTreeSet<usize>) -> Vec<usize> {
    let closers: BTreeSet<usize> = problem
        .jobs
        .iter()
        .flat_map(|job| job.after.iter().copied())
        .collect();
    let mut left = jobs.clone();
    let mut order: Vec<usize> = Vec::new();
    let mut here = RunPlace::Dry;
    while !left.is_empty() {
        let open = left.iter().copied().filter(|job| {
            !left
                .iter()
                .any(|other| waits(problem, &closers, *job, *other))
        });
        let next = open.min_by_key(|job| {
            let of = problem.jobs.get(*job);
            let place = of.map_or(here, |job| job.place);
            (of.is_some_and(|job| job.cold), way(here, place), *job)
        });
        let Some(next) = next.or_else(|| left.first().copied()) else {
            break;
        };
        here = problem.jobs.get(next).map_or(here, |job| job.place);
        left.remove(&next);
        order.push(next);
    }
    order
}

/// From dry to deep.
const PLACES: [RunPlace; 5] = [
    RunPlace::Dry,
    RunPlace::Surface,
    RunPlace::Shallow,
    RunPlace::Line,
    RunPlace::Depth,
];

/// How far it is from one place to another: whoever is deep closes at the line before they
/// go on at the surface.
fn way(from: RunPlace, to: RunPlace) -> usize {
    let at = |place| PLACES.iter().position(|one| *one == place).unwrap_or(0);
    at(from).abs_diff(at(to))
}

/// Whether a job has to wait for another.
fn waits(problem: &Problem, closers: &BTreeSet<usize>, job: usize, other: usize) -> bool {
    let (Some(one), Some(two)) = (problem.jobs.get(job), problem.jobs.get(other)) else {
        return false;
    };
    let said = one.needs.iter().any(|needs| needs.contains(&other))
        || one.before.contains(&other)
        || two.after.contains(&job);
    let closes = closers.contains(&job)
        && job != other
        && !closers.contains(&other)
        && two.place.is_under_water();
    said || closes
}
