//! Greedy: a list built step by step, each time with what is worth most a minute, then
//! improved by taking one job out and filling up again.

use std::collections::{BTreeMap, BTreeSet};

use super::problem::{Answer, Choice, Problem};

/// Rounds of taking out and filling up again; the gain of more was nil in trials.
const ROUNDS: usize = 3;

/// A good list, within every limit; nothing is proven about it.
///
/// With several stations it is begun with nobody placed, with neighbours in one group, and
/// with neighbours apart, groups changing stations from phase to phase; the best stands.
pub(super) fn fill(problem: &Problem) -> Answer {
    let stations: BTreeSet<usize> = problem.slots.iter().map(|slot| slot.station).collect();
    let groups = stations.len();
    let mut starts = vec![BTreeMap::new()];
    if groups > 1 {
        let size = problem.students.div_ceil(groups).max(1);
        starts.push(placed(problem, groups, |student| student / size));
        starts.push(placed(problem, groups, |student| student % groups));
    }
    let lists = starts.iter().map(|start| improved(problem, start));
    // Of equal lists the first: nobody placed without a gain.
    let best = lists.reduce(|best, next| if next.worth > best.worth { next } else { best });
    best.map(Filling::answer).unwrap_or_default()
}

/// Students in groups, each at the station that is its turn in a phase.
fn placed(
    problem: &Problem,
    groups: usize,
    group: impl Fn(usize) -> usize,
) -> BTreeMap<(usize, usize), usize> {
    let mut stays = BTreeMap::new();
    for (at, slot) in problem.slots.iter().enumerate() {
        for student in 0..problem.students {
            if (group(student) + slot.phase) % groups == slot.station {
                stays.insert((slot.phase, student), at);
            }
        }
    }
    stays
}

fn improved<'a>(problem: &'a Problem, start: &BTreeMap<(usize, usize), usize>) -> Filling<'a> {
    let mut best = Filling::new(problem, start);
    best.fill(&BTreeSet::new());
    for _ in 0..ROUNDS {
        let mut better = false;
        let chosen: Vec<(usize, usize)> = best.chosen.keys().copied().collect();
        for out in chosen {
            let mut next = Filling::new(problem, start);
            for (key, students) in &best.chosen {
                if *key != out {
                    next.put_back(*key, students);
                }
            }
            next.fill(&BTreeSet::from([out]));
            if next.worth > best.worth {
                best = next;
                better = true;
            }
        }
        if !better {
            break;
        }
    }
    best
}

/// A list while it is filled.
struct Filling<'a> {
    problem: &'a Problem,
    /// Who tries which job at which slot.
    chosen: BTreeMap<(usize, usize), Vec<usize>>,
    /// At which slot each student has tried a job.
    tried: BTreeMap<(usize, usize), usize>,
    /// With which slot a student stays in a phase.
    stays: BTreeMap<(usize, usize), usize>,
    worth: u64,
}

/// One step that could be taken next.
struct Step {
    key: (usize, usize),
    students: Vec<usize>,
    worth: u64,
    minutes: u64,
}

impl<'a> Filling<'a> {
    fn new(problem: &'a Problem, start: &BTreeMap<(usize, usize), usize>) -> Self {
        Self {
            problem,
            chosen: BTreeMap::new(),
            tried: BTreeMap::new(),
            stays: start.clone(),
            worth: 0,
        }
    }

    /// What is kept of a list of which something was taken out, as far as it still holds.
    fn put_back(&mut self, key: (usize, usize), students: &[usize]) {
        let able: Vec<usize> = students
            .iter()
            .copied()
            .filter(|student| self.may(key, *student))
            .collect();
        if !able.is_empty() && self.step(key, able.clone()).is_some() {
            self.take(key, &able);
        }
    }

    fn fill(&mut self, never: &BTreeSet<(usize, usize)>) {
        while let Some(step) = self.best_step(never) {
            self.take(step.key, &step.students);
        }
    }

