//! The list of courses of a shop with 2,000 of them, and a long ledger made into one piece.

use std::time::{Duration, Instant};

use chrono::NaiveDate;
use tallywater_core::store::{Commit, Store, SummaryRow};
use tempfile::TempDir;

use crate::entries;
use crate::report::{Report, percentile};

const COURSES: u64 = 2_000;
const ENTRIES: u64 = 10_000;

pub(crate) fn run(report: &mut Report) {
    if !report.wants("list") {
        return;
    }
    let folder = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let path = folder.path().join("store.db");
    let mut store = Store::open(&path).unwrap().store;
    let rows: Vec<SummaryRow> = (0..COURSES).map(summary).collect();
    let commits: Vec<_> = rows
        .iter()
        .map(|row| {
            let commit = Commit {
                summary: Some(row),
                ..Commit::default()
            };
            (row.ledger, commit)
        })
        .collect();
    store.commit_many(&commits).unwrap();
    drop(store);

    let mut store = Store::open(&path).unwrap().store;
    let mut times = Vec::new();
    for _ in 0..20 {
        let start = Instant::now();
        let listed = store.summaries().unwrap();
        times.push(start.elapsed());
        assert_eq!(listed.len(), rows.len());
    }
    report.time(
        &format!("list of {COURSES} courses, p99"),
        percentile(&mut times, 99),
        Duration::from_millis(50),
    );
    compact(report, &mut store);
}

/// What compaction keeps a tap waiting for: it holds the only writer.
fn compact(report: &Report, store: &mut Store) {
    let course = entries::course(0);
    let mut ledger = entries::ledger(course, 1);
    let changes: Vec<_> = (0..ENTRIES)
        .map(|number| entries::add(&mut ledger, 1, number))
        .collect();
    let commit = Commit {
        changes: &changes,
        ..Commit::default()
    };
    store.commit(&course, &commit).unwrap();
    let start = Instant::now();
    let snapshot = ledger.save().unwrap();
    report.note(&format!("list: save {ENTRIES} entries"), start.elapsed());
    let start = Instant::now();
    let done = store.compact(&course, &snapshot, &ledger.heads(), [3; 16]);
    report.note(&format!("list: compact {ENTRIES} entries"), start.elapsed());
    assert!(done.unwrap());
}

fn summary(number: u64) -> SummaryRow {
    let first = NaiveDate::from_ymd_opt(2020, 1, 1).unwrap();
    SummaryRow {
        ledger: entries::course(number),
        title: format!("First dives, group {number}"),
        starts: first + chrono::Days::new(number),
        students: 8,
        open: 40,
        detail: "{\"place\":\"the old quarry\"}".into(),
    }
}
