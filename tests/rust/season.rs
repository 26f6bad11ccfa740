//! Seasons that never were: the pool part of the starter outline with students who differ,
//! run by today's list, by the list of the first version, and in the outline's own order.
//!
//! A pool hour is an hour that is booked: a session counts whole. Chances are drawn from a
//! pinned seed, the same for each hand, so that only the lists differ.

use std::collections::BTreeSet;

use tallywater_core::course::{Outline, RunForm, Setting, Skill, SkillId, starter};
use tallywater_core::plan::expect::Draws;
use tallywater_core::plan::solve::{Choice, Job, Problem, Slot, solve};

/// Who makes the list.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Hand {
    /// What is solved now.
    Solved,
    /// Outline order, as many of each line as fit.
    OwnOrder,
    /// The first version: outline order, whole lines, each student in turn, nothing that is
    /// built on before it is met wherever it is asked for.
    First,
}

/// Sessions of ninety minutes; a season of more does not end.
const MINUTES: u16 = 90;
const MOST: u32 = 60;

/// Whether a skill may be run in a session that is held there.
fn suits(skill: &Skill, held_in: Setting) -> bool {
    skill.settings.contains(&held_in) || skill.settings.contains(&Setting::Surface)
}

struct Season {
    skills: Vec<Skill>,
    needs: Vec<Vec<usize>>,
    behind: Vec<u32>,
    /// By student and skill, how often it must still be met in the pool.
    left: Vec<Vec<u8>>,
    once: Vec<Vec<bool>>,
}

impl Season {
    fn new(outline: &Outline, students: usize) -> Self {
        let pool = |skill: &&Skill| skill.required && suits(skill, Setting::Confined);
        let dry = |skill: &Skill| skill.settings == [Setting::Classroom].into();
        let all = outline
            .skills
            .iter()
            .filter(pool)
            .filter(|skill| !dry(skill));
        let skills: Vec<Skill> = all.cloned().collect();
        let at = |id: &SkillId| skills.iter().position(|one| one.id == *id);
        let needs: Vec<Vec<usize>> = skills
            .iter()
            .map(|skill| skill.needs.iter().filter_map(at).collect())
            .collect();
        let waits = |at: usize| {
            let mut found = BTreeSet::new();
            let mut ahead = vec![at];
            while let Some(next) = ahead.pop() {
                let on = (0..needs.len()).filter(|one| needs[*one].contains(&next));
                ahead.extend(on.filter(|one| found.insert(*one)));
            }
            u32::try_from(found.len()).unwrap()
        };
        let behind = (0..skills.len()).map(waits).collect();
        let often = |skill: &Skill| {
            let elsewhere = skill
                .demand
                .each_of
                .iter()
                .filter(|one| **one == Setting::Open);
            skill.demand.times - u8::try_from(elsewhere.count()).unwrap()
        };
        let left: Vec<u8> = skills.iter().map(often).collect();
        Self {
            once: vec![vec![false; skills.len()]; students],
            left: vec![left; students],
            skills,
            needs,
            behind,
        }
    }

    fn ended(&self) -> bool {
        self.left.iter().flatten().all(|left| *left == 0)
    }

    /// Whether a student may go on to a skill, with what is tried before it in this list.
    fn ready(&self, student: usize, skill: usize, tried: &BTreeSet<(usize, usize)>) -> bool {
        let met = |need: &usize| self.once[student][*need] || tried.contains(&(student, *need));
        self.needs[skill].iter().all(met)
    }

    fn list(&self, hand: Hand) -> BTreeSet<(usize, usize)> {
        match hand {
            Hand::Solved => self.solved(),
            Hand::OwnOrder | Hand::First => self.in_order(hand),
        }
    }

    fn in_order(&self, hand: Hand) -> BTreeSet<(usize, usize)> {
        let mut tried = BTreeSet::new();
        let mut left = MINUTES;
        for (at, skill) in self.skills.iter().enumerate() {
            let students = 0..self.left.len();
            let first = hand == Hand::First;
            let open = |student: &usize| {
                let asked_again = first && skill.demand.each_of.contains(&Setting::Open);
                self.left[*student][at] > 0 || asked_again
            };
            let ready = |student: &usize| {
                let done = |need: &usize| {
                    let again = self.skills[*need].demand.each_of.contains(&Setting::Open);
                    tried.contains(&(*student, *need))
                        || (self.left[*student][*need] == 0 && !again)
                };
                if first {
                    self.needs[at].iter().all(done)
                } else {
                    self.ready(*student, at, &tried)
                }
            };
            let need: Vec<usize> = students.filter(open).filter(ready).collect();
            if need.is_empty() {
                continue;
            }
            let (fit, minutes) = if first {
                let others = u16::try_from(need.len() - 1).unwrap();
                let whole = skill.minutes.slow + skill.minutes.quick * others;
                (if whole <= left { need.len() } else { 0 }, whole)
            } else {
                let fit = skill.fits(need.len(), left);
                (fit, skill.run_minutes(fit))
            };
            if fit > 0 {
                left -= minutes;
                tried.extend(need.iter().take(fit).map(|student| (*student, at)));
            }
        }
        tried
    }

