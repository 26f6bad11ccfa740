//! Greedy: a list built step by step, each time with what is worth most a minute, then
//! improved by taking one job out and filling up again.

use std::collections::{BTreeMap, BTreeSet};

use super::problem::{Answer, Choice, Job, Problem};

/// Rounds of taking out and filling up again; the gain of more was nil in trials.
const ROUNDS: usize = 3;
/// Looks at a student for a job at a slot, where there are several stations: what a list is improved by stops there, and
/// the list as it is stands. Counted, so that every device stops at the same place. An
/// estimate of our own, for a full class with three stations; the bench beside it is
/// `plan: next session`.
const WORK: usize = 150_000;

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
    let around = closures(problem);
    // A line at one station is short work, whatever the class.
    let work = if groups > 1 {
        WORK / starts.len().max(1)
    } else {
        usize::MAX
    };
    let lists = starts
        .iter()
        .map(|start| improved(problem, &around, start, work));
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

fn improved<'a>(
    problem: &'a Problem,
    around: &'a [BTreeSet<usize>],
    start: &BTreeMap<(usize, usize), usize>,
    work: usize,
) -> Filling<'a> {
    let looks = problem.slots.len() * problem.jobs.len() * problem.students;
    let mut best = Filling::new(problem, around, start);
    let mut spent = best.fill(&BTreeSet::new()).saturating_mul(looks);
    for _ in 0..ROUNDS {
        let mut better = false;
        let chosen: Vec<(usize, usize)> = best.chosen.keys().copied().collect();
        for out in chosen {
            if spent > work {
                return best;
            }
            let mut next = Filling::new(problem, around, start);
            for (key, students) in &best.chosen {
                if *key != out {
                    next.put_back(*key, students);
                }
            }
            spent += next.fill(&BTreeSet::from([out])).saturating_mul(looks);
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
    /// By job, everything that must stand around it, and around that.
    around: &'a [BTreeSet<usize>],
    /// Who tries which job at which slot.
    chosen: BTreeMap<(usize, usize), Vec<usize>>,
    /// At which slot each student has tried a job.
    tried: BTreeMap<(usize, usize), usize>,
    /// With which slot a student stays in a phase.
    stays: BTreeMap<(usize, usize), usize>,
    /// By slot, what is used up.
    used: Vec<Used>,
    worth: u64,
}

/// What of a slot is used up.
#[derive(Clone, Copy, Default)]
struct Used {
    minutes: u32,
    ascents: u32,
    students: usize,
}

/// One step that could be taken next.
struct Step {
    key: (usize, usize),
    students: Vec<usize>,
    worth: u64,
    adds: Used,
}

impl<'a> Filling<'a> {
    fn new(
        problem: &'a Problem,
        around: &'a [BTreeSet<usize>],
        start: &BTreeMap<(usize, usize), usize>,
    ) -> Self {
        let mut used = vec![Used::default(); problem.slots.len()];
        for at in start.values() {
            if let Some(used) = used.get_mut(*at) {
                used.students += 1;
            }
        }
        Self {
            problem,
            around,
            chosen: BTreeMap::new(),
            tried: BTreeMap::new(),
            stays: start.clone(),
            used,
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
        if let Some(step) = self.step(key, &able) {
            self.take(&step);
        }
    }

    /// Fills it up; answers how often it was looked for something to take.
    fn fill(&mut self, never: &BTreeSet<(usize, usize)>) -> usize {
        let mut looks = 1;
        while let Some(step) = self.best_step(never) {
            self.take(&step);
            looks += 1;
        }
        looks
    }

    /// What is worth most a minute; of equals the first slot, job and number of students.
    fn best_step(&self, never: &BTreeSet<(usize, usize)>) -> Option<Step> {
        let mut best: Option<Step> = None;
        for slot in 0..self.problem.slots.len() {
            for job in 0..self.problem.jobs.len() {
                let key = (slot, job);
                if never.contains(&key) {
                    continue;
                }
                let full = self.is_full(slot);
                let mut able: Vec<usize> = (0..self.problem.students)
                    .filter(|student| self.may(key, *student))
                    .filter(|student| !full || self.stays_with(slot, *student))
                    .collect();
                able.sort_by_key(|student| std::cmp::Reverse(self.problem.worth(job, *student)));
                for most in 1..=able.len() {
                    let some = able.get(..most).unwrap_or_default();
                    // More students never cost less: what does not fit now will not fit.
                    let Some(step) = self.step(key, some) else {
                        break;
                    };
                    let denser = best.as_ref().is_none_or(|best| {
                        step.worth * u64::from(best.adds.minutes.max(1))
                            > best.worth * u64::from(step.adds.minutes.max(1))
                    });
                    if denser {
                        best = Some(step);
                    }
                }
            }
        }
        best
    }

    fn is_full(&self, at: usize) -> bool {
        let slot = self.problem.slots.get(at).zip(self.used.get(at));
        slot.is_none_or(|(slot, used)| used.students >= slot.room)
    }

    fn stays_with(&self, at: usize, student: usize) -> bool {
        let phase = self.problem.slots.get(at).map(|slot| slot.phase);
        phase.is_some_and(|phase| self.stays.get(&(phase, student)) == Some(&at))
    }

    /// Whether a student could try a job at a slot now, minutes and room aside.
    fn may(&self, (at, job): (usize, usize), student: usize) -> bool {
        if self.problem.worth(job, student) == 0 || self.tried.contains_key(&(job, student)) {
            return false;
        }
        let (Some(slot), Some(of)) = (self.problem.slots.get(at), self.problem.jobs.get(job))
        else {
            return false;
        };
        let here = self.stays.get(&(slot.phase, student));
        here.is_none_or(|here| *here == at)
            && self.problem.allows(slot, of)
            && of.needs(student).all(|need| {
                let tried = self.tried.get(&(need, student));
                tried.is_some_and(|other| {
                    let earlier = self.problem.slots.get(*other);
                    *other == at || earlier.is_some_and(|one| one.phase < slot.phase)
                })
            })
    }

    /// What it would cost and bring to add these students; `None` where it does not fit, or
    /// where there are none.
    fn step(&self, key: (usize, usize), students: &[usize]) -> Option<Step> {
        let (at, job) = key;
        let (slot, of) = (self.problem.slots.get(at)?, self.problem.jobs.get(job)?);
        let used = self.used.get(at).copied().unwrap_or_default();
        let there = self.chosen.get(&key).map(Vec::len);
        let then = there.unwrap_or(0) + students.len();
        let before = |cost: u16| if there.is_some() { cost } else { 0 };
        let now = there.unwrap_or(0);
        let mut adds = Used {
            minutes: u32::from(of.minutes(then).saturating_sub(before(of.minutes(now)))),
            ascents: u32::from(of.ascents(then).saturating_sub(before(of.ascents(now)))),
            students: students
                .iter()
                .filter(|student| !self.stays.contains_key(&(slot.phase, **student)))
                .count(),
        };
        for other in self.around.get(job).into_iter().flatten() {
            if *other != job
                && !self.chosen.contains_key(&(at, *other))
                && let Some(of) = self.problem.jobs.get(*other)
            {
                adds.minutes += u32::from(of.minutes(0));
                adds.ascents += u32::from(of.ascents(0));
            }
        }
        let fits = !students.is_empty()
            && used.minutes + adds.minutes <= slot.minutes.into()
            && used.ascents + adds.ascents <= slot.ascents.into()
            && used.students + adds.students <= slot.room;
        fits.then(|| Step {
            key,
            worth: students
                .iter()
                .map(|student| u64::from(self.problem.worth(job, *student)))
                .sum(),
            adds,
            students: students.to_vec(),
        })
    }

    fn take(&mut self, step: &Step) {
        let (at, job) = step.key;
        let Some(slot) = self.problem.slots.get(at) else {
            return;
        };
        for student in &step.students {
            self.tried.insert((job, *student), at);
            self.stays.insert((slot.phase, *student), at);
        }
        self.worth += step.worth;
        if let Some(used) = self.used.get_mut(at) {
            used.minutes += step.adds.minutes;
            used.ascents += step.adds.ascents;
            used.students += step.adds.students;
        }
        let chosen = self.chosen.entry(step.key).or_default();
        chosen.extend(&step.students);
        for other in self.around.get(job).into_iter().flatten() {
            self.chosen.entry((at, *other)).or_default();
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

/// By job, everything that must stand around it, and around that.
fn closures(problem: &Problem) -> Vec<BTreeSet<usize>> {
    let of = |job: usize| {
        let mut all = BTreeSet::new();
        let mut ahead = vec![job];
        while let Some(next) = ahead.pop() {
            let around = problem.jobs.get(next).into_iter().flat_map(Job::around);
            ahead.extend(around.filter(|other| all.insert(*other)));
        }
        all
    };
    (0..problem.jobs.len()).map(of).collect()
}
