//! The store in fair weather: what goes in comes out, and comes out again after reopening.

use std::collections::{BTreeSet, HashMap, HashSet};

use chrono::{DateTime, NaiveDate};
use tallywater_core::course::{LedgerId, StudentId};
use tallywater_core::entry::DeviceKey;
use tallywater_core::store::{CellRow, Commit, PeerRow, StoreError, SummaryRow};
use uuid::Uuid;

use crate::support::entries::{add, cell, course, ledger, sealed};
use crate::support::files::{Place, Writer, entries_in, loaded};

fn summary(ledger: LedgerId, starts: (i32, u32, u32)) -> SummaryRow {
    SummaryRow {
        ledger,
        title: "First dives — Übung".into(),
        starts: NaiveDate::from_ymd_opt(starts.0, starts.1, starts.2).unwrap(),
        students: 8,
        open: 40,
        detail: "{}".into(),
    }
}

#[test]
fn a_ledger_comes_back_as_it_was_stored_and_needs_no_first_change() {
    let place = Place::new();
    let mut store = place.open();
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
        // The same again changes nothing.
        store.commit(&course(1), &commit).unwrap();
    }
    drop(store);
    let store = place.open();
    assert_eq!(store.ledgers().unwrap(), [course(1)]);
    let here = [course(1), course(2)].map(|id| store.holds(&id).unwrap());
    assert_eq!(here, [true, false]);
    let back = loaded(&store, course(1));
    assert_eq!(back.heads(), ours.heads());
    assert_eq!(back.lines(), ours.lines());
    assert_eq!(store.load(&course(1)).unwrap().unwrap().loose_changes, 21);
    store.check().unwrap();
}

#[test]
fn an_entry_that_came_in_unsigned_is_still_unsigned_after_reopening() {
    let place = Place::new();
    let mut theirs = ledger(course(1), 2);
    let (_, mut bytes) = sealed(&course(1), 2, 1);
    *bytes.last_mut().unwrap() ^= 1;
    let added = theirs.add(&bytes).unwrap();
    let id = added.entry;
    let taken = ledger(course(1), 1).take_bytes(&added.change).unwrap();
    assert_eq!(taken.unsigned, [id]);
    let commit = Commit {
        changes: &taken.changes,
        unsigned: &taken.unsigned,
        ..Commit::default()
    };
    place.open().commit(&course(1), &commit).unwrap();
    let mut writer = Writer::new(place.open(), course(1));
    assert!(!writer.ledger.lines()[&id].signed);
    assert!(writer.compact().unwrap());
    assert!(!loaded(&writer.store, course(1)).lines()[&id].signed);
}

#[test]
fn compaction_makes_one_piece_of_many_and_changes_nothing() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    for _ in 0..3 {
        writer.marks(30);
        assert!(writer.compact().unwrap());
        let stored = writer.store.load(&course(1)).unwrap().unwrap();
        assert_eq!(stored.loose_changes, 0);
        writer.assert_nothing_lost("after compaction");
    }
    let other = Writer::new(place.open(), course(2));
    assert_eq!(other.acknowledged.len(), 0);
}

#[test]
fn cells_are_replaced_one_by_one_or_all_at_once() {
    let place = Place::new();
    let mut store = place.open();
    let put = |store: &mut tallywater_core::store::Store, cells: &[CellRow], replace_cells| {
        let commit = Commit {
            cells,
            replace_cells,
            ..Commit::default()
        };
        store.commit(&course(1), &commit).unwrap();
    };
    put(&mut store, &[cell(1), cell(2)], false);
    let later = CellRow {
        state: "two views".into(),
        ..cell(1)
    };
    put(&mut store, std::slice::from_ref(&later), false);
    assert_eq!(store.cells(&course(1)).unwrap(), [later, cell(2)]);
    put(&mut store, &[cell(3)], true);
    assert_eq!(store.cells(&course(1)).unwrap(), [cell(3)]);
    assert_eq!(store.cells(&course(2)).unwrap(), []);
    store.drop_projections().unwrap();
    assert_eq!(store.cells(&course(1)).unwrap(), []);
    assert_eq!(store.summaries().unwrap(), []);
    assert_eq!(store.ledgers().unwrap(), [course(1)]);
}

