//! What printing costs: a student's record, a class of twelve, a shop year of two hundred
//! students as one job, each beside its budget.
//!
//! `cargo bench -p tallywater-tests --bench paper`. Each student has the whole of the
//! starter outline behind them. The first record of a press also pays for the fonts; the figure
//! is the median of the records after it.

#![allow(
    dead_code,
    unreachable_pub,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::print_stdout,
    reason = "a broken expectation is a failed bench, and printing is what it is for"
)]

use std::time::{Duration, Instant};

use tallywater_core::paper::{Fonts, Go, Press, Record};

#[path = "../rust/paper_school/mod.rs"]
mod paper_school;
#[path = "figures/report.rs"]
mod report;

use paper_school::{NAMES, School};
use report::{Report, percentile};

/// Twelve students: what an instructor with help teaches at once.
const CLASS: usize = 12;
/// A shop year.
const YEAR: usize = 200;

fn taught() -> School {
    let mut school = School::open(&NAMES[..CLASS]);
    for student in school.students.clone() {
        school.clear(student);
    }
    school.teach();
    school
}

fn main() {
    let asked = std::env::args().skip(1).find(|word| !word.starts_with('-'));
    let mut report = Report::new(asked);
    let school = taught();
    let standings = school.standings();
    let source = school.source(&standings);
    let press = Press::new(Fonts::bundled().unwrap()).unwrap();
    let one = |student: usize| {
        let begun = Instant::now();
        let record = Record::of(&source, school.students[student]);
        let pdf = press
            .record(&record, source.course.outline(), school.now)
            .unwrap();
        assert!(pdf.starts_with(b"%PDF-"));
        begun.elapsed()
    };
    if report.wants("record") {
        let first = one(0);
        report.note("the first record of a press", first);
        let mut times: Vec<Duration> = (0..CLASS).map(one).collect();
        report.time(
            "a student's record",
            percentile(&mut times, 50),
            Duration::from_millis(500),
        );
    }
    if report.wants("class") {
        let begun = Instant::now();
        press.class_summary(&source).unwrap();
        let done = press.records(&[source], &mut |_| Go::On).unwrap();
        assert_eq!(done, CLASS);
        report.time(
            "a class of twelve: records and summary",
            begun.elapsed(),
            Duration::from_secs(3),
        );
    }
    if report.wants("year") {
        // The same class again and again, so that the bench need not teach for minutes first.
        let sources = vec![source; YEAR.div_ceil(CLASS)];
        let begun = Instant::now();
        let mut bytes = 0;
        let done = press
            .records(&sources, &mut |step| {
                bytes += step.pdf.len();
                if step.done % 50 == 0 {
                    println!("  {} of {}", step.done, step.of);
                }
                if step.done == YEAR { Go::Stop } else { Go::On }
            })
            .unwrap();
        assert_eq!(done, YEAR);
        report.note("a shop year of 200 records as one job", begun.elapsed());
        println!("  {} kB a record", bytes / YEAR / 1024);
    }
    if !report.within() {
        std::process::exit(1);
    }
}
