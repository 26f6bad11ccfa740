//! What a ledger of 10,000 entries costs in memory's time: to load, to add to, and to take
//! one mark that another device made; that one also beside ledgers of 100 and 1,000.

use std::collections::BTreeSet;
use std::time::{Duration, Instant};

use tallywater_core::ledger::{Ledger, Lent};
use tallywater_core::sync::Conversation;

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

    one_mark(report);

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
    show(report, "take one mark from a file, on a copy", takes, 25);
    assert_eq!(ledger.heads(), other.heads());

    let key = entries::key(2).public();
    let last = ledger.last_of(&key);
    let asks = (0..50)
        .map(|_| timed(|| assert!(!ledger.written_by(&key, &last).is_empty())))
        .collect();
    show(report, "what one device had written by then", asks, 10);
}

/// One mark over the link, from the bytes of the message to the ledger that has it and the
/// conversation that knows: it must not matter how many were there.
fn one_mark(report: &mut Report) {
    let mut middles = Vec::new();
    for entries in [100, 1_000, 10_000] {
        let course = entries::course(1);
        let mut there = entries::ledger(course, 1);
        (0..entries).for_each(|number| drop(entries::add(&mut there, 1, number)));
        let mut here = entries::ledger(course, 2);
        here.adopt(here.take_bytes(&there.plain().unwrap()).unwrap());
        let mut talks = [&here, &there].map(|one| Conversation::begin(one, &here.heads()));
        let mut took = Vec::new();
        for number in entries..entries + 200 {
            entries::add(&mut there, 1, number);
            let pieces = talks[1].say(&there).unwrap();
            assert_eq!(pieces.len(), 1);
            let mut next = entries::ledger(course, 2);
            let start = Instant::now();
            let mut lent = Lent::new(here);
            let heard = talks[0].hear_lent(&mut lent, &pieces[0].bytes).unwrap();
            let (taken, state) = heard.split();
            next.adopt(taken.unwrap());
            talks[0].heard(&next, state);
            took.push(start.elapsed());
            here = next;
            assert_eq!(here.heads(), there.heads());
            talks[1].stored(&there.heads(), &here.heads());
        }
        let middle = percentile(&mut took, 50);
        report.time(
            &format!("ledger of {entries}: take one mark from another device, p50"),
            middle,
            Duration::from_millis(25),
        );
        middles.push(middle);
    }
    report.ratio(
        "ledger: one mark into 10,000 beside one into 100",
        middles[2],
        middles[0],
        1.5,
    );
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
