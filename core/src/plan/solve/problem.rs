//! The numbers of one session: slots, jobs, and what a list of them is.

use std::collections::BTreeSet;

use crate::course::{RunForm, RunPlace};

/// One session to be filled.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Problem {
    /// How many students, numbered from nought.
    pub students: usize,
    /// Where something can be run; students stay with one slot for its phase.
    pub slots: Vec<Slot>,
    /// What could be run, in teaching order.
    pub jobs: Vec<Job>,
}

/// One station during one phase of the session.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Slot {
    /// Which station; of one station only one slot a phase.
    pub station: usize,
    /// Which phase: a part of the session that all stations share.
    pub phase: usize,
    /// Minutes it has: the least of time, gas, no-stop time and cold.
    pub minutes: u16,
    /// Ascents that whoever runs it has left.
    pub ascents: u16,
    /// The most students it may hold.
    pub room: usize,
    /// It is run by an assistant.
    pub assistant: bool,
}

/// One skill, as far as a session goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// Minutes to brief and show, once a slot.
    pub setup: u16,
    /// Minutes a turn.
    pub turn: u16,
    /// How many take a turn at once.
    pub form: RunForm,
    /// Second turns to keep, of a thousand first ones, for those who miss: of a job in pairs
    /// or one by one. Nothing is kept of a job that all do together.
    pub again: u16,
    /// Ascents a turn.
    pub ascents: u16,
    /// Whether an assistant may run it.
    pub assistant: bool,
    /// Where it is done.
    pub place: RunPlace,
    /// Run it late.
    pub cold: bool,
    /// What a try is worth, by student; nought where it is not needed or not possible.
    pub worth: Vec<u32>,
    /// By student, the jobs that they must have tried before this one.
    pub needs: Vec<BTreeSet<usize>>,
    /// Jobs that must be run before it in the same slot, as a routine where nobody needs it.
    pub before: Vec<usize>,
    /// Jobs that must be run after it in the same slot.
    pub after: Vec<usize>,
}

/// One job at one slot; without students it is run as a routine, unjudged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// Which slot.
    pub slot: usize,
    /// Which job.
    pub job: usize,
    /// Who tries it, in order.
    pub students: Vec<usize>,
}

/// A list for a session.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Answer {
    /// What is run; one choice a slot and job.
    pub choices: Vec<Choice>,
    /// What it is worth.
    pub worth: u64,
    /// No list is worth more than this; equal to `worth` where that is proven best.
    pub most: u64,
}

impl Answer {
    /// Whether no list is better.
    pub const fn is_best(&self) -> bool {
        self.worth >= self.most
    }

    /// How far from the best it can be at most, in tenths of a percent, rounded up.
    pub fn gap_per_mille(&self) -> u64 {
        let short = self.most.saturating_sub(self.worth);
        short.saturating_mul(1000).div_ceil(self.most.max(1))
    }
}

impl Problem {
    /// What a student's try of a job is worth.
    pub fn worth(&self, job: usize, student: usize) -> u32 {
        let worth = self.jobs.get(job).and_then(|job| job.worth.get(student));
        worth.copied().unwrap_or(0)
    }

    /// Whether a job may be run in a slot, with all that must stand around it.
    pub fn allows(&self, slot: &Slot, job: &Job) -> bool {
        let one = |job: &Job| job.assistant || !slot.assistant;
        one(job)
            && job
                .around()
                .all(|other| self.jobs.get(other).is_some_and(one))
    }

    /// The jobs that some other job wants around it.
    pub fn routines(&self) -> BTreeSet<usize> {
        self.jobs.iter().flat_map(Job::around).collect()
    }
}

impl Job {
    /// What a student must have tried before it.
    pub fn needs(&self, student: usize) -> impl Iterator<Item = usize> + '_ {
        self.needs.get(student).into_iter().flatten().copied()
    }

    /// What must stand around it.
    pub fn around(&self) -> impl Iterator<Item = usize> + '_ {
        self.before.iter().chain(&self.after).copied()
    }

    /// Turns that so many students take, with the second turns that are kept for them; a
    /// routine takes one.
    ///
    /// Half a turn is rounded down and one student alone is kept none, unless misses are
    /// likelier than not: what a line has left over serves as well.
    pub fn turns(&self, students: usize) -> u16 {
        let tries = students.saturating_mul(1_000 + usize::from(self.again));
        let tries = tries.saturating_sub(self.rounded());
        let turns = match self.form {
            RunForm::Together => 1,
            RunForm::Pairs => tries.div_ceil(2_000).max(1),
            RunForm::OneByOne => tries.div_ceil(1_000).max(1),
        };
        u16::try_from(turns).unwrap_or(u16::MAX)
    }

    /// Second turns among those of so many students.
    pub fn kept(&self, students: usize) -> u16 {
        let once = Self {
            again: 0,
            ..self.clone()
        };
        self.turns(students).saturating_sub(once.turns(students))
    }

    /// Of a thousand tries, how many do not make another turn.
    pub(super) const fn rounded(&self) -> usize {
        if self.again == 0 { 0 } else { 500 }
    }

    /// Minutes for so many students; a routine is not briefed.
    pub fn minutes(&self, students: usize) -> u16 {
        let setup = if students == 0 { 0 } else { self.setup };
        setup.saturating_add(self.turn.saturating_mul(self.turns(students)))
    }

    /// Ascents for so many students.
    pub fn ascents(&self, students: usize) -> u16 {
        self.ascents.saturating_mul(self.turns(students))
    }
}
