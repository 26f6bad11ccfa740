//! Lay: an answer in numbers, laid out for people: stations with times, buddies, and why
//! the rest was left out.

use std::collections::{BTreeMap, BTreeSet};

use super::gather::{Gathered, finishing, slipped};
use super::need::may_go_on;
use super::next::{Because, LeftOver, NextPlan, Station, StationRun, Why};
use super::solve::{Answer, Choice, Problem, Slot, running_order};
use crate::course::{Role, RunBy, Skill, SkillId, StudentId, suits};

/// The plan of an answer.
pub(super) fn out(gathered: &Gathered<'_>, problem: &Problem, answer: &Answer) -> NextPlan {
    let starts = phase_starts(problem, answer);
    let mut stations = Vec::new();
    let mut order: Vec<(u16, usize)> = Vec::new();
    for (station, (staff, role)) in gathered.hands().into_iter().enumerate() {
        let mut runs = Vec::new();
        let mut ends = 0;
        let slots = problem.slots.iter().enumerate();
        for (at, slot) in slots.filter(|(_, slot)| slot.station == station) {
            let mut minute = starts.get(&slot.phase).copied().unwrap_or(0);
            for job in running_order(problem, &jobs_of(answer, at)) {
                let Some(choice) = choice(answer, at, job) else {
                    continue;
                };
                let run = run(gathered, problem, choice, minute);
                order.push((minute, job));
                minute = minute.saturating_add(run.as_ref().map_or(0, |run| run.minutes));
                runs.extend(run);
            }
            if !jobs_of(answer, at).is_empty() {
                ends = ends.max(minute);
            }
        }
        if !runs.is_empty() || station == 0 {
            stations.push(Station {
                staff,
                role,
                runs,
                buddies: buddies(gathered, problem, answer, station),
                spare: gathered.asked.minutes.saturating_sub(ends),
            });
        }
    }
    let placed: BTreeSet<usize> = answer
        .choices
        .iter()
        .flat_map(|one| one.students.clone())
        .collect();
    let unplaced = (0..)
        .zip(&gathered.asked.students)
        .filter(|(at, _)| !placed.contains(at));
    let longest = stations
        .iter()
        .map(|station| gathered.asked.minutes - station.spare);
    NextPlan {
        run_list: run_list(gathered, order),
        unplaced: unplaced.map(|(_, student)| *student).collect(),
        left_over: left_over(gathered, problem, answer),
        minutes: longest.max().unwrap_or(0),
        gap_per_mille: answer.gap_per_mille(),
        stations,
    }
}

fn jobs_of(answer: &Answer, at: usize) -> BTreeSet<usize> {
    let here = answer.choices.iter().filter(|one| one.slot == at);
    here.map(|one| one.job).collect()
}

fn choice(answer: &Answer, at: usize, job: usize) -> Option<&Choice> {
    answer
        .choices
        .iter()
        .find(|one| one.slot == at && one.job == job)
}

fn minutes_of(problem: &Problem, answer: &Answer, at: usize) -> u16 {
    let here = answer.choices.iter().filter(|one| one.slot == at);
    here.filter_map(|one| Some(problem.jobs.get(one.job)?.minutes(one.students.len())))
        .fold(0, u16::saturating_add)
}

/// When each phase begins: as soon as every station has ended the one before.
fn phase_starts(problem: &Problem, answer: &Answer) -> BTreeMap<usize, u16> {
    let mut lengths: BTreeMap<usize, u16> = BTreeMap::new();
    for (at, slot) in problem.slots.iter().enumerate() {
        let length = lengths.entry(slot.phase).or_default();
        *length = (*length).max(minutes_of(problem, answer, at));
    }
    let mut start = 0_u16;
    let of = |(phase, length)| {
        let begins = start;
        start = start.saturating_add(length);
        (phase, begins)
    };
    lengths.into_iter().map(of).collect()
}

