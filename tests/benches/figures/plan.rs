//! What whoever plans waits for: the next session of a full class, and the way to the end of a
//! whole course. The gap of the session is printed with its time: a search that is cut says
//! how far from the best it may be.

use std::sync::Arc;
use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset};
use tallywater_core::course::{
    CourseId, EntryId, Outline, Role, Setting, SkillId, StaffId, StudentId, starter,
};
use tallywater_core::entry::{
    Assignment, Body, DetailsDigest, DeviceKey, Enrolment, Entry, OutlineSet, Reading, Writer,
};
use tallywater_core::plan::expect::Prior;
use tallywater_core::plan::{NextAsked, OutlookAsked, WAYS, chances, next_session, outlook};
use tallywater_core::standing::CourseStanding;
use tallywater_core::trust::{Line, Verdict};
use uuid::Uuid;

use crate::report::{Report, percentile};

const STUDENTS: u128 = 12;
const SKILLS: usize = 20;
/// Pool sessions of the starter outline are as long.
const MINUTES: u16 = 90;

pub(crate) fn run(report: &mut Report) {
    if !report.wants("plan") {
        return;
    }
    let twenty = Class::of(twenty_skills());
    next(report, &twenty, 3, 100);
    // Beside it what a lone instructor waits for with the same class.
    next(report, &twenty, 1, 100);
    let whole = Class::of(starter::outline().unwrap());
    to_the_end(report, &whole);
}

fn next(report: &mut Report, class: &Class, staff: usize, budget: u64) {
    let likely = chances(&class.course, &class.students, Prior::default());
    let chance = |student: &StudentId, skill: &SkillId| {
        likely.get(&(*student, skill.clone())).copied().unwrap_or(0)
    };
    let asked = NextAsked {
        setting: Setting::Confined,
        minutes: MINUTES,
        students: class.students.clone(),
        staff: class.staff.iter().copied().take(staff).collect(),
        minors: Default::default(),
        pinned: Default::default(),
        left_out: Default::default(),
        running: None,
    };
    let (mut times, mut gap) = (Vec::new(), 0);
    for _ in 0..10 {
        let start = Instant::now();
        let plan = next_session(&class.course, &asked, &chance).unwrap();
        times.push(start.elapsed());
        assert!(!plan.run_list.is_empty());
        gap = plan.gap_per_mille;
    }
    report.time(
        &format!(
            "plan: next session, {STUDENTS} students, {SKILLS} open skills, {staff} staff, p50"
        ),
        percentile(&mut times, 50),
        Duration::from_millis(budget),
    );
    println!("  of it, no list brings more by over {gap} in a thousand");
}

fn to_the_end(report: &mut Report, class: &Class) {
    let asked = OutlookAsked {
        free: Vec::new(),
        students: class.students.clone(),
        now: class.at,
        prior: Prior::default(),
        ways: WAYS,
        history: Vec::new(),
    };
    let mut times = Vec::new();
    for _ in 0..5 {
        let start = Instant::now();
        let question = outlook(&class.course, &asked).unwrap();
        let found = question.answer(&mut || true).unwrap();
        times.push(start.elapsed());
        assert_eq!(found.class.all().len(), usize::try_from(WAYS).unwrap());
    }
    report.time(
        &format!("plan: the way to the end of a course, {STUDENTS} students, {WAYS} ways, p50"),
        percentile(&mut times, 50),
        Duration::from_secs(1),
    );
}

/// The first twenty that a pool can run, each open for everyone from the start.
fn twenty_skills() -> Outline {
    let mut outline = starter::outline().unwrap();
    let pool = |skill: &tallywater_core::course::Skill| {
        skill.required && skill.settings.contains(&Setting::Confined)
    };
    outline.skills.retain(pool);
    outline.skills.truncate(SKILLS);
    assert_eq!(outline.skills.len(), SKILLS);
    outline.blocks.clear();
    let known: Vec<SkillId> = outline
        .skills
        .iter()
        .map(|skill| skill.id.clone())
        .collect();
    for skill in &mut outline.skills {
        skill.needs.clear();
        skill.run.before.retain(|id| known.contains(id));
        skill.run.closes = skill.run.closes.take().filter(|id| known.contains(id));
    }
    outline
}

/// A class of twelve with two instructors and an assistant, of whom nobody tried anything.
struct Class {
    course: CourseStanding,
    students: Vec<StudentId>,
    staff: Vec<(StaffId, Role)>,
    at: DateTime<FixedOffset>,
    made: u128,
}

impl Class {
    fn of(outline: Outline) -> Self {
        let roles = [Role::Instructor, Role::Instructor, Role::Assistant];
        let mut class = Self {
            course: CourseStanding::new(CourseId::new(Uuid::from_u128(0xc0))),
            students: (1..=STUDENTS)
                .map(|n| StudentId::new(Uuid::from_u128(n)))
                .collect(),
            staff: (0xa1..)
                .map(|n| StaffId::new(Uuid::from_u128(n)))
                .zip(roles)
                .collect(),
            at: DateTime::parse_from_rfc3339("2026-06-01T18:00:00+02:00").unwrap(),
            made: 0,
        };
        class.write(OutlineSet { outline, why: None });
        for (staff, role) in class.staff.clone() {
            class.write(Assignment { staff, role });
        }
        for student in class.students.clone() {
            let details = DetailsDigest::of(EntryId::new(student.uuid()), b"");
            class.write(Enrolment {
                known_there_as: None,
                student,
                details,
                referred_from: None,
            });
        }
        class
    }

    fn write(&mut self, body: impl Into<Body>) {
        self.made += 1;
        self.at += chrono::Duration::seconds(1);
        let by = Writer {
            staff: StaffId::new(Uuid::from_u128(0xa1)),
            role: Role::Instructor,
        };
        let id = EntryId::new(Uuid::from_u128(0xe000_0000 + self.made));
        let entry = Entry {
            id,
            at: self.at,
            by: by.staff,
            after: Vec::new(),
            body: body.into(),
        };
        let line = Line {
            key: Some(DeviceKey([7; 32])),
            prev: None,
            signed: true,
            reading: Reading::Known(Arc::new(entry)),
        };
        self.course.take(id, &line, Verdict::Counts(by));
    }
}
