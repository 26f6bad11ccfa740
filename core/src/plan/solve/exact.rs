//! Exact: the same session as an integer programme, for branch and bound.
//!
//! For each student, job and slot a try; for each job and slot whether it is run and
//! briefed, and how many turns it takes; with several slots, where each student stays. The
//! solver is cut by nodes. Its list counts only if [`check`](super::check()) finds it within
//! every limit and worth more than the one that was there before; its bound counts always,
//! rounded up.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};

use microlp::{
    ComparisonOp, OptimizationDirection, Problem as Programme, SolveOptions, SolveOutcome, Variable,
};

use super::bound::most_in_minutes;
use super::check::check;
use super::problem::{Answer, Choice, Problem, Slot};
use crate::course::RunForm;

/// Work that a tablet does at once: nodes times the square of the rows stay about under this.
pub(super) const EFFORT: usize = 20_000_000;
/// The relaxation that a search begins with is no node and cannot be cut; it takes about as
/// long as so many. Where there is no room for it no search is begun: an estimate of our own.
const ROOT: usize = 8;
/// More nodes than this bring nothing in a small session.
const MOST_NODES: usize = 4_000;

/// The better of a list and what branch and bound finds, with what no list can exceed.
pub(super) fn prove(problem: &Problem, quick: Answer, effort: usize) -> Answer {
    let model = Model::of(problem);
    let most = MOST_NODES.saturating_mul((effort / EFFORT).max(1));
    let nodes = (effort / model.rows.pow(2).max(1)).min(most);
    if nodes < ROOT {
        let most = most_in_minutes(problem)
            .min(ceiling(problem))
            .max(quick.worth);
        return Answer { most, ..quick };
    }
    let mut options = SolveOptions::default();
    options.node_limit = u64::try_from(nodes).ok();
    options.warm_start = Some(model.hint(problem, &quick));
    let mut best = quick;
    best.most = most_in_minutes(problem).min(ceiling(problem));
    // The solver is another's code and may panic on what it did not foresee: then the list
    // that was there stands, with the bound that needs no solver.
    let solved = catch_unwind(AssertUnwindSafe(|| model.programme.solve_with(options)));
    let Ok(Ok(outcome)) = solved else {
        best.most = best.most.max(best.worth);
        return best;
    };
    if let Some(bound) = outcome.stats().best_bound {
        best.most = best.most.min(up(bound));
    }
    if let SolveOutcome::Solution(solution) = &outcome {
        let mut found = model.read(|variable| solution.var_value(variable) > 0.5);
        if let Ok(worth) = check(problem, &found)
            && worth > best.worth
        {
            found.worth = worth;
            found.most = best.most;
            best = found;
        }
    }
    best.most = best.most.max(best.worth);
    best
}

/// What all that is needed would be worth: no list exceeds it.
fn ceiling(problem: &Problem) -> u64 {
    let worth = problem.jobs.iter().flat_map(|job| &job.worth);
    worth.map(|one| u64::from(*one)).sum()
}

/// A bound as a whole number: all worths are whole, so a hair above one is that one.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a float beyond the range saturates, and a bound may only be too large"
)]
fn up(bound: f64) -> u64 {
    if bound.is_finite() {
        (bound + 1e-6).floor().max(0.0) as u64
    } else {
        u64::MAX
    }
}

struct Model {
    programme: Programme,
    rows: usize,
    /// By slot, job and student.
    tries: BTreeMap<(usize, usize, usize), Variable>,
    runs: BTreeMap<(usize, usize), Variable>,
    briefs: BTreeMap<(usize, usize), Variable>,
    turns: BTreeMap<(usize, usize), Variable>,
    stays: BTreeMap<(usize, usize), Variable>,
}

impl Model {
    fn of(problem: &Problem) -> Self {
        let mut model = Self {
            programme: Programme::new(OptimizationDirection::Maximize),
            rows: 0,
            tries: BTreeMap::new(),
            runs: BTreeMap::new(),
            briefs: BTreeMap::new(),
            turns: BTreeMap::new(),
            stays: BTreeMap::new(),
        };
        model.variables(problem);
        model.tries_follow(problem);
        model.once(problem);
        for at in 0..problem.slots.len() {
            model.limits(problem, at);
        }
        model
    }

