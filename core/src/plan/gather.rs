//! Gather: a course and what is asked of a session, as the numbers that are solved.

use std::collections::{BTreeMap, BTreeSet};

use super::need::{brings_on, brings_on_today, may_go_on, still_needs, tried_in};
use super::next::{Lacking, NextAsked};
use super::room::{Room, ascents};
use super::solve::{Answer, Job, Problem, Slot, solve, solve_in_part};
use super::worth::{LAST_FEW, Try, goes_again, longest_ways};
use crate::course::{Outline, Role, RunBy, Skill, SkillId, StudentId, suits};
use crate::standing::{CellState, CourseStanding};

/// The most stations: more are not overlooked by one instructor, and not solved at once.
const MOST_STATIONS: usize = 3;
/// More than all that, for what a person asked for.
const PINNED: u32 = 5_000;

/// A session that can be solved.
pub(super) struct Gathered<'a> {
    pub(super) course: &'a CourseStanding,
    pub(super) asked: &'a NextAsked,
    pub(super) outline: &'a Outline,
    /// By job.
    pub(super) skills: Vec<&'a Skill>,
    pub(super) jobs: Vec<Job>,
    /// Skills that wait behind a job's, near and far.
    pub(super) behind: Vec<u16>,
    /// What was shown already in the session that is being held.
    shown: BTreeSet<SkillId>,
    /// Ascents that a member of staff may make.
    ascents: u16,
    room: Room,
}

impl<'a> Gathered<'a> {
    pub(super) fn of(
        course: &'a CourseStanding,
        asked: &'a NextAsked,
        chance: &dyn Fn(&StudentId, &SkillId) -> u16,
    ) -> Result<Self, Lacking> {
        let outline = course.outline().ok_or(Lacking::Outline)?;
        if asked.students.is_empty() {
            return Err(Lacking::Students);
        }
        if !asked.staff.iter().any(|(_, role)| *role != Role::Shop) {
            return Err(Lacking::Staff);
        }
        if asked.minutes == 0 {
            return Err(Lacking::Minutes);
        }
        if let Some(id) = ring(outline) {
            return Err(Lacking::Ring(id));
        }
        let skills: Vec<&Skill> = outline
            .skills
            .iter()
            .filter(|skill| suits(skill, asked.setting) && !asked.left_out.contains(&skill.id))
            .collect();
        let behind = skills
            .iter()
            .map(|skill| behind(outline, &skill.id))
            .collect();
        let shown = asked.running.map(|session| tried_in(course, &session));
        let mut gathered = Self {
            course,
            asked,
            outline,
            skills,
            jobs: Vec::new(),
            behind,
            shown: shown.unwrap_or_default(),
            ascents: ascents(course),
            room: Room::of(course, asked),
        };
        gathered.jobs = gathered.jobs(chance);
        Ok(gathered)
    }

    fn jobs(&self, chance: &dyn Fn(&StudentId, &SkillId) -> u16) -> Vec<Job> {
        let at: BTreeMap<&SkillId, usize> =
            self.skills.iter().map(|skill| &skill.id).zip(0..).collect();
        let places = |ids: &[SkillId]| ids.iter().filter_map(|id| at.get(id).copied()).collect();
        let students = self.asked.students.iter();
        let ahead: Vec<(&StudentId, bool, BTreeMap<SkillId, u64>)> = students
            .map(|student| {
                let few = open(self.course, self.outline, student) <= LAST_FEW;
                let ways = longest_ways(self.course, self.outline, student, chance);
                (student, few, ways)
            })
            .collect();
        let mut possible: BTreeSet<(usize, &StudentId)> = BTreeSet::new();
        let mut jobs = Vec::new();
        for (number, skill) in (0..).zip(&self.skills) {
            let (mut worth, mut misses) = (Vec::new(), Vec::new());
            let again = goes_again(skill);
            for (student, few, ways) in &ahead {
                let brings = self.brings_on(student, skill);
                let ready = skill.needs.iter().all(|need| {
                    let here = at
                        .get(need)
                        .is_some_and(|job| possible.contains(&(*job, *student)));
                    here || may_go_on(self.course, student, need)
                });
                if !(brings && ready) {
                    worth.push(0);
                    continue;
                }
                possible.insert((number, *student));
                let likely = chance(student, &skill.id).clamp(50, 1_000);
                misses.push(1_000 - likely);
                let one = Try {
                    required: skill.required,
                    likely,
                    way: ways.get(&skill.id).copied().unwrap_or(0),
                    few: *few,
                    again,
                };
                let pinned = self.asked.pinned.contains(&skill.id);
                worth.push(one.worth() + if pinned { PINNED } else { 0 });
            }
            jobs.push(Job {
                setup: if self.shown.contains(&skill.id) {
                    0
                } else {
                    skill.setup_minutes()
                },
                turn: skill.turn_minutes(),
                form: skill.run.form,
                again: if again { mean(&misses) } else { 0 },
                ascents: skill.run.ascents.into(),
                assistant: skill.run.by == RunBy::Assistant,
                place: skill.run.place,
                cold: skill.run.cold,
                needs: self.needs(&at, skill),
                worth,
                before: places(&skill.run.before),
                after: skill
                    .run
                    .closes
                    .iter()
                    .filter_map(|id| at.get(id).copied())
                    .collect(),
            });
        }
        jobs
    }

