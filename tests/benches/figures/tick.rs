//! Row 1: one tick, from the signature to the disk, at 10,000 entries, beside a bare insert
//! of the same bytes into a table of the same size, with the same settings.

use std::time::{Duration, Instant};

use rusqlite::{Connection, params};
use tallywater_core::ledger::Ledger;
use tallywater_core::store::{Commit, Stands, Store, SummaryRow};
use tallywater_core::trust::SecretKey;
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

    let key = entries::key(1);
    let (mut ticks, mut inserts) = (Vec::new(), Vec::new());
    let mut parts = [Vec::new(), Vec::new(), Vec::new()];
    for number in ENTRIES..ENTRIES + TICKS {
        // Turn and turn about, and who goes first changes too.
        if number % 2 == 0 {
            let (times, bytes) = tick(&mut store, &mut ledger, &key, number);
            ticks.push(times.iter().sum());
            inserts.push(insert(&bare, &bytes));
            for (part, time) in parts.iter_mut().zip(times) {
                part.push(time);
            }
        } else {
            let bytes = stored[usize::try_from(number - ENTRIES).unwrap()].1.clone();
            inserts.push(insert(&bare, &bytes));
            ticks.push(tick(&mut store, &mut ledger, &key, number).0.iter().sum());
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
    let names = ["the signature", "the ledger", "the store, with its flush"];
    for (name, times) in names.into_iter().zip(&mut parts) {
        report.note(&format!("  of a tick, {name}, p50"), percentile(times, 50));
    }
}

/// Signs an entry, adds it, and stores it with its cell, where the ledger stands and the
/// course's summary, as the desk does; answers how long each of the three took.
fn tick(
    store: &mut Store,
    ledger: &mut Ledger,
    key: &SecretKey,
    number: u64,
) -> ([Duration; 3], Vec<u8>) {
    let course = *ledger.id();
    let start = Instant::now();
    let (_, sealed) = entries::sealed_by(key, &course, number);
    let signed = start.elapsed();
    let added = ledger.add(&sealed).unwrap();
    let changes = [(added.hash, added.change)];
    let stands = Stands {
        entries: u32::try_from(ledger.lines().len()).unwrap(),
        heads: ledger.heads(),
    };
    let added = start.elapsed();
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
        stands: Some(&stands),
        ..Commit::default()
    };
    store.commit(&course, &commit).unwrap();
    let stored = start.elapsed();
    let [(_, bytes)] = changes;
    ([signed, added - signed, stored - added], bytes)
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
