//! The store in fair weather: what goes in comes out, and comes out again after reopening.

use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDate};
use tallywater_core::course::LedgerId;
use tallywater_core::entry::DeviceKey;
use tallywater_core::ledger::{Heads, Ledger};
use tallywater_core::store::{CellRow, Commit, PeerRow, Store, StoreError, SummaryRow};
use tempfile::TempDir;

use crate::support::entries::{add, course, entry_id, ledger, skill, student};

fn opened(folder: &TempDir) -> Store {
    let opened = Store::open(&folder.path().join("store.db")).unwrap();
    assert_eq!(opened.moved_aside, None);
    opened.store
}

fn loaded(store: &Store, id: LedgerId) -> Ledger {
    let stored = store.load(&id).unwrap().unwrap();
    Ledger::load(id, [9; 16], &stored.bytes, &stored.unsigned).unwrap()
}

#[test]
fn a_ledger_comes_back_as_it_was_stored_and_needs_no_first_change() {
    let folder = TempDir::new().unwrap();
    let mut store = opened(&folder);
    assert_eq!(store.load(&course(1)).unwrap(), None);
    let mut ours = ledger(course(1), 1);
    store.commit(&course(1), &Commit::default()).unwrap();
    assert_eq!(loaded(&store, course(1)).heads(), ours.heads());
    for number in 0..20 {
        let changes = [add(&mut ours, 1, number)];
        let commit = Commit {
            changes: &changes,
            ..Commit::default()
        };
        store.commit(&course(1), &commit).unwrap();
        store.commit(&course(1), &commit).unwrap();
    }
    drop(store);
    let store = opened(&folder);
    assert_eq!(store.ledgers().unwrap(), [course(1)]);
    let back = loaded(&store, course(1));
    assert_eq!(back.heads(), ours.heads());
    assert_eq!(back.lines(), ours.lines());
    assert_eq!(store.load(&course(1)).unwrap().unwrap().loose_changes, 21);
    store.check().unwrap();
}
