//! Solve: who tries what at which station, within minutes and limits: the best list there
//! is, or the best that was found with how far from best it can be at most.
//!
//! Numbers in, numbers out: knows no student, no skill by name, no clock. The same numbers
//! give the same list on every device, for all work is counted and cut by its count, never by time.
//! What a solver says is believed only after [`check()`] has worked it out anew.

mod bound;
mod check;
mod exact;
mod greedy;
mod order;
mod problem;

pub use bound::most_in_minutes;
pub use check::{Broken, check};
pub use order::running_order;
pub use problem::{Answer, Choice, Job, Problem, Slot};

/// The best list for a session.
///
/// A list built step by step is improved by taking jobs out and filling up again; then the
/// whole is given to branch and bound, which mostly proves the best. Where it stops
/// earlier, the better of the two lists stands, and [`Answer::most`] says what the best
/// could be worth.
pub fn solve(problem: &Problem) -> Answer {
    solve_patiently(problem, 1)
}

/// The same with so many times the search; for proofs that nobody waits for at a pool.
pub fn solve_patiently(problem: &Problem, patience: usize) -> Answer {
    let quick = greedy::fill(problem);
    exact::prove(
        problem,
        quick,
        exact::EFFORT.saturating_mul(patience.max(1)),
    )
}

/// The same with a half of the search: for a session that is looked at in several ways, all of
/// which a person waits for.
pub fn solve_in_part(problem: &Problem) -> Answer {
    let quick = greedy::fill(problem);
    exact::prove(problem, quick, exact::EFFORT / 2)
}
