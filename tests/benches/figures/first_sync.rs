//! A first sync of 10,000 entries in its parts, with no network between: what the sender says,
//! what the receiver does with each piece, and beside it each thing by itself that is in it. What
//! the entries mean is beside it (`meaning`); the whole is in the bench of the link.

use std::time::{Duration, Instant};

use automerge::{Automerge, Change};
use tallywater_core::course::EntryId;
use tallywater_core::ledger::Lent;
use tallywater_core::store::{Commit, Store};
use tallywater_core::sync::{Conversation, PIECE_BYTES};
use tallywater_core::trust::Line;
use tempfile::TempDir;

use crate::entries;
use crate::report::Report;

const ENTRIES: u64 = 10_000;
const ROUNDS: usize = 3;

/// A change: its hash and its bytes.
type Made = ([u8; 32], Vec<u8>);

pub(crate) fn run(report: &Report) {
    if !report.wants("first sync in parts") {
        return;
    }
    let course = entries::course(1);
    let mut there = entries::ledger(course, 1);
    let made: Vec<Made> = (0..ENTRIES)
        .map(|number| entries::add(&mut there, 1, number))
        .collect();
    let sealed: Vec<(EntryId, Vec<u8>)> = (0..ENTRIES)
        .map(|number| entries::sealed(&course, 1, number))
        .collect();
    let row: Vec<(EntryId, &[u8])> = sealed
        .iter()
        .map(|(id, bytes)| (*id, bytes.as_slice()))
        .collect();
    let show = |what: &str, part: &mut dyn FnMut() -> Duration| {
        let least = (0..ROUNDS).map(|_| part()).min().unwrap();
        report.note(&format!("first sync in parts: {what}"), least);
    };
    let pieces = || {
        let here = entries::ledger(course, 2);
        let start = Instant::now();
        let mut talk = Conversation::begin(&there, &here.heads());
        let pieces = talk.say(&there).unwrap();
        (start.elapsed(), pieces)
    };
    show("the sender's messages", &mut || pieces().0);
    let (_, said) = pieces();
    show("heard, all of it", &mut || {
        let mut here = entries::ledger(course, 2);
        let mut talk = Conversation::begin(&here, &there.heads());
        let start = Instant::now();
        for piece in &said {
            let mut next = entries::ledger(course, 2);
            let mut lent = Lent::new(here);
            let (taken, state) = talk.hear_lent(&mut lent, &piece.bytes).unwrap().split();
            next.adopt(taken.unwrap());
            talk.heard(&next, state);
            here = next;
        }
        let took = start.elapsed();
        assert_eq!(here.heads(), there.heads());
        took
    });
    show("  of it, changes parsed, one core", &mut || {
        timed(|| made.iter().map(parsed).collect::<Vec<_>>())
    });
    let groups = in_pieces(&made);
    show(
        "  of it, the engine applies and writes them anew",
        &mut || {
            let mut document = Automerge::load(&there.genesis_bytes().unwrap()).unwrap();
            let groups: Vec<Vec<Change>> = groups
                .iter()
                .map(|some| some.iter().map(parsed).collect())
                .collect();
            timed(|| {
                for some in groups {
                    let before = document.get_heads();
                    document.apply_changes(some).unwrap();
                    drop(document.get_changes(&before));
                }
            })
        },
    );
    show(
        "  of it, entries read and signatures checked, one core",
        &mut || {
            timed(|| {
                for (id, bytes) in &row {
                    assert!(Line::check(&course, *id, bytes).signed);
                }
            })
        },
    );
    show(
        "  of it, entries read and signatures checked, all cores",
        &mut || timed(|| Line::check_all(&course, &row)),
    );
    show("stored, a flush a piece", &mut || {
        let folder = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
        let mut store = Store::open(&folder.path().join("store.db")).unwrap().store;
        timed(|| {
            for changes in &groups {
                let commit = Commit {
                    changes,
                    ..Commit::default()
                };
                store.commit(&course, &commit).unwrap();
            }
        })
    });
}

fn parsed((_, bytes): &Made) -> Change {
    Change::try_from(bytes.as_slice()).unwrap()
}

/// The changes as they go out: so many bytes together.
fn in_pieces(made: &[Made]) -> Vec<Vec<Made>> {
    let mut groups: Vec<Vec<Made>> = vec![Vec::new()];
    let mut size = 0;
    for one in made {
        size += one.1.len();
        if size > PIECE_BYTES {
            groups.push(Vec::new());
            size = one.1.len();
        }
        groups.last_mut().unwrap().push(one.clone());
    }
    groups
}

fn timed<T>(step: impl FnOnce() -> T) -> Duration {
    let start = Instant::now();
    let done = step();
    let time = start.elapsed();
    drop(done);
    time
}
