//! The curve of growth: import, preview, one record, its PDF, export and verification of a school
//! of 125 to 5,000 people in one course.
//!
//! `cargo bench -p tallywater-tests --bench growth`. The bench fails where a person costs more
//! than one and a half times at the one end what they cost at the other, where 2,000 people take
//! more than ten seconds, or one record more than 200 ms, or where it costs more to ask every
//! rule of the import than to import.

#![allow(
    dead_code,
    unreachable_pub,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::print_stdout,
    clippy::cast_precision_loss,
    reason = "a broken expectation is a failed bench, and printing is what it is for"
)]

use std::sync::Arc;
use std::time::{Duration, Instant};

use tallywater_core::course::CourseId;
use tallywater_core::desk::{Desk, FileKeyStore, OutlineFrom, Request};
use tallywater_core::paper::data::{marks_csv, roster_csv};
use tallywater_core::paper::roster::{Hints, Twins};
use tallywater_core::paper::{Fonts, Press};
use tallywater_core::stamp::DeviceStamps;

const SIZES: [usize; 6] = [125, 250, 500, 1_000, 2_000, 5_000];

fn roster(people: usize) -> String {
    let mut text = String::from("Name;Born;Contact\n");
    for number in 0..people {
        text.push_str(&format!(
            "Given{number} Family{};{}-03-{:02};person{number}@example.org\n",
            number / 3,
            1970 + number % 30,
            1 + number % 28
        ));
    }
    text
}

fn timed<T>(what: impl FnOnce() -> T) -> (Duration, T) {
    let begun = Instant::now();
    let made = what();
    (begun.elapsed(), made)
}

/// What a preview on the command line costs: each row read, and every rule of the import asked.
fn rules_asked(desk: &Desk, course: CourseId, text: &str) -> Duration {
    let (time, asked) = timed(|| {
        let seen = desk.look_at_roster(&course, text.as_bytes(), Hints::default());
        let new = seen.unwrap().rows.into_iter();
        let requests = new.map(|row| Request::Enrol {
            course,
            details: row.details,
            referred_from: None,
        });
        desk.would_record(requests.collect())
    });
    asked.unwrap();
    time
}

fn main() {
    let press = Press::new(Fonts::bundled().unwrap()).unwrap();
    let names = [
        "import",
        "preview",
        "all rules",
        "tables",
        "verify",
        "one record",
        "its PDF",
    ];
    println!(
        "{:>7} {}",
        "people",
        names.map(|name| format!("{name:>12}")).concat()
    );
    let mut curve: Vec<(usize, [Duration; 7])> = Vec::new();
    for people in SIZES {
        let folder = tempfile::TempDir::new().unwrap();
        let keys = Box::new(FileKeyStore::new(&folder.path().join("keys")));
        let desk = Desk::open(folder.path(), keys, Arc::new(DeviceStamps)).unwrap();
        desk.start_shop("Grebe Hollow Divers", "Ansel Forde")
            .unwrap();
        let opened = desk.record(Request::OpenCourse {
            title: "First dives, June".into(),
            starts: "2026-06-06".parse().unwrap(),
            place: None,
            outline: OutlineFrom::School,
            staff: Vec::new(),
        });
        let course: CourseId = opened.unwrap().made.unwrap().parse().unwrap();
        let text = roster(people);
        let asked = rules_asked(&desk, course, &text);
        let (import, taken) =
            timed(|| desk.take_roster(course, text.as_bytes(), Hints::default(), Twins::LeaveOut));
        assert_eq!(taken.unwrap().enrolled, people);
        // At the near end it is less than a millisecond, of which the machine's other work
        // easily takes half: the least of five.
        let previews = (0..5).map(|_| {
            let (time, seen) =
                timed(|| desk.look_at_roster(&course, text.as_bytes(), Hints::default()));
            assert_eq!(seen.unwrap().rows.len(), people);
            time
        });
        let preview = previews.min().unwrap();
        let (tables, ()) = timed(|| {
            let papers = desk.papers(&course).unwrap();
            roster_csv(&papers.source()).unwrap();
            marks_csv(&papers.source()).unwrap();
        });
        let (verify, found) = timed(|| desk.verify_course(&course, None));
        let student = found.unwrap().records[people / 2].student;
        let (one, record) = timed(|| {
            let papers = desk.papers_of(&course, &student).unwrap();
            papers.record(&student).unwrap()
        });
        let papers = desk.papers_of(&course, &student).unwrap();
        let source = papers.source();
        let (pdf, _) = timed(|| {
            press
                .record(&record, source.course.outline(), source.now)
                .unwrap()
        });
        let row = [import, preview, asked, tables, verify, one, pdf];
        println!(
            "{people:>7} {}",
            row.map(|time| format!("{:>10.1}ms", time.as_secs_f64() * 1_000.0))
                .concat()
        );
        curve.push((people, row));
    }
    let each =
        |(people, row): &(usize, [Duration; 7]), at: usize| row[at].as_secs_f64() / *people as f64;
    let mut over = Vec::new();
    for (at, name) in names.iter().enumerate().take(5) {
        let ratio = each(&curve[SIZES.len() - 1], at) / each(&curve[0], at);
        println!("{name}: a person of 5,000 costs {ratio:.2} times one of 125");
        if ratio >= 1.5 {
            over.push(format!("{name} {ratio:.2}"));
        }
    }
    for (people, row) in &curve {
        let ratio = row[2].as_secs_f64() / row[0].as_secs_f64();
        println!("{people}: to ask every rule costs {ratio:.2} times the import");
        // Below some hundred people both are less than a flush of the disk.
        if *people >= 1_000 && ratio > 1.1 {
            over.push(format!(
                "every rule of {people} at {ratio:.2} times the import"
            ));
        }
    }
    if curve[4].1[0] >= Duration::from_secs(10) {
        over.push("2,000 people in ten seconds".to_owned());
    }
    if let Some((people, _)) = curve
        .iter()
        .find(|(_, row)| row[5] + row[6] >= Duration::from_millis(200))
    {
        over.push(format!("one record of {people} in 200 ms"));
    }
    assert!(over.is_empty(), "over budget: {over:?}");
}