    /// As the plan does it: what a try is worth by what waits for it and how often it is due.
    fn solved(&self) -> BTreeSet<(usize, usize)> {
        let mut possible = BTreeSet::new();
        let students = self.left.len();
        let mut jobs = Vec::new();
        for (at, skill) in self.skills.iter().enumerate() {
            let worth = |student: usize, possible: &mut BTreeSet<(usize, usize)>| {
                let left = u32::from(self.left[student][at]);
                if left == 0 || !self.ready(student, at, possible) {
                    return 0;
                }
                possible.insert((student, at));
                (100 + 12 * self.behind[at].min(12) + 25 * (left - 1).min(3)) * 7 / 10
            };
            let first = |student: usize| {
                let open = self.needs[at]
                    .iter()
                    .filter(|need| !self.once[student][**need]);
                open.copied().collect()
            };
            let here = |ids: &[SkillId]| {
                let at = |id: &SkillId| self.skills.iter().position(|one| one.id == *id);
                ids.iter().filter_map(at).collect()
            };
            jobs.push(Job {
                setup: skill.setup_minutes(),
                turn: skill.turn_minutes(),
                form: skill.run.form,
                ascents: skill.run.ascents.into(),
                assistant: false,
                place: skill.run.place,
                cold: skill.run.cold,
                worth: (0..students)
                    .map(|student| worth(student, &mut possible))
                    .collect(),
                needs: (0..students).map(first).collect(),
                before: here(&skill.run.before),
                after: Vec::new(),
            });
        }
        let slot = Slot {
            station: 0,
            phase: 0,
            minutes: MINUTES,
            ascents: 6,
            room: students,
            assistant: false,
        };
        let answer = solve(&Problem {
            students,
            slots: vec![slot],
            jobs,
        });
        let tries = |one: Choice| {
            one.students
                .into_iter()
                .map(move |student| (student, one.job))
        };
        answer.choices.into_iter().flat_map(tries).collect()
    }

    /// Sessions until everyone has met everything of the pool.
    fn run(mut self, hand: Hand, seed: u64) -> u32 {
        let mut draws = Draws::new(seed);
        let skills: Vec<f64> = self.skills.iter().map(|_| draws.beta(7, 3)).collect();
        let odds: Vec<f64> = self.left.iter().map(|_| 0.5 + 1.5 * draws.unit()).collect();
        for session in 1..=MOST {
            let tried = self.list(hand);
            // In outline order: nothing is met before what it builds on.
            for at in 0..self.skills.len() {
                for student in 0..self.left.len() {
                    if !tried.contains(&(student, at)) {
                        continue;
                    }
                    let up = skills[at] * odds[student];
                    // A draw of its own for each student, skill and session: the same luck
                    // whoever makes the list.
                    let mut luck = Draws::new(
                        seed ^ (u64::from(session) << 40)
                            ^ (u64::try_from(student).unwrap() << 20)
                            ^ u64::try_from(at).unwrap(),
                    );
                    luck.bits();
                    if luck.unit() < up / (up + 1.0 - skills[at]) {
                        self.once[student][at] = true;
                        self.left[student][at] = self.left[student][at].saturating_sub(1);
                    }
                }
            }
            if self.ended() {
                return session;
            }
        }
        MOST
    }
}

/// Sessions of some seasons, added up.
fn sessions(hand: Hand, students: usize, seasons: u64) -> u32 {
    let outline = starter::outline().unwrap();
    let one = |seed| Season::new(&outline, students).run(hand, 9_000 + seed * 31);
    (0..seasons).map(one).sum()
}

/// How many seasons are played; `SEASONS=40` plays that many.
fn seasons() -> u64 {
    let asked = std::env::var("SEASONS").ok();
    asked.and_then(|text| text.parse().ok()).unwrap_or(3)
}

#[test]
fn a_season_in_the_pool_is_shorter_than_with_the_first_version_and_no_longer_than_by_the_outline() {
    let outline = starter::outline().unwrap();
    let in_pairs = outline
        .skills
        .iter()
        .filter(|one| one.run.form == RunForm::Pairs);
    assert!(in_pairs.count() > 10);
    let seasons = seasons();
    let hours = |sessions: u32| f64::from(sessions) * f64::from(MINUTES) / 60.0;
    for students in [4, 6, 8] {
        let [now, own, first] = [Hand::Solved, Hand::OwnOrder, Hand::First]
            .map(|hand| sessions(hand, students, seasons));
        println!(
            "{students} students, {seasons} seasons: {} pool hours solved, {} in the outline's \
             own order ({:+.1} %), {} by the first version ({:+.1} %)",
            hours(now),
            hours(own),
            100.0 * (f64::from(now) / f64::from(own) - 1.0),
            hours(first),
            100.0 * (f64::from(now) / f64::from(first) - 1.0),
        );
        assert!(
            now < MOST * u32::try_from(seasons).unwrap(),
            "every season ends"
        );
        assert!(
            now * 100 <= first * 85,
            "{now} sessions, {first} by the first version"
        );
        // One session a season more at most: what is worth most now is not always quickest.
        assert!(
            u64::from(now) <= u64::from(own) + seasons,
            "{now} and {own} sessions"
        );
    }
}
