//! Expect: how likely the next try is met, and from it how many sessions a course may take.
//!
//! Each skill has a share of tries that are met, believed by a beta distribution that begins
//! with a prior a person can read and change; each student has one effect on the odds of all
//! skills, whose spread is estimated from everyone's tries. The course is then rolled to its
//! end many times, each time with other shares and effects drawn from what is believed: so
//! few data give a wide answer. A pinned generator and nothing but the four basic operations
//! of IEEE 754 make the answer the same on every platform.
//!
//! Source: Gelman, A. et al., Bayesian Data Analysis, 3rd edition, 2013, sections 2.4 (beta and
//! binomial), 5.3 (a common effect with its spread estimated) and 10.1 (simulation).

mod belief;
mod draw;
mod roll;
mod spread;

use crate::hands;

pub use belief::{Belief, Evidence, Prior, Tally};
pub use draw::Draws;
pub use roll::{Course, End, Held, Load, MOST_SESSIONS, Task, bit};
pub use spread::Spread;

/// So many ways are rolled before it is asked whether to go on.
const AT_ONCE: usize = 50;
/// Fewer ways than this are not worth a core of their own.
const A_ROW: usize = 12;

/// What may come: for each student and for all of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expected {
    /// Sessions until each student has ended.
    pub students: Vec<Spread>,
    /// Sessions until all have.
    pub class: Spread,
    /// In how many of the ways the course did not end within the most sessions looked at.
    pub unended: u32,
}

/// Rolls a course to its end `ways` times, from a seed.
///
/// Each way has draws of its own: a course that differs from some session on goes the same
/// way until then, so that two of them can be compared way by way.
///
/// `go_on` is asked between some ways and the next; answering no ends the work with `None`.
pub fn expect(
    evidence: &Evidence,
    course: &Course,
    ways: u32,
    seed: u64,
    go_on: &mut dyn FnMut() -> bool,
) -> Option<Expected> {
    let belief = Belief::of(evidence);
    let mut seeds = Draws::new(seed);
    let students = course.held.students();
    let mut each: Vec<Vec<u32>> = vec![Vec::new(); students];
    let (mut class, mut unended) = (Vec::new(), 0);
    let seeds: Vec<u64> = (0..ways).map(|_| seeds.bits()).collect();
    for some in seeds.chunks(AT_ONCE) {
        if !go_on() {
            return None;
        }
        // Whoever rolls a way, it is the same way: the answer knows nothing of cores.
        let ends = hands::share(some, A_ROW, |row| {
            let end = |seed: &u64| {
                let mut draws = Draws::new(*seed);
                let chances = belief.draw(evidence, students, &mut draws);
                course.roll(&chances, &mut draws)
            };
            row.iter().map(end).collect()
        });
        for end in ends {
            for (all, one) in each.iter_mut().zip(&end.students) {
                all.push(*one);
            }
            class.push(end.students.iter().copied().max().unwrap_or(0));
            unended += u32::from(!end.ended);
        }
    }
    Some(Expected {
        students: each.into_iter().map(Spread::of).collect(),
        class: Spread::of(class),
        unended,
    })
}
