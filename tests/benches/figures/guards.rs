//! What each thing that is looked at costs when 10,000 entries come from elsewhere, as a share
//! of taking them: all of it in one run, turn and turn about. What a desk does besides, rules
//! of quantity and the disk, is in the first sync of `link.rs`.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use automerge::Automerge;
use tallywater_core::course::EntryId;
use tallywater_core::entry::{Envelope, content_id};
use tallywater_core::ledger::Written;
use tallywater_core::trust::{Line, TrustBook, Verdict, is_signed};

use crate::entries;
use crate::report::{Report, percentile};

const ENTRIES: u64 = 10_000;
const TURNS: usize = 5;

pub(crate) fn run(report: &mut Report) {
    if !report.wants("guards") {
        return;
    }
    let course = entries::course(1);
    let mut theirs = entries::ledger(course, 1);
    let mut bytes = theirs.genesis_bytes().unwrap();
    let mut sealed: Vec<(EntryId, Vec<u8>)> = Vec::new();
    for number in 0..ENTRIES {
        bytes.extend(entries::add(&mut theirs, 1, number).1);
        sealed.push(entries::sealed(&course, 1, number));
    }
    let ours = entries::ledger(course, 2);
    let root = entries::key(9).public();
    let book = TrustBook::new(root);

    let mut times: BTreeMap<&str, Vec<Duration>> = BTreeMap::new();
    for _ in 0..TURNS {
        let mut turn = |what, step: &dyn Fn() -> usize| {
            let start = Instant::now();
            assert_eq!(step(), usize::try_from(ENTRIES).unwrap());
            times.entry(what).or_default().push(start.elapsed());
        };
        turn("all", &|| ours.take_bytes(&bytes).unwrap().entries.len());
        turn("the engine alone", &|| {
            let document = Automerge::load(&bytes).unwrap();
            document.get_changes(&[]).len() - 1
        });
        turn("that an id is its content", &|| {
            let is = |(id, bytes): &&(EntryId, Vec<u8>)| content_id(&course, bytes) == *id;
            sealed.iter().filter(is).count()
        });
        turn("signatures", &|| {
            let is = |(_, bytes): &&(EntryId, Vec<u8>)| {
                is_signed(&course, &Envelope::open(bytes).unwrap())
            };
            sealed.iter().filter(is).count()
        });
        turn("reading", &|| {
            let read = |(id, bytes): &(EntryId, Vec<u8>)| Line::checked_before(*id, bytes);
            sealed.iter().map(read).filter(|line| line.signed).count()
        });
        turn("whose they are, by the book", &|| {
            let written = Written::of(vec![&theirs]);
            let had = |l: &_, e: &_, k: &_, last: &[_]| written.had(l, e, k, last);
            let lines = theirs.lines().iter();
            lines
                .map(|(id, line)| book.verdict(&course, id, line, &had))
                .filter(|verdict| *verdict != Verdict::Newer)
                .count()
        });
    }
    let mut middle = |what| percentile(times.get_mut(what).unwrap(), 50);
    let all = middle("all");
    report.note(
        &format!("guards: {ENTRIES} entries taken from elsewhere, p50"),
        all,
    );
    for what in [
        "the engine alone",
        "that an id is its content",
        "signatures",
        "reading",
        "whose they are, by the book",
    ] {
        report.share(&format!("guards: {what}"), middle(what), all);
    }
}
