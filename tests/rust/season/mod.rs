//! Seasons that never were: the pool part of the starter outline with students who differ, once
//! by the session that is proposed, once in the order of the outline.
//!
//! Each evening is proposed from a course that has every mark of the evenings before, as on a
//! device. A pool hour is an hour that is booked: a session counts whole. Chances are drawn from
//! a pinned seed, the same whoever made the list, so that only the lists differ.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::{DateTime, Duration, FixedOffset};
use tallywater_core::course::{
    CourseId, EntryId, MethodId, Outline, Role, SessionId, Setting, Skill, SkillId, StaffId,
    StudentId, starter,
};
use tallywater_core::entry::{
    Attempt, Body, DetailsDigest, DeviceKey, Enrolment, Entry, Mark, Origin, OutlineSet, Reading,
    SessionPlanned, Writer,
};
use tallywater_core::plan::expect::{Draws, Prior};
use tallywater_core::plan::{NextAsked, brings_on, chances, may_go_on, next_session};
use tallywater_core::standing::CourseStanding;
use tallywater_core::trust::{Line, Verdict};
use uuid::Uuid;

use crate::support::devices::{plan, time};

/// Who makes the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hand {
    /// The session that is proposed.
    Proposed,
    /// The outline from its top: of each skill that is open, as many students as there is time
    /// for, and on to the next.
    InOrder,
}

/// Sessions of ninety minutes; a season of more does not end.
const MINUTES: u16 = 90;
const MOST: u32 = 60;

const RENATE: Writer = Writer {
    staff: StaffId::new(Uuid::from_u128(0xa1)),
    role: Role::Instructor,
};

/// A course in a pool, and who is in it.
struct Season {
    course: CourseStanding,
    outline: Outline,
    students: Vec<StudentId>,
    at: DateTime<FixedOffset>,
    made: u128,
    /// How likely a try of a skill is met by somebody in the middle.
    shares: BTreeMap<SkillId, f64>,
    /// What a student's odds are beside those.
    odds: Vec<f64>,
    seed: u64,
}

impl Season {
    fn new(students: u128, seed: u64) -> Self {
        let outline = starter::outline().unwrap();
        let mut draws = Draws::new(seed);
        let shares = outline.skills.iter();
        let shares = shares.map(|skill| (skill.id.clone(), draws.beta(7, 3)));
        let shares = shares.collect();
        let mut season = Self {
            course: CourseStanding::new(CourseId::new(Uuid::from_u128(0xc0))),
            students: (1..=students)
                .map(|n| StudentId::new(Uuid::from_u128(n)))
                .collect(),
            at: time("2026-06-01T18:00:00+02:00"),
            made: 0,
            shares,
            odds: (0..students).map(|_| 0.5 + 1.5 * draws.unit()).collect(),
            seed,
            outline: outline.clone(),
        };
        season.write(Vec::new(), OutlineSet { outline, why: None });
        for student in season.students.clone() {
            let details = DetailsDigest::of(EntryId::new(student.uuid()), b"");
            season.write(
                Vec::new(),
                Enrolment {
                    student,
                    details,
                    referred_from: None,
                },
            );
        }
        season
    }

    fn write(&mut self, after: Vec<EntryId>, body: impl Into<Body>) {
        self.made += 1;
        self.at += Duration::seconds(1);
        let id = EntryId::new(Uuid::from_u128(0xe000_0000 + self.made));
        let entry = Entry {
            id,
            at: self.at,
            by: RENATE.staff,
            after,
            body: body.into(),
        };
        let line = Line {
            key: Some(DeviceKey([7; 32])),
            prev: None,
            signed: true,
            reading: Reading::Known(Arc::new(entry)),
        };
        self.course.take(id, &line, Verdict::Counts(RENATE));
    }

    /// The skills that completion asks for; whether one is of the pool is asked of each student.
    fn required(&self) -> impl Iterator<Item = &Skill> {
        let skills = self.outline.skills.iter();
        skills.filter(|skill| skill.required)
    }

    /// Whether the pool has nothing more for anybody.
    fn has_ended(&self) -> bool {
        !self.required().any(|skill| {
            let mut students = self.students.iter();
            students.any(|one| brings_on(&self.course, one, skill, Setting::Confined))
        })
    }

    /// Who tries what in the next session, in order.
    fn list(&self, hand: Hand) -> Vec<(SkillId, Vec<StudentId>)> {
        match hand {
            Hand::Proposed => self.proposed(),
            Hand::InOrder => self.in_order(),
        }
    }

    fn proposed(&self) -> Vec<(SkillId, Vec<StudentId>)> {
        let asked = NextAsked {
            setting: Setting::Confined,
            minutes: MINUTES,
            students: self.students.clone(),
            staff: vec![(RENATE.staff, Role::Instructor)],
            minors: BTreeSet::new(),
            pinned: BTreeSet::new(),
            left_out: BTreeSet::new(),
        };
        let likely = chances(&self.course, &self.students, Prior::default());
        let chance = |student: &StudentId, skill: &SkillId| {
            let found = likely.get(&(*student, skill.clone()));
            found.copied().unwrap_or(700)
        };
        let next = next_session(&self.course, &asked, &chance).unwrap();
        assert!(next.minutes <= MINUTES);
        let runs = next.stations.into_iter().flat_map(|one| one.runs);
        runs.map(|run| (run.skill, run.students)).collect()
    }

