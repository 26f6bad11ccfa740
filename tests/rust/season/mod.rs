//! Seasons that never were: the pool part of the starter outline with students who differ, by
//! the session that is proposed and in the order of the outline.
//!
//! Each evening is proposed from a course that has every mark of the evenings before, as on a
//! device. A pool hour is an hour that is booked: a session counts whole. Chances are drawn from
//! a pinned seed, the same whoever made the list, so that only the lists differ. Everyone keeps
//! to the same limits: minutes, what a skill needs, what is run around it, and three tries of a
//! skill in an evening at most.

mod evening;
mod hand;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::{DateTime, Duration, FixedOffset};
use tallywater_core::course::{
    CourseId, EntryId, Outline, Role, Setting, Skill, SkillId, StaffId, StudentId, starter,
};
use tallywater_core::entry::{
    Body, DetailsDigest, DeviceKey, Enrolment, Entry, OutlineSet, Reading, Writer,
};
use tallywater_core::plan::brings_on;
use tallywater_core::plan::expect::Draws;
use tallywater_core::standing::CourseStanding;
use tallywater_core::trust::{Line, Verdict};
use uuid::Uuid;

use crate::support::devices::time;

/// Who makes the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hand {
    /// The session that is proposed: its kept turns are taken by those who miss, and what is
    /// left of the evening is proposed anew.
    Proposed,
    /// The outline from its top: of each skill that is open, as many students as there is time
    /// for, and on to the next. A skill is tried once an evening.
    InOrder,
    /// The same, and from the top again in the minutes that are left.
    InOrderAgain,
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
    /// What was shown this evening.
    shown: BTreeSet<SkillId>,
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
            shown: BTreeSet::new(),
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
                    known_there_as: None,
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

    /// Sessions until everyone has met everything of the pool.
    fn run(mut self, hand: Hand) -> u32 {
        for number in 1..=MOST {
            self.evening(number, hand);
            if self.has_ended() {
                return number;
            }
        }
        panic!("{hand:?}: a season does not end");
    }
}

/// How many seasons of each size of class are played; `SEASONS=40` plays that many.
fn seasons() -> u64 {
    crate::support::asked("SEASONS", 3)
}

/// How much less than another, of a thousand; nought where it is more.
fn less_per_mille(one: u32, than: u32) -> u32 {
    than.saturating_sub(one) * 1_000 / than
}

#[test]
fn seasons_in_the_pool_end_a_seventh_sooner_by_what_is_proposed_than_in_the_outlines_order() {
    let seasons = seasons();
    let hands = [Hand::Proposed, Hand::InOrder, Hand::InOrderAgain];
    let hours = |sessions: u32| f64::from(sessions) * f64::from(MINUTES) / 60.0;
    let mut all = [0; 3];
    for students in [4, 6, 8] {
        let sessions = hands.map(|hand| -> u32 {
            let seeds = (0..seasons).map(|seed| 70_000 + seed * 31);
            let seasons = seeds.map(|seed| Season::new(students, seed).run(hand));
            seasons.sum()
        });
        println!(
            "{students} students, {seasons} seasons: {} pool hours as proposed, {} in the \
             outline's order, {} with what is left of an evening in that order again",
            hours(sessions[0]),
            hours(sessions[1]),
            hours(sessions[2]),
        );
        for (all, one) in all.iter_mut().zip(sessions) {
            *all += one;
        }
    }
    let [proposed, in_order, again] = all;
    println!(
        "all: {proposed}, {in_order}, {again} sessions: {} and {} of a thousand fewer",
        less_per_mille(proposed, in_order),
        less_per_mille(proposed, again),
    );
    assert!(less_per_mille(proposed, in_order) >= 150);
    assert!(proposed <= again, "{proposed} and {again} sessions");
}
