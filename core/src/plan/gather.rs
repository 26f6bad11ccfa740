//! Gather: a course and what is asked of a session, as the numbers that are solved.

use std::collections::{BTreeMap, BTreeSet};

use super::need::{brings_on, may_go_on, sessions_left, still_needs};
use super::next::{Lacking, NextAsked};
use super::solve::{Answer, Job, Problem, Slot, solve};
use crate::course::{
    AscentsOf, CapOf, Outline, Role, Rule, RunBy, Skill, SkillId, StudentId, suits,
};
use crate::standing::{CellState, CourseStanding};

/// The most stations: more are not overlooked by one instructor, and not solved at once.
const MOST_STATIONS: usize = 3;
/// Worth of a try that is needed, before all else.
const NEEDED: u32 = 100;
/// Of one that completion does not ask for.
const OPTIONAL: u32 = 10;
/// More for each later skill that waits for it, to a dozen.
const BEHIND: u32 = 12;
/// More for each further session in which it must be met again.
const AGAIN: u32 = 25;
/// More where it is one of the last few.
const FINISHING: u32 = 40;
/// How few are the last few.
pub(super) const LAST_FEW: usize = 3;
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
    /// Ascents that a member of staff may make.
    ascents: u16,
    room: Room,
}

/// How many students may be where.
#[derive(Clone, Copy)]
struct Room {
    all: usize,
    instructor: usize,
    assistant: usize,
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
        let mut gathered = Self {
            course,
            asked,
            outline,
            skills,
            jobs: Vec::new(),
            behind,
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
        let left: BTreeMap<&StudentId, usize> = self
            .asked
            .students
            .iter()
            .map(|student| (student, open(self.course, self.outline, student)))
            .collect();
        let mut possible: BTreeSet<(usize, &StudentId)> = BTreeSet::new();
        let mut jobs = Vec::new();
        for ((number, skill), behind) in (0..).zip(&self.skills).zip(&self.behind) {
            let mut worth = Vec::new();
            for student in &self.asked.students {
                let brings = brings_on(self.course, student, skill, self.asked.setting);
                let ready = skill.needs.iter().all(|need| {
                    let here = at
                        .get(need)
                        .is_some_and(|job| possible.contains(&(*job, student)));
                    here || may_go_on(self.course, student, need)
                });
                if !(brings && ready) {
                    worth.push(0);
                    continue;
                }
                possible.insert((number, student));
                let again = sessions_left(self.course, student, skill).saturating_sub(1);
                let few = left.get(student).is_some_and(|left| *left <= LAST_FEW);
                let base = if skill.required { NEEDED } else { OPTIONAL };
                let whole = base
                    + BEHIND * u32::from(*behind).min(12)
                    + AGAIN * again.min(3)
                    + if few && skill.required { FINISHING } else { 0 };
                let likely = u32::from(chance(student, &skill.id).clamp(50, 1_000));
                let pinned = self.asked.pinned.contains(&skill.id);
                let pinned = if pinned { PINNED } else { 0 };
                worth.push((whole * likely).div_ceil(1_000) + pinned);
            }
            jobs.push(Job {
                setup: skill.setup_minutes(),
                turn: skill.turn_minutes(),
                form: skill.run.form,
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
        let whole = self.problem(self.slots(1, 1));
        let answer = solve(&whole);
        let hands = self.hands().len().min(MOST_STATIONS);
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

impl Room {
    /// By the course's policy; where no rule is, no limit is known here, and the ratio
    /// beside the plan says so.
    fn of(course: &CourseStanding, asked: &NextAsked) -> Self {
        let of = |wanted: Role| {
            asked
                .staff
                .iter()
                .filter(|(_, role)| *role == wanted)
                .count()
        };
        let (instructors, assistants) = (of(Role::Instructor), of(Role::Assistant));
        let rules = course
            .policy()
            .into_iter()
            .flat_map(|one| &one.policy.rules);
        for rule in rules {
            if let Rule::Ratio {
                setting,
                per_instructor,
                per_assistant,
                cap,
                cap_of,
            } = rule.rule
                && setting == asked.setting
            {
                let [each, more, cap] = [per_instructor, per_assistant, cap].map(usize::from);
                let cap = match cap_of {
                    CapOf::Water => cap,
                    CapOf::Instructor => cap.saturating_mul(instructors),
                };
                let all = if instructors == 0 {
                    0
                } else {
                    instructors * each + assistants * more
                };
                return Self {
                    all: all.min(cap),
                    instructor: each,
                    assistant: more,
                };
            }
        }
        Self {
            all: usize::MAX,
            instructor: usize::MAX,
            assistant: usize::MAX,
        }
    }
}

fn ceiling(problem: &Problem) -> u64 {
    let worth = problem.jobs.iter().flat_map(|job| &job.worth);
    worth.map(|one| u64::from(*one)).sum()
}

/// The most ascents a day by the course's policy.
fn ascents(course: &CourseStanding) -> u16 {
    let rules = course
        .policy()
        .into_iter()
        .flat_map(|one| &one.policy.rules);
    rules
        .filter_map(|rule| {
            if let Rule::AscentsPerDay {
                most,
                of: AscentsOf::Staff,
            } = rule.rule
            {
                Some(u16::from(most))
            } else {
                None
            }
        })
        .min()
        .unwrap_or(u16::MAX)
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