    fn in_order(&self) -> Vec<(SkillId, Vec<StudentId>)> {
        let mut left = MINUTES;
        let mut list: Vec<(SkillId, Vec<StudentId>)> = Vec::new();
        for skill in self.required() {
            let ready = |student: &&StudentId| {
                brings_on(&self.course, student, skill, Setting::Confined)
                    && skill.needs.iter().all(|need| {
                        let tried = |(one, by): &(SkillId, Vec<StudentId>)| {
                            one == need && by.contains(student)
                        };
                        may_go_on(&self.course, student, need) || list.iter().any(tried)
                    })
            };
            let mut trying: Vec<StudentId> = self.students.iter().filter(ready).copied().collect();
            trying.truncate(skill.fits(trying.len(), left));
            left -= skill.run_minutes(trying.len());
            if !trying.is_empty() {
                list.push((skill.id.clone(), trying));
            }
        }
        list
    }

    /// The way of a skill that a student tries: one that was not met yet.
    fn method(&self, student: StudentId, skill: &SkillId) -> Option<MethodId> {
        let asked = self.outline.skill(skill)?.methods_asked();
        let asked: Vec<&MethodId> = asked.map(|one| &one.id).collect();
        let parts = self.course.parts(&(student, skill.clone()));
        let met = |id: &&&MethodId| parts.as_ref().is_some_and(|one| one.methods.contains(**id));
        let open = asked.iter().find(|id| !met(id));
        open.or(asked.first()).map(|id| (*id).clone())
    }

    /// Whether this try is met: the same luck whoever makes the list.
    fn is_met(&self, number: u32, student: usize, skill: &SkillId) -> bool {
        let share = self.shares[skill];
        let odds = share / (1.0 - share) * self.odds[student];
        let at = self.outline.skills.iter().position(|one| one.id == *skill);
        let mut luck = Draws::new(
            self.seed
                ^ (u64::from(number) << 40)
                ^ (u64::try_from(student).unwrap() << 20)
                ^ u64::try_from(at.unwrap()).unwrap(),
        );
        luck.bits();
        luck.unit() < odds / (1.0 + odds)
    }

    /// Holds a session; a student goes on to nothing whose forerunner was missed in it.
    fn hold(&mut self, number: u32, list: Vec<(SkillId, Vec<StudentId>)>) {
        self.at += Duration::days(1);
        let session = SessionId::new(Uuid::from_u128(0x5e00 + u128::from(number)));
        let plan = plan(
            &self.students,
            &[RENATE.staff],
            Setting::Confined,
            &self.at.to_rfc3339(),
        );
        self.write(Vec::new(), SessionPlanned { session, plan });
        for (skill, students) in list {
            let needs = self.outline.skills.iter().find(|one| one.id == skill);
            let needs = needs.unwrap().needs.clone();
            for student in students {
                if !needs
                    .iter()
                    .all(|need| may_go_on(&self.course, &student, need))
                {
                    continue;
                }
                let who = self.students.iter().position(|one| *one == student);
                let met = self.is_met(number, who.unwrap(), &skill);
                let key = (student, skill.clone());
                let seen = self.course.cell_entries(&key);
                let seen = seen.map(|one| one.entry.id).collect();
                let attempt = Attempt {
                    student,
                    method: self.method(student, &skill),
                    skill: skill.clone(),
                    mark: if met { Mark::Met } else { Mark::NotYet },
                    measured: Vec::new(),
                    slips: Vec::new(),
                    note: None,
                    despite: None,
                    session: Some(session),
                    origin: Origin::Live,
                };
                self.write(seen, attempt);
            }
        }
    }

    /// Sessions until everyone has met everything of the pool.
    fn run(mut self, hand: Hand) -> u32 {
        for number in 1..=MOST {
            let list = self.list(hand);
            self.hold(number, list);
            if self.has_ended() {
                return number;
            }
        }
        panic!("{hand:?}: a season does not end");
    }
}

/// How many seasons are played; `SEASONS=40` plays that many.
fn seasons() -> u64 {
    let asked = std::env::var("SEASONS").ok();
    asked.and_then(|text| text.parse().ok()).unwrap_or(3)
}

#[test]
fn seasons_in_the_pool_end_sooner_by_what_is_proposed_than_in_the_outlines_order() {
    let seasons = seasons();
    let hours = |sessions: u32| f64::from(sessions) * f64::from(MINUTES) / 60.0;
    let mut all = [0, 0];
    for students in [4, 6, 8] {
        let sessions = |hand| -> u32 {
            let seeds = (0..seasons).map(|seed| 9_000 + seed * 31);
            seeds
                .map(|seed| Season::new(students, seed).run(hand))
                .sum()
        };
        let [proposed, in_order] = [Hand::Proposed, Hand::InOrder].map(sessions);
        println!(
            "{students} students, {seasons} seasons: {} pool hours as proposed, {} in the \
             outline's order ({:+.1} %)",
            hours(proposed),
            hours(in_order),
            100.0 * (f64::from(proposed) / f64::from(in_order) - 1.0),
        );
        all = [all[0] + proposed, all[1] + in_order];
    }
    let [proposed, in_order] = all;
    println!(
        "all: {:+.1} %",
        100.0 * (f64::from(proposed) / f64::from(in_order) - 1.0)
    );
    assert!(proposed < in_order, "{proposed} and {in_order} sessions");
}