#[test]
fn rows_that_read_the_same_are_not_written_again() {
    let place = Place::new();
    let mut store = place.open();
    let mut written = |cells: &[CellRow], replace_cells, summary: Option<&SummaryRow>| {
        let before = store.connection_for_faults().total_changes();
        let commit = Commit {
            cells,
            replace_cells,
            summary,
            ..Commit::default()
        };
        store.commit(&course(1), &commit).unwrap();
        store.connection_for_faults().total_changes() - before
    };
    // The first begins the ledger; where it stands is written by every one.
    written(&[], false, None);
    let least = written(&[], false, None);
    let line = summary(course(1), (2026, 6, 2));
    let cells = [cell(1), cell(2)];
    assert_eq!(written(&cells, true, Some(&line)), least + 3);
    for replace in [false, true] {
        assert_eq!(written(&cells, replace, Some(&line)), least);
    }
    let later = [
        CellRow {
            state: "two views".into(),
            ..cell(1)
        },
        cell(2),
    ];
    assert_eq!(written(&later, true, None), least + 1);
    let fewer = SummaryRow { open: 39, ..line };
    assert_eq!(written(&later, false, Some(&fewer)), least + 1);
    assert_eq!(written(&later[..1], true, Some(&fewer)), least + 3);
    assert_eq!(store.cells(&course(1)).unwrap(), later[..1]);
    assert_eq!(store.summaries().unwrap(), [fewer]);
}

#[test]
fn courses_are_listed_newest_start_first() {
    let place = Place::new();
    let mut store = place.open();
    let days = [(1, (2026, 6, 2)), (2, (2027, 1, 9)), (3, (2026, 6, 2))];
    for (number, starts) in days {
        let row = summary(course(number), starts);
        let commit = Commit {
            summary: Some(&row),
            ..Commit::default()
        };
        store.commit(&course(number), &commit).unwrap();
    }
    let listed: Vec<LedgerId> = store
        .summaries()
        .unwrap()
        .into_iter()
        .map(|row| row.ledger)
        .collect();
    assert_eq!(listed, [course(2), course(1), course(3)]);
    assert_eq!(
        store.summaries().unwrap()[1],
        summary(course(1), (2026, 6, 2))
    );
}

#[test]
fn settings_and_peers_and_what_they_hold_come_back() {
    let place = Place::new();
    let mut store = place.open();
    let heads = ledger(course(1), 1).heads();
    let (shop, mate) = (DeviceKey([7; 32]), DeviceKey([3; 32]));
    let seen = DateTime::parse_from_rfc3339("2026-06-02T10:15:00+02:00").unwrap();
    let known = PeerRow {
        key: shop,
        link: Some(DeviceKey([8; 32])),
        address: Some("192.0.2.7:4711".into()),
        seen: Some(seen),
    };
    let unknown = PeerRow {
        key: mate,
        link: None,
        address: None,
        seen: None,
    };
    store
        .put_peer(&PeerRow {
            address: None,
            ..known.clone()
        })
        .unwrap();
    store.put_peer(&known).unwrap();
    store.put_peer(&unknown).unwrap();
    store.put_setting("theme", b"dusk").unwrap();
    store.put_setting("theme", b"sun").unwrap();
    store.put_held(&shop, &course(1), &heads).unwrap();
    let commit = Commit {
        held: &[(mate, heads.clone())],
        ..Commit::default()
    };
    store.commit(&course(1), &commit).unwrap();
    drop(store);
    let mut store = place.open();
    assert_eq!(store.peers().unwrap(), [unknown, known]);
    assert_eq!(store.setting("theme").unwrap().unwrap(), b"sun");
    assert_eq!(store.setting("words").unwrap(), None);
    let held = [(mate, heads.clone()), (shop, heads)];
    assert_eq!(store.held(&course(1)).unwrap(), held);
    assert_eq!(store.held(&course(2)).unwrap(), []);
    store.drop_held(&mate).unwrap();
    assert_eq!(store.held(&course(1)).unwrap(), held[1..]);
}

#[cfg(unix)]
#[test]
fn a_backup_is_not_written_where_a_link_of_its_unfinished_name_points() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    writer.marks(5);
    let to = place.folder().join("backup.db");
    let unfinished = place.folder().join("backup.db.unfinished");
    let (kept, missing) = (place.folder().join("kept"), place.folder().join("missing"));
    std::fs::write(&kept, b"kept").unwrap();
    for points_to in [&kept, &missing] {
        std::os::unix::fs::symlink(points_to, &unfinished).unwrap();
        writer.store.back_up(&to).unwrap();
        assert!(to.symlink_metadata().unwrap().is_file());
        assert!(unfinished.symlink_metadata().is_err());
        std::fs::remove_file(&to).unwrap();
    }
    assert_eq!(std::fs::read(&kept).unwrap(), b"kept");
    assert!(!missing.exists());
    // Nor is a link of the copy's own name replaced.
    std::os::unix::fs::symlink(&missing, &to).unwrap();
    let refused = writer.store.back_up(&to);
    assert!(matches!(refused, Err(StoreError::Exists { .. })));
    assert!(to.symlink_metadata().unwrap().is_symlink());
}

