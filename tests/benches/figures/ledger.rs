//! What a ledger of 10,000 entries costs in memory's time: to load, to add to, and to take
//! one mark that another device made.

use std::collections::BTreeSet;
use std::time::{Duration, Instant};

use tallywater_core::ledger::Ledger;

use crate::entries;
use crate::report::{Report, percentile};

const ENTRIES: u64 = 10_000;

pub(crate) fn run(report: &mut Report) {
    if !report.wants("ledger") {
        return;
    }
    let course = entries::course(1);
    let mut ledger = entries::ledger(course, 1);
    let mut bytes = ledger.genesis_bytes().unwrap();
    for number in 0..ENTRIES {
        bytes.extend(entries::add(&mut ledger, 1, number).1);
    }

    let loads = (0..10).map(|_| timed(|| load(&bytes))).collect();
    show(report, "load from loose changes", loads, 250);
    let snapshot = ledger.save().unwrap();
    let loads = (0..10).map(|_| timed(|| load(&snapshot))).collect();
    show(report, "load from a snapshot", loads, 250);
    let mut clones: Vec<_> = (0..10).map(|_| timed(|| ledger.clone())).collect();
    report.note("ledger: clone, p50", percentile(&mut clones, 50));

    let mut other = load(&bytes);
    let (mut adds, mut takes) = (Vec::new(), Vec::new());
    for number in ENTRIES..ENTRIES + 200 {
        let (_, sealed) = entries::sealed(&course, 2, number);
        let start = Instant::now();
        let added = other.add(&sealed).unwrap();
        adds.push(start.elapsed());
        let start = Instant::now();
        let taken = ledger.take_bytes(&added.change).unwrap();
        ledger.adopt(taken);
        takes.push(start.elapsed());
    }
    show(report, "add one entry", adds, 1);
    show(report, "take one mark from another device", takes, 25);
    assert_eq!(ledger.heads(), other.heads());

    let key = entries::key(2).public();
    let last = ledger.last_of(&key);
    let asks = (0..50)
        .map(|_| timed(|| assert!(!ledger.written_by(&key, &last).is_empty())))
        .collect();
    show(report, "what one device had written by then", asks, 10);
}

fn load(bytes: &[u8]) -> Ledger {
    Ledger::load(entries::course(1), [7; 16], bytes, &BTreeSet::new()).unwrap()
}

fn timed<T>(step: impl FnOnce() -> T) -> Duration {
    let start = Instant::now();
    let done = step();
    let time = start.elapsed();
    drop(done);
    time
}

fn show(report: &mut Report, what: &str, mut measured: Vec<Duration>, millis: u64) {
    report.time(
        &format!("ledger of {ENTRIES}: {what}, p50"),
        percentile(&mut measured, 50),
        Duration::from_millis(millis),
    );
}
