//! A shop's computer that was lost comes back from one tablet: the recovery sheet, a code,
//! and then every course over the link, each entry checked and each piece on the disk before
//! it is said to be there.

use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

use tallywater_core::course::{CourseId, LedgerId, Role, SkillId, StudentId};
use tallywater_core::desk::{Again, MarkTap, Request};
use tallywater_core::entry::{Mark, Origin};
use tallywater_core::link::pairing::Guest;

use crate::report::Report;
use crate::support::devices::{Device, NAMES, School, day, details, meet};
use crate::support::links::go_online;

/// As many as a shop has after some years, of as many entries as the fullest pool day.
const ENTRIES: usize = 500;
/// So many courses unless `RESTORE_COURSES` says otherwise: with 2,000 it is a million entries,
/// and building them takes an evening.
const COURSES: usize = 40;
/// Entries a second.
const BUDGET: f64 = 30_000.0;

pub(crate) fn run(report: &mut Report) {
    if !report.wants("restored shop") {
        return;
    }
    let courses = std::env::var("RESTORE_COURSES")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(COURSES);
    let school = School::new(8);
    (1..courses).for_each(|n| open(&school, n));
    meet(&school.shop, &school.instructor);
    let ledgers: Vec<LedgerId> = school.instructor.desk.ledgers().unwrap();
    for ledger in &ledgers {
        if let LedgerId::Course(course) = ledger {
            fill(&school, *course);
        }
    }
    let there = |device: &Device, ledger: &LedgerId| device.desk.entries(ledger).unwrap_or(0);
    let held: Vec<(LedgerId, usize)> = ledgers
        .iter()
        .map(|ledger| (*ledger, there(&school.instructor, ledger)))
        .collect();
    let all: usize = held.iter().map(|(_, entries)| entries).sum();

    let seed = school.shop.desk.recovery_seed().unwrap();
    let fresh = Device::new(91);
    let staff = fresh.desk.restore_shop(&seed, "Ansel Forde").unwrap();
    let shop = go_online(&fresh.desk);
    let guest = Guest {
        staff,
        role: Role::Shop,
        until: None,
    };
    let code = shop.link.show_code(guest).unwrap();
    let tablet = go_online(&school.instructor.desk);
    let flushes = [&fresh, &school.instructor].map(count_commits);
    let start = Instant::now();
    tablet
        .link
        .join(&shop.link.place(), &code, "Renate's tablet")
        .unwrap();
    let mut missing = held;
    while !missing.is_empty() {
        assert!(start.elapsed() < Duration::from_secs(600), "{missing:?}");
        std::thread::sleep(Duration::from_millis(20));
        missing.retain(|(ledger, entries)| there(&fresh, ledger) < *entries);
    }
    let took = start.elapsed();
    let [here, there] = flushes.map(|count| count.load(Ordering::SeqCst));
    println!(
        "restored shop: {} ledgers in {here} commits, {there} on the tablet",
        ledgers.len()
    );
    report.rate(
        &format!("restored shop of {courses} courses and {all} entries"),
        all,
        took,
        BUDGET,
    );
}

/// Counts what a device commits from now on, each with its flush of the disk.
fn count_commits(device: &Device) -> Arc<AtomicU32> {
    let count = Arc::new(AtomicU32::new(0));
    let counted = Arc::clone(&count);
    device.desk.store_for_faults(|store| {
        let hook = move || {
            counted.fetch_add(1, Ordering::SeqCst);
            false
        };
        let connection = store.connection_for_faults();
        connection.commit_hook(Some(hook)).unwrap();
    });
    count
}

/// One more course of eight, on which the instructor works.
fn open(school: &School, n: usize) {
    let opened = school.shop.record(Request::OpenCourse {
        place: None,
        outline: Default::default(),
        title: format!("First dives {n}"),
        starts: day("2026-06-06"),
        staff: vec![(school.renate, Role::Instructor)],
    });
    let course: CourseId = opened.made.unwrap().parse().unwrap();
    for name in NAMES.iter().take(8) {
        school.shop.record(Request::Enrol {
            course,
            details: details(&format!("{name} of {n}")),
            referred_from: None,
        });
    }
}

/// Marks until the course has its entries: each student, then each skill, then once more.
fn fill(school: &School, course: CourseId) {
    let desk = &school.instructor.desk;
    let (students, skills): (Vec<StudentId>, Vec<SkillId>) = desk
        .with_course(&course, |course| {
            let skills = &course.outline().unwrap().skills;
            let skills = skills.iter().map(|skill| skill.id.clone());
            (course.students(), skills.collect())
        })
        .unwrap();
    let session = (course == school.course).then_some(school.session);
    let begun = desk.entries(&LedgerId::Course(course)).unwrap();
    for n in 0..ENTRIES.saturating_sub(begun) {
        let (student, skill) = (students[n % 8], &skills[n / 8 % skills.len()]);
        let tap = MarkTap {
            on: desk.on_screen(&course, student, skill).unwrap(),
            mark: Mark::Nearly,
            method: None,
            measured: Vec::new(),
            slips: Vec::new(),
            note: None,
            despite: None,
            session,
            origin: Origin::Live,
            again: Again::AnotherTry,
        };
        desk.record(Request::Mark(tap)).unwrap();
    }
}
