//! Row 1: one tick, from the signature to the disk, at 10,000 entries, beside a bare insert
//! of the same bytes into a table of the same size, with the same settings.

use std::time::{Duration, Instant};

use rusqlite::{Connection, params};
use tallywater_core::ledger::Ledger;
use tallywater_core::store::{Commit, Store, SummaryRow};
use tempfile::TempDir;

use crate::entries;
use crate::report::{Report, percentile};

const ENTRIES: u64 = 10_000;
const TICKS: u64 = 2_000;

pub(crate) fn run(report: &mut Report) {
    if !report.wants("tick") {
        return;
    }
    // On the disk that the build is on: a memory file system would flush nothing.
    let folder = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let mut store = Store::open(&folder.path().join("store.db")).unwrap().store;
    let course = entries::course(1);
    let mut ledger = entries::ledger(course, 1);
    let stored: Vec<_> = (0..ENTRIES)
        .map(|number| entries::add(&mut ledger, 1, number))
        .collect();
    let all = Commit {
        changes: &stored,
        ..Commit::default()
    };
    store.commit(&course, &all).unwrap();
    let bare = bare_table(&folder, &stored);

    let (mut ticks, mut inserts) = (Vec::new(), Vec::new());
    for number in ENTRIES..ENTRIES + TICKS {
        // Turn and turn about, and who goes first changes too.
        if number % 2 == 0 {
            let (time, bytes) = tick(&mut store, &mut ledger, number);
            ticks.push(time);
            inserts.push(insert(&bare, &bytes));
        } else {
            let bytes = stored[usize::try_from(number - ENTRIES).unwrap()].1.clone();
            inserts.push(insert(&bare, &bytes));
            ticks.push(tick(&mut store, &mut ledger, number).0);
        }
    }
    for percent in [50, 99] {
        report.ratio(
            &format!("tick durable at {ENTRIES} entries, p{percent}"),
            percentile(&mut ticks, percent),
            percentile(&mut inserts, percent),
            1.15,
        );
    }
}

/// Signs an entry, adds it, and stores it with its cell and the course's summary.
fn tick(store: &mut Store, ledger: &mut Ledger, number: u64) -> (Duration, Vec<u8>) {
    let course = *ledger.id();
    let start = Instant::now();
    let changes = [entries::add(ledger, 1, number)];
    let cells = [entries::cell(number)];
    let summary = SummaryRow {
        ledger: course,
        title: "First dives, June".into(),
        starts: chrono::NaiveDate::from_ymd_opt(2026, 6, 2).unwrap(),
        students: 8,
        open: 40,
        detail: String::new(),
    };
    let commit = Commit {
        changes: &changes,
        cells: &cells,
        summary: Some(&summary),
        ..Commit::default()
    };
    store.commit(&course, &commit).unwrap();
    let time = start.elapsed();
    let [(_, bytes)] = changes;
    (time, bytes)
}

fn bare_table(folder: &TempDir, rows: &[([u8; 32], Vec<u8>)]) -> Connection {
    let mut bare = Connection::open(folder.path().join("bare.db")).unwrap();
    bare.execute_batch(
        "PRAGMA journal_mode = wal; PRAGMA synchronous = full;
         CREATE TABLE line (id INTEGER PRIMARY KEY, bytes BLOB NOT NULL) STRICT;",
    )
    .unwrap();
    let filling = bare.transaction().unwrap();
    for (_, bytes) in rows {
        filling
            .execute("INSERT INTO line (bytes) VALUES (?1)", params![bytes])
            .unwrap();
    }
    filling.commit().unwrap();
    bare
}

fn insert(bare: &Connection, bytes: &[u8]) -> Duration {
    let start = Instant::now();
    bare.prepare_cached("INSERT INTO line (bytes) VALUES (?1)")
        .unwrap()
        .execute([bytes])
        .unwrap();
    start.elapsed()
}