    fn best_step(&self, never: &BTreeSet<(usize, usize)>) -> Option<Step> {
        let mut best: Option<Step> = None;
        for slot in 0..self.problem.slots.len() {
            for job in 0..self.problem.jobs.len() {
                let key = (slot, job);
                if never.contains(&key) {
                    continue;
                }
                let mut able: Vec<usize> = (0..self.problem.students)
                    .filter(|student| self.may(key, *student))
                    .collect();
                able.sort_by_key(|student| std::cmp::Reverse(self.problem.worth(job, *student)));
                for most in 1..=able.len() {
                    let some = able.iter().take(most).copied().collect();
                    let Some(step) = self.step(key, some) else {
                        continue;
                    };
                    let denser = best.as_ref().is_none_or(|best| {
                        step.worth * best.minutes.max(1) > best.worth * step.minutes.max(1)
                    });
                    if denser {
                        best = Some(step);
                    }
                }
            }
        }
        best
    }

    /// Whether a student could try a job at a slot now, minutes and room aside.
    fn may(&self, (at, job): (usize, usize), student: usize) -> bool {
        let (Some(slot), Some(of)) = (self.problem.slots.get(at), self.problem.jobs.get(job))
        else {
            return false;
        };
        let here = self.stays.get(&(slot.phase, student));
        let ready = of.needs(student).all(|need| {
            let tried = self.tried.get(&(need, student));
            tried.is_some_and(|other| {
                let earlier = self.problem.slots.get(*other);
                *other == at || earlier.is_some_and(|one| one.phase < slot.phase)
            })
        });
        self.problem.worth(job, student) > 0
            && !self.tried.contains_key(&(job, student))
            && here.is_none_or(|here| *here == at)
            && self.problem.allows(slot, of)
            && ready
    }

    /// What it would cost and bring to add these students; `None` where it does not fit.
    fn step(&self, key: (usize, usize), students: Vec<usize>) -> Option<Step> {
        let (at, job) = key;
        let slot = self.problem.slots.get(at)?;
        let mut then: BTreeMap<usize, usize> = self
            .chosen
            .iter()
            .filter(|((slot, _), _)| *slot == at)
            .map(|((_, job), students)| (*job, students.len()))
            .collect();
        let held = self.stays.iter().filter(|(_, stays)| **stays == at).count();
        let new = students
            .iter()
            .filter(|student| !self.stays.contains_key(&(slot.phase, **student)))
            .count();
        let before = self.minutes(&then);
        *then.entry(job).or_default() += students.len();
        for other in self.closure(job) {
            then.entry(other).or_default();
        }
        let minutes = self.minutes(&then);
        let ascents: u32 = then
            .iter()
            .filter_map(|(job, n)| Some(u32::from(self.problem.jobs.get(*job)?.ascents(*n))))
            .sum();
        let fits = minutes <= slot.minutes.into()
            && ascents <= slot.ascents.into()
            && held + new <= slot.room;
        fits.then(|| Step {
            key,
            worth: students
                .iter()
                .map(|student| u64::from(self.problem.worth(job, *student)))
                .sum(),
            minutes: u64::from(minutes.saturating_sub(before)),
            students,
        })
    }

    fn minutes(&self, jobs: &BTreeMap<usize, usize>) -> u32 {
        jobs.iter()
            .filter_map(|(job, n)| Some(u32::from(self.problem.jobs.get(*job)?.minutes(*n))))
            .sum()
    }

    /// Everything that must stand around a job, and around that.
    fn closure(&self, job: usize) -> BTreeSet<usize> {
        let mut all = BTreeSet::new();
        let mut ahead = vec![job];
        while let Some(next) = ahead.pop() {
            let around = self
                .problem
                .jobs
                .get(next)
                .into_iter()
                .flat_map(|job| job.around());
            ahead.extend(around.filter(|other| all.insert(*other)));
        }
        all
    }

    fn take(&mut self, key: (usize, usize), students: &[usize]) {
        let (at, job) = key;
        let Some(slot) = self.problem.slots.get(at) else {
            return;
        };
        for student in students {
            self.tried.insert((job, *student), at);
            self.stays.insert((slot.phase, *student), at);
            self.worth += u64::from(self.problem.worth(job, *student));
        }
        self.chosen.entry(key).or_default().extend(students);
        for other in self.closure(job) {
            self.chosen.entry((at, other)).or_default();
        }
    }

    fn answer(self) -> Answer {
        let choices = self.chosen.into_iter().map(|((slot, job), mut students)| {
            students.sort_unstable();
            Choice {
                slot,
                job,
                students,
            }
        });
        Answer {
            choices: choices.collect(),
            worth: self.worth,
            most: u64::MAX,
        }
    }
}