    /// Whether a try brings a student on, in a session to come or in what is left of one.
    pub(super) fn brings_on(&self, student: &StudentId, skill: &Skill) -> bool {
        let setting = self.asked.setting;
        match &self.asked.running {
            None => brings_on(self.course, student, skill, setting),
            Some(session) => brings_on_today(self.course, student, skill, setting, session),
        }
    }

    /// By student, what has to be tried first in this session: what is built on and not met.
    fn needs(&self, at: &BTreeMap<&SkillId, usize>, skill: &Skill) -> Vec<BTreeSet<usize>> {
        let first = |student: &StudentId| {
            let open = skill
                .needs
                .iter()
                .filter(|need| !may_go_on(self.course, student, need));
            open.filter_map(|need| at.get(need).copied()).collect()
        };
        self.asked.students.iter().map(first).collect()
    }

    /// The better of a session with everyone at one place, and one with stations, where
    /// there are hands for them; of equals the simpler.
    pub(super) fn solve(&self) -> (Problem, Answer) {
        let hands = self.hands().len().min(MOST_STATIONS);
        // Of one station there is one way to look at it; of several there are three.
        let solve = if hands > 1 { solve_in_part } else { solve };
        let whole = self.problem(self.slots(1, 1));
        let answer = solve(&whole);
        let mut best = (whole, answer);
        // What no list can exceed is the most of every way that was looked at.
        let mut most = best.1.most;
        if hands > 1 && best.1.worth < ceiling(&best.0) {
            for phases in 1..=2 {
                let problem = self.problem(self.slots(hands, phases));
                let answer = solve(&problem);
                most = most.max(answer.most);
                if answer.worth > best.1.worth {
                    best = (problem, answer);
                }
            }
        }
        best.1.most = most;
        best
    }

    /// Who runs stations, instructors first.
    pub(super) fn hands(&self) -> Vec<(crate::course::StaffId, Role)> {
        let all = self
            .asked
            .staff
            .iter()
            .filter(|(_, role)| *role != Role::Shop);
        let mut hands: Vec<_> = all.copied().collect();
        hands.sort_by_key(|(_, role)| *role == Role::Assistant);
        hands
    }

    fn problem(&self, slots: Vec<Slot>) -> Problem {
        Problem {
            students: self.asked.students.len(),
            slots,
            jobs: self.jobs.clone(),
        }
    }

    fn slots(&self, stations: usize, phases: usize) -> Vec<Slot> {
        let parts = u16::try_from(phases).unwrap_or(1).max(1);
        let hands = self.hands();
        let mut slots = Vec::new();
        for phase in 0..phases {
            for (station, (_, role)) in (0..stations).zip(&hands) {
                let assistant = *role == Role::Assistant;
                slots.push(Slot {
                    station,
                    phase,
                    minutes: self.asked.minutes / parts,
                    ascents: self.ascents / parts,
                    room: match (stations, assistant) {
                        (1, _) => self.room.all,
                        (_, true) => self.room.assistant,
                        (_, false) => self.room.instructor,
                    },
                    assistant,
                });
            }
        }
        slots
    }
}

/// The mean of thousandths, rounded down; nought of none.
fn mean(all: &[u16]) -> u16 {
    let sum: usize = all.iter().copied().map(usize::from).sum();
    let mean = sum.checked_div(all.len()).unwrap_or(0);
    u16::try_from(mean).unwrap_or(0)
}

fn ceiling(problem: &Problem) -> u64 {
    let worth = problem.jobs.iter().flat_map(|job| &job.worth);
    worth.map(|one| u64::from(*one)).sum()
}

/// How many required skills are open for a student.
fn open(course: &CourseStanding, outline: &Outline, student: &StudentId) -> usize {
    let required = outline.skills.iter().filter(|skill| skill.required);
    required
        .filter(|skill| still_needs(course, student, skill))
        .count()
}

/// How many skills wait for one, near and far.
pub(super) fn behind(outline: &Outline, id: &SkillId) -> u16 {
    let mut found: BTreeSet<&SkillId> = BTreeSet::new();
    let mut ahead = vec![id];
    while let Some(next) = ahead.pop() {
        let waiting = outline
            .skills
            .iter()
            .filter(|skill| skill.required && skill.needs.contains(next));
        ahead.extend(
            waiting
                .map(|skill| &skill.id)
                .filter(|skill| found.insert(skill)),
        );
    }
    u16::try_from(found.len()).unwrap_or(u16::MAX)
}

/// A skill that comes back to itself, where an outline was adopted unsound.
fn ring(outline: &Outline) -> Option<SkillId> {
    outline.faults().into_iter().find_map(|fault| {
        if let crate::course::OutlineFault::Ring { id } = fault {
            Some(id)
        } else {
            None
        }
    })
}

/// Whether a student met a skill once and has not held it since.
pub(super) fn slipped(course: &CourseStanding, student: &StudentId, skill: &SkillId) -> bool {
    let cell = course.cells().get(&(*student, skill.clone()));
    cell.is_some_and(|cell| cell.slipped_since && cell.state != CellState::Exempt)
}

/// Whether a skill is one of a student's last few.
pub(super) fn finishing(gathered: &Gathered<'_>, student: &StudentId) -> bool {
    open(gathered.course, gathered.outline, student) <= LAST_FEW
}