    fn row(&mut self, terms: &[(Variable, f64)], is: ComparisonOp, right: f64) {
        // The solver panics where a row names a variable twice.
        let mut merged: BTreeMap<usize, (Variable, f64)> = BTreeMap::new();
        for (variable, factor) in terms {
            merged.entry(variable.idx()).or_insert((*variable, 0.0)).1 += factor;
        }
        let merged: Vec<_> = merged
            .into_values()
            .filter(|(_, factor)| factor.abs() > 0.0)
            .collect();
        self.programme.add_constraint(merged, is, right);
        self.rows += 1;
    }

    fn variables(&mut self, problem: &Problem) {
        let routines = problem.routines();
        let several = problem.slots.len() > 1;
        let tight = |slot: &Slot| several || slot.room < problem.students;
        for (at, slot) in problem.slots.iter().enumerate() {
            for (job, of) in problem.jobs.iter().enumerate() {
                if !problem.allows(slot, of) {
                    continue;
                }
                let mut any = false;
                for student in 0..problem.students {
                    let worth = problem.worth(job, student);
                    if worth > 0 {
                        any = true;
                        let variable = self.programme.add_binary_var(worth.into());
                        self.tries.insert((at, job, student), variable);
                    }
                }
                let routine = routines.contains(&job);
                if !any && !routine {
                    continue;
                }
                let key = (at, job);
                let run = self.programme.add_binary_var(0.0);
                self.runs.insert(key, run);
                if any {
                    let brief = if routine {
                        self.programme.add_binary_var(0.0)
                    } else {
                        run
                    };
                    self.briefs.insert(key, brief);
                }
                if of.form != RunForm::Together {
                    let most = of.turns(problem.students).max(1);
                    let turns = self.programme.add_integer_var(0.0, (0, most.into()));
                    self.turns.insert(key, turns);
                }
            }
            for student in (0..problem.students).filter(|_| tight(slot)) {
                let stays = self.programme.add_binary_var(0.0);
                self.stays.insert((at, student), stays);
            }
        }
    }

    /// A try is briefed, its student is there, and has tried what it builds on.
    fn tries_follow(&mut self, problem: &Problem) {
        let tries: Vec<_> = self.tries.iter().map(|(key, one)| (*key, *one)).collect();
        for ((at, job, student), one) in tries {
            let brief = self.briefs.get(&(at, job)).copied();
            let stays = self.stays.get(&(at, student)).copied();
            for other in brief.into_iter().chain(stays) {
                self.row(&[(one, 1.0), (other, -1.0)], ComparisonOp::Le, 0.0);
            }
            let (Some(of), Some(slot)) = (problem.jobs.get(job), problem.slots.get(at)) else {
                continue;
            };
            for need in of.needs(student) {
                let mut terms = vec![(one, 1.0)];
                for (other, earlier) in problem.slots.iter().enumerate() {
                    if other == at || earlier.phase < slot.phase {
                        let tried = self.tries.get(&(other, need, student));
                        terms.extend(tried.map(|variable| (*variable, -1.0)));
                    }
                }
                self.row(&terms, ComparisonOp::Le, 0.0);
            }
        }
    }

    /// A student tries a job at one slot, and stays with one slot a phase.
    fn once(&mut self, problem: &Problem) {
        if problem.slots.len() < 2 {
            return;
        }
        for student in 0..problem.students {
            for job in 0..problem.jobs.len() {
                let slots = 0..problem.slots.len();
                let all = slots.filter_map(|at| self.tries.get(&(at, job, student)));
                let terms: Vec<_> = all.map(|one| (*one, 1.0)).collect();
                if terms.len() > 1 {
                    self.row(&terms, ComparisonOp::Le, 1.0);
                }
            }
            let phases = problem
                .slots
                .iter()
                .map(|slot| slot.phase)
                .max()
                .unwrap_or(0);
            for phase in 0..=phases {
                let here = problem.slots.iter().enumerate();
                let here = here.filter(|(_, slot)| slot.phase == phase);
                let all = here.filter_map(|(at, _)| self.stays.get(&(at, student)));
                let terms: Vec<_> = all.map(|one| (*one, 1.0)).collect();
                if terms.len() > 1 {
                    self.row(&terms, ComparisonOp::Le, 1.0);
                }
            }
        }
    }