fn run(
    gathered: &Gathered<'_>,
    problem: &Problem,
    choice: &Choice,
    starts: u16,
) -> Option<StationRun> {
    let skill = gathered.skills.get(choice.job)?;
    let who = |at: &usize| gathered.asked.students.get(*at).copied();
    let job = problem.jobs.get(choice.job)?;
    Some(StationRun {
        skill: skill.id.clone(),
        starts,
        minutes: job.minutes(choice.students.len()),
        kept: job.kept(choice.students.len()),
        students: choice.students.iter().filter_map(who).collect(),
        why: why(gathered, choice.job, skill, choice.students.is_empty()),
    })
}

fn why(gathered: &Gathered<'_>, job: usize, skill: &Skill, routine: bool) -> Why {
    let need: Vec<&StudentId> = needing(gathered, skill).collect();
    let how_many = |of: &dyn Fn(&StudentId) -> bool| {
        u16::try_from(need.iter().filter(|student| of(student)).count()).unwrap_or(u16::MAX)
    };
    Why {
        needed_by: how_many(&|_| true),
        behind: gathered.behind.get(job).copied().unwrap_or(0),
        finishing: how_many(&|student| skill.required && finishing(gathered, student)),
        slipped: how_many(&|student| slipped(gathered.course, student, &skill.id)),
        pinned: gathered.asked.pinned.contains(&skill.id),
        routine,
    }
}

fn needing<'a>(
    gathered: &'a Gathered<'_>,
    skill: &'a Skill,
) -> impl Iterator<Item = &'a StudentId> {
    let all = gathered.asked.students.iter();
    all.filter(move |student| gathered.brings_on(student, skill))
}

/// Each skill once, by when it first begins anywhere.
fn run_list(gathered: &Gathered<'_>, mut order: Vec<(u16, usize)>) -> Vec<SkillId> {
    // Stable: at the same minute the first station's comes first.
    order.sort_by_key(|(minute, _)| *minute);
    let mut list: Vec<SkillId> = Vec::new();
    for (_, job) in order {
        if let Some(skill) = gathered.skills.get(job)
            && !list.contains(&skill.id)
        {
            list.push(skill.id.clone());
        }
    }
    list
}

/// Buddies of a station: whoever has most to do together; a minor with an adult where one
/// is left. Common practice, no published source.
fn buddies(
    gathered: &Gathered<'_>,
    problem: &Problem,
    answer: &Answer,
    station: usize,
) -> Vec<Vec<StudentId>> {
    let here = |at: &usize| place(problem, answer, *at) == Some(station);
    let mut left: Vec<usize> = (0..gathered.asked.students.len()).filter(here).collect();
    let mut pairs: Vec<Vec<StudentId>> = Vec::new();
    let minor = |at: usize| {
        let student = gathered.asked.students.get(at);
        student.is_some_and(|student| gathered.asked.minors.contains(student))
    };
    let shared = |one: usize, two: usize| {
        let both =
            |choice: &&Choice| choice.students.contains(&one) && choice.students.contains(&two);
        answer.choices.iter().filter(both).count()
    };
    let name = |at: usize| gathered.asked.students.get(at).copied();
    // Minors choose first: there may be fewer adults than they need.
    left.sort_by_key(|at| !minor(*at));
    while left.len() > 1 {
        let one = left.remove(0);
        let best = left.iter().copied().enumerate().max_by_key(|(place, two)| {
            let mixed = !(minor(one) && minor(*two));
            (mixed, shared(one, *two), std::cmp::Reverse(*place))
        });
        let Some((place, two)) = best else {
            break;
        };
        left.remove(place);
        pairs.push([one, two].into_iter().filter_map(name).collect());
    }
    for odd in left {
        match pairs.last_mut() {
            Some(last) => last.extend(name(odd)),
            None => pairs.push(name(odd).into_iter().collect()),
        }
    }
    pairs
}

/// The station at which a student is for most of the session.
fn place(problem: &Problem, answer: &Answer, student: usize) -> Option<usize> {
    let there = answer
        .choices
        .iter()
        .filter(|one| one.students.contains(&student));
    let mut at: BTreeMap<usize, usize> = BTreeMap::new();
    for choice in there {
        if let Some(slot) = problem.slots.get(choice.slot) {
            *at.entry(slot.station).or_default() += 1;
        }
    }
    at.into_iter()
        .max_by_key(|(station, n)| (*n, std::cmp::Reverse(*station)))
        .map(|(one, _)| one)
}