#[test]
fn a_backup_taken_in_mid_use_is_a_whole_store() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    writer.marks(50);
    let to = place.folder().join("backup.db");
    writer.store.back_up(&to).unwrap();
    let kept = writer.acknowledged.clone();
    writer.marks(5);
    let before = std::fs::read(&to).unwrap();
    assert!(matches!(
        writer.store.back_up(&to),
        Err(StoreError::Exists { .. })
    ));
    assert_eq!(std::fs::read(&to).unwrap(), before);
    let restored = tallywater_core::store::Store::open(&to).unwrap();
    restored.store.check().unwrap();
    assert_eq!(entries_in(&restored.store, course(1)), kept);
    // An old copy goes on and merges with what came after it.
    let mut old = Writer::new(restored.store, course(1));
    let later = writer
        .ledger
        .take_bytes(&old.ledger.save().unwrap())
        .unwrap();
    assert!(later.changes.is_empty());
    let missed = old
        .ledger
        .take_bytes(&writer.ledger.save().unwrap())
        .unwrap();
    assert_eq!(missed.entries.len(), 5);
    old.ledger.adopt(missed);
    assert_eq!(old.ledger.heads(), writer.ledger.heads());
}

#[test]
fn a_person_who_is_forgotten_is_gone_from_the_file_and_its_log() {
    let person = |n: u128| LedgerId::Person(StudentId::new(Uuid::from_u128(n)));
    let mark = |n: u128| format!("Ottilie Brandvoll the {n}th, of no fixed abode");
    let place = Place::new();
    let mut store = place.open();
    // Many persons of many sizes, some changed often, some compacted: their bytes move
    // about in the file as it grows and shrinks.
    for n in 0..60 {
        let mut ours = ledger(person(n), 1);
        for step in 0..3 {
            let size = usize::try_from(n * 53 % 900 + step * 211).unwrap();
            let text = format!("{}{}", mark(n), filler(n * 3 + step, size));
            let added = ours.add(text.as_bytes()).unwrap();
            let changes = [(added.hash, added.change)];
            let commit = Commit {
                changes: &changes,
                ..Commit::default()
            };
            store.commit(&person(n), &commit).unwrap();
        }
        if n % 4 == 1 {
            let (bytes, heads) = (ours.save().unwrap(), ours.heads());
            assert!(store.compact(&person(n), &bytes, &heads, [4; 16]).unwrap());
        }
    }
    // A snapshot is compressed: look for the stored bytes as well as the text.
    let stored: Vec<Vec<u8>> = (0..60)
        .map(|n| store.load(&person(n)).unwrap().unwrap().bytes)
        .collect();
    for n in (0..60).filter(|n| n % 3 != 0) {
        store.forget(&person(n)).unwrap();
        assert_eq!(store.load(&person(n)).unwrap(), None);
    }
    let file = std::fs::read(place.path()).unwrap();
    let log = std::fs::read(place.log()).unwrap_or_default();
    let in_file = pieces(&file);
    let mut owners: HashMap<&[u8], BTreeSet<usize>> = HashMap::new();
    for (n, bytes) in stored.iter().enumerate() {
        for piece in bytes.windows(PIECE) {
            owners.entry(piece).or_default().insert(n);
        }
    }
    for (n, bytes) in stored.iter().enumerate() {
        // Pieces of what was stored that are in nobody else's.
        let own: Vec<&[u8]> = bytes
            .chunks_exact(PIECE)
            .filter(|piece| owners[*piece].len() == 1)
            .collect();
        assert!(own.len() > 5, "{n} has {} pieces of its own", own.len());
        let found = own.iter().filter(|piece| in_file.contains(*piece)).count();
        let name = mark(u128::try_from(n).unwrap());
        let named = [&file, &log].map(|bytes| {
            let name = name.as_bytes();
            bytes.windows(name.len()).any(|window| window == name)
        });
        if n % 3 == 0 {
            assert!(found > 5, "{n} should still be here");
        } else {
            assert_eq!((found, named), (0, [false; 2]), "{n} should be gone");
        }
    }
    store.check().unwrap();
}

/// So many characters that do not compress away, the same for the same seed.
fn filler(seed: u128, size: usize) -> String {
    let mut state = u64::try_from(seed).unwrap() + 1;
    let mut next = || {
        // SplitMix64: any mixing would do.
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (state ^ state >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        format!("{:016x}", mixed ^ mixed >> 27)
    };
    let mut text = String::new();
    while text.len() < size {
        text.push_str(&next());
    }
    text
}

const PIECE: usize = 24;

/// Every run of so many bytes.
fn pieces(whole: &[u8]) -> HashSet<&[u8]> {
    whole.windows(PIECE).collect()
}
