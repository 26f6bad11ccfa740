//! Bound: what no list can exceed, without a solver: tries as things of a fractional knapsack
//! whose room is all minutes of all slots.
//!
//! Source: Dantzig, G. B., Discrete-variable extremum problems, Oper. Res. 5, 1957, p. 266 (the
//! relaxed knapsack is filled by worth a minute). A try is taken to cost no more than its part of
//! the cheapest line that could be run, so the bound is true for every list; it is loose where
//! limits other than minutes bind.

use super::problem::{Job, Problem};

/// No list for this session is worth more than this.
pub fn most_in_minutes(problem: &Problem) -> u64 {
    let mut tries: Vec<(u64, u64)> = Vec::new();
    for job in &problem.jobs {
        let worth: Vec<u64> = needed(job).map(u64::from).collect();
        let cost = cheapest(job, worth.len());
        tries.extend(worth.into_iter().map(|worth| (worth, cost)));
    }
    // What is worth most a minute first.
    tries.sort_by(|one, other| (other.0 * one.1).cmp(&(one.0 * other.1)));
    let minutes = problem.slots.iter().map(|slot| u64::from(slot.minutes));
    let mut left = minutes.sum::<u64>() * 1_000;
    let mut most = 0;
    for (worth, cost) in tries {
        if cost > left {
            most += (worth * left).div_ceil(cost);
            break;
        }
        left -= cost;
        most += worth;
    }
    most
}

fn needed(job: &Job) -> impl Iterator<Item = u32> {
    job.worth.iter().copied().filter(|worth| *worth > 0)
}

/// Thousandths of a minute that a try takes at least, however many share the line.
fn cheapest(job: &Job, students: usize) -> u64 {
    let part = |many: usize| {
        let many_whole = u64::try_from(many).unwrap_or(u64::MAX);
        u64::from(job.minutes(many)) * 1_000 / many_whole.max(1)
    };
    (1..=students).map(part).min().unwrap_or(0)
}