    /// Minutes, ascents, room, turns and what stands around a job, at one slot.
    fn limits(&mut self, problem: &Problem, at: usize) {
        let Some(slot) = problem.slots.get(at) else {
            return;
        };
        let (mut minutes, mut ascents) = (Vec::new(), Vec::new());
        for (job, of) in problem.jobs.iter().enumerate() {
            let key = (at, job);
            let Some(run) = self.runs.get(&key).copied() else {
                continue;
            };
            if let Some(brief) = self.briefs.get(&key).copied() {
                minutes.push((brief, f64::from(of.setup)));
                if brief != run {
                    self.row(&[(brief, 1.0), (run, -1.0)], ComparisonOp::Le, 0.0);
                }
            }
            let turns = self.turns.get(&key).copied();
            if let Some(turns) = turns {
                let a_turn = if of.form == RunForm::Pairs {
                    -2.0
                } else {
                    -1.0
                };
                let here = self.tries.range((at, job, 0)..(at, job + 1, 0));
                let tries = 1.0 + f64::from(of.again) / 1_000.0;
                let mut terms: Vec<_> = here.map(|(_, one)| (*one, tries)).collect();
                terms.push((turns, a_turn));
                let rounded = u32::try_from(of.rounded()).unwrap_or(0);
                self.row(&terms, ComparisonOp::Le, f64::from(rounded) / 1_000.0);
                self.row(&[(run, 1.0), (turns, -1.0)], ComparisonOp::Le, 0.0);
            }
            minutes.push((turns.unwrap_or(run), f64::from(of.turn)));
            if of.ascents > 0 {
                ascents.push((turns.unwrap_or(run), f64::from(of.ascents)));
            }
            for other in of.around() {
                let other = self.runs.get(&(at, other)).copied();
                let mut terms = vec![(run, 1.0)];
                terms.extend(other.map(|other| (other, -1.0)));
                self.row(&terms, ComparisonOp::Le, 0.0);
            }
        }
        self.row(&minutes, ComparisonOp::Le, slot.minutes.into());
        if !ascents.is_empty() {
            self.row(&ascents, ComparisonOp::Le, slot.ascents.into());
        }
        if slot.room < problem.students {
            let here = self.stays.range((at, 0)..(at + 1, 0));
            let terms: Vec<_> = here.map(|(_, one)| (*one, 1.0)).collect();
            let room = u32::try_from(slot.room).unwrap_or(u32::MAX);
            self.row(&terms, ComparisonOp::Le, room.into());
        }
    }

    /// A list as values to begin the search with.
    fn hint(&self, problem: &Problem, list: &Answer) -> Vec<(Variable, f64)> {
        let mut hint: BTreeMap<usize, (Variable, f64)> = BTreeMap::new();
        let mut set = |variable: Option<&Variable>, value: f64| {
            if let Some(variable) = variable {
                hint.insert(variable.idx(), (*variable, value));
            }
        };
        let all = self.tries.values().chain(self.runs.values());
        let all = all.chain(self.briefs.values()).chain(self.turns.values());
        for variable in all.chain(self.stays.values()) {
            set(Some(variable), 0.0);
        }
        for choice in &list.choices {
            let key = (choice.slot, choice.job);
            set(self.runs.get(&key), 1.0);
            if !choice.students.is_empty() {
                set(self.briefs.get(&key), 1.0);
            }
            let turns = problem
                .jobs
                .get(choice.job)
                .map_or(0, |job| job.turns(choice.students.len()));
            set(self.turns.get(&key), turns.into());
            for student in &choice.students {
                set(self.tries.get(&(choice.slot, choice.job, *student)), 1.0);
                set(self.stays.get(&(choice.slot, *student)), 1.0);
            }
        }
        hint.into_values().collect()
    }

    fn read(&self, is: impl Fn(Variable) -> bool) -> Answer {
        let mut chosen: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
        for (key, _) in self.runs.iter().filter(|(_, run)| is(**run)) {
            chosen.insert(*key, Vec::new());
        }
        for ((at, job, student), _) in self.tries.iter().filter(|(_, one)| is(**one)) {
            chosen.entry((*at, *job)).or_default().push(*student);
        }
        let choices = chosen.into_iter().map(|((slot, job), students)| Choice {
            slot,
            job,
            students,
        });
        Answer {
            choices: choices.collect(),
            ..Answer::default()
        }
    }
}