/// What is open here and was not run, or not with everyone.
fn left_over(gathered: &Gathered<'_>, problem: &Problem, answer: &Answer) -> Vec<LeftOver> {
    let suited = gathered
        .outline
        .skills
        .iter()
        .filter(|skill| suits(skill, gathered.asked.setting));
    let mut left = Vec::new();
    for skill in suited {
        let tries = |student: &&StudentId| {
            let at = gathered
                .asked
                .students
                .iter()
                .position(|one| one == *student);
            !answer.choices.iter().any(|choice| {
                let same = gathered
                    .skills
                    .get(choice.job)
                    .is_some_and(|one| one.id == skill.id);
                same && at.is_some_and(|at| choice.students.contains(&at))
            })
        };
        let students: Vec<StudentId> = needing(gathered, skill).filter(tries).copied().collect();
        if !students.is_empty() {
            let because = because(gathered, problem, answer, skill, &students);
            left.push(LeftOver {
                skill: skill.id.clone(),
                students,
                because,
            });
        }
    }
    left
}

fn because(
    gathered: &Gathered<'_>,
    problem: &Problem,
    answer: &Answer,
    skill: &Skill,
    students: &[StudentId],
) -> Because {
    if gathered.asked.left_out.contains(&skill.id) {
        return Because::Asked;
    }
    let at = gathered.skills.iter().position(|one| one.id == skill.id);
    let job = at.and_then(|at| gathered.jobs.get(at));
    // All of them wait for the same: then that is why.
    let first = skill.needs.iter().find(|need| {
        let tried = |student: &StudentId| {
            let who = gathered
                .asked
                .students
                .iter()
                .position(|one| one == student);
            answer.choices.iter().any(|choice| {
                let same = gathered
                    .skills
                    .get(choice.job)
                    .is_some_and(|one| one.id == **need);
                same && who.is_some_and(|who| choice.students.contains(&who))
            })
        };
        students
            .iter()
            .all(|student| !may_go_on(gathered.course, student, need) && !tried(student))
    });
    if let Some(need) = first {
        return Because::First(need.clone());
    }
    let hands = gathered.hands();
    if skill.run.by == RunBy::Instructor && !hands.iter().any(|(_, role)| *role == Role::Instructor)
    {
        return Because::Instructor;
    }
    let Some((at, job)) = at.zip(job) else {
        return Because::Worth;
    };
    let may = |slot: &&(usize, &Slot)| problem.allows(slot.1, job);
    let slots: Vec<(usize, &Slot)> = problem.slots.iter().enumerate().collect();
    let allowed: Vec<&(usize, &Slot)> = slots.iter().filter(may).collect();
    if job.ascents > 0
        && !allowed
            .iter()
            .any(|(at, slot)| ascents_left(problem, answer, *at, slot) >= job.ascents)
    {
        return Because::Ascents;
    }
    let short = allowed.iter().map(|(slot_at, slot)| {
        let here = choice(answer, *slot_at, at).map_or(0, |one| one.students.len());
        let more =
            job.minutes(here + 1)
                .saturating_sub(if here == 0 { 0 } else { job.minutes(here) });
        let left = slot
            .minutes
            .saturating_sub(minutes_of(problem, answer, *slot_at));
        more.saturating_sub(left)
    });
    match short.min() {
        Some(0) | None => Because::Worth,
        Some(short) => Because::Minutes(short),
    }
}

fn ascents_left(problem: &Problem, answer: &Answer, at: usize, slot: &Slot) -> u16 {
    let here = answer.choices.iter().filter(|one| one.slot == at);
    let used = here
        .filter_map(|one| Some(problem.jobs.get(one.job)?.ascents(one.students.len())))
        .fold(0, u16::saturating_add);
    slot.ascents.saturating_sub(used)
}
