//! The store in foul weather: a full disk, a refused commit, a second writer, a folder that
//! cannot be written, a broken file. Each time exactly what was acknowledged is there, the
//! file is sound, and the next mark goes in.

use std::process::Command;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

use rusqlite::Connection;
use tallywater_core::course::LedgerId;
use tallywater_core::store::{Commit, Hurt, SCHEMA, Store, StoreError, set_aside};

use crate::support::entries::{add, course, ledger};
use crate::support::files::{Place, Writer, entries_in};

/// Lets the file grow by so many pages and no more.
fn leave_room(store: &mut Store, pages: i64) {
    store.leave_room_for_faults(pages).unwrap();
}

fn room_again(store: &mut Store) {
    leave_room(store, 1_000_000);
}

/// Refuses the n-th commit from now, counted from 0.
fn refuse_commit(store: &mut Store, n: u32) {
    let count = Arc::new(AtomicU32::new(0));
    let hook = move || count.fetch_add(1, Ordering::SeqCst) == n;
    store
        .connection_for_faults()
        .commit_hook(Some(hook))
        .unwrap();
}

fn refuse_no_more(store: &mut Store) {
    store
        .connection_for_faults()
        .commit_hook(None::<fn() -> bool>)
        .unwrap();
}

#[test]
fn a_mark_survives_a_full_disk() {
    for room in 0..24 {
        let place = Place::new();
        let mut writer = Writer::new(place.open(), course(1));
        writer.marks(3);
        leave_room(&mut writer.store, room);
        let error = loop {
            if let Err(error) = writer.mark() {
                break error;
            }
            assert!(writer.acknowledged.len() < 1_000, "the disk never filled");
        };
        assert!(matches!(error, StoreError::Full { .. }), "{error}");
        assert_eq!(
            entries_in(&writer.store, course(1)),
            writer.acknowledged,
            "room for {room} pages"
        );
        room_again(&mut writer.store);
        writer.assert_nothing_lost("once there is room again");
    }
}

#[test]
fn several_ledgers_go_in_together_or_not_at_all() {
    let mut refused = 0;
    for room in 0..40 {
        let place = Place::new();
        let mut store = place.open();
        leave_room(&mut store, room);
        let ids: Vec<LedgerId> = (1..=4).map(course).collect();
        let changes: Vec<_> = ids
            .iter()
            .map(|id| {
                let mut ledger = ledger(*id, 1);
                (0..8).map(|number| add(&mut ledger, 1, number)).collect()
            })
            .collect::<Vec<Vec<_>>>();
        let commits: Vec<_> = ids
            .iter()
            .zip(&changes)
            .map(|(id, changes)| {
                let commit = Commit {
                    changes,
                    ..Commit::default()
                };
                (*id, commit)
            })
            .collect();
        if let Err(error) = store.commit_many(&commits) {
            assert!(matches!(error, StoreError::Full { .. }), "{error}");
            assert_eq!(store.ledgers().unwrap(), []);
            refused += 1;
            room_again(&mut store);
            store.commit_many(&commits).unwrap();
        }
        assert_eq!(store.ledgers().unwrap(), ids);
        for id in ids {
            assert_eq!(entries_in(&store, id).len(), 8);
        }
        store.check().unwrap();
    }
    assert!((1..40).contains(&refused), "{refused} of 40 were refused");
}

#[test]
fn compaction_on_a_full_disk_leaves_the_ledger_as_it_was() {
    let mut refused = 0;
    for room in 0..12 {
        let place = Place::new();
        let mut writer = Writer::new(place.open(), course(1));
        writer.marks(60);
        leave_room(&mut writer.store, room);
        match writer.compact() {
            Ok(done) => assert!(done),
            Err(error) => {
                assert!(matches!(error, StoreError::Full { .. }), "{error}");
                refused += 1;
                let stored = writer.store.load(&course(1)).unwrap().unwrap();
                assert_eq!(stored.loose_changes, 61);
            }
        }
        room_again(&mut writer.store);
        writer.assert_nothing_lost("after a compaction without room");
        assert!(writer.compact().unwrap());
        writer.assert_nothing_lost("after a compaction with room");
    }
    assert!((1..12).contains(&refused), "{refused} of 12 were refused");
}

#[test]
fn a_refused_commit_leaves_nothing_half_written() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    writer.marks(5);
    let cells = writer.store.cells(&course(1)).unwrap();
    refuse_commit(&mut writer.store, 0);
    let error = writer.mark().unwrap_err();
    assert!(matches!(error, StoreError::Sqlite { .. }), "{error}");
    assert_eq!(writer.store.cells(&course(1)).unwrap(), cells);
    refuse_no_more(&mut writer.store);
    writer.assert_nothing_lost("after a refused commit");
}

#[test]
fn compaction_cut_short_between_any_two_steps_loses_nothing() {
    // A compaction has two commits: the snapshot written, and the snapshot settled.
    for (refused, loose) in [(0, 41), (1, 41), (2, 0)] {
        let place = Place::new();
        let mut writer = Writer::new(place.open(), course(1));
        writer.marks(40);
        refuse_commit(&mut writer.store, refused);
        assert_eq!(writer.compact().is_ok(), refused == 2, "commit {refused}");
        let stored = writer.store.load(&course(1)).unwrap().unwrap();
        assert_eq!(stored.loose_changes, loose, "commit {refused}");
        // The program dies here: nothing tidies up but the next opening.
        drop(writer.store);
        let mut writer = Writer::new(place.open(), course(1));
        assert_eq!(writer.acknowledged.len(), 40);
        writer.assert_nothing_lost("after a compaction cut short");
    }
}

#[test]
fn compaction_leaves_things_alone_when_a_mark_came_meanwhile() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    writer.marks(10);
    let snapshot = writer.ledger.save().unwrap();
    let heads = writer.ledger.heads();
    writer.marks(1);
    let mut compact =
        |snapshot: &[u8], heads| writer.store.compact(&course(1), snapshot, heads, [3; 16]);
    assert!(!compact(&snapshot, &heads).unwrap());
    // Nor does it believe a snapshot that is not what it is said to be.
    let now = writer.ledger.heads();
    assert!(matches!(compact(&snapshot, &now), Err(StoreError::Unsound)));
    let broken = &snapshot[..snapshot.len() - 1];
    assert!(matches!(compact(broken, &heads), Err(StoreError::Unsound)));
    let stored = writer.store.load(&course(1)).unwrap().unwrap();
    assert_eq!(stored.loose_changes, 12);
    writer.assert_nothing_lost("after three compactions that did not take place");
}

#[test]
fn an_older_snapshot_never_takes_the_place_of_a_newer_one() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    writer.marks(10);
    let (old, old_heads) = (writer.ledger.save().unwrap(), writer.ledger.heads());
    writer.marks(10);
    assert!(writer.compact().unwrap());
    let late = writer
        .store
        .compact(&course(1), &old, &old_heads, [3; 16])
        .unwrap();
    assert!(!late);
    writer.assert_nothing_lost("after an old snapshot came late");
}

#[test]
fn a_second_writer_is_waited_for_and_then_named() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    writer.marks(2);
    let other = Connection::open(place.path()).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let error = writer.mark().unwrap_err();
    assert!(matches!(error, StoreError::Locked { .. }), "{error}");
    other.execute_batch("ROLLBACK").unwrap();
    writer.assert_nothing_lost("after another writer let go");
}

#[test]
fn a_broken_header_is_refused_and_set_aside_only_when_asked_for() {
    let place = Place::new();
    for round in 1..=2 {
        let mut writer = Writer::new(place.open(), course(1));
        writer.marks(3);
        drop(writer);
        let mut bytes = std::fs::read(place.path()).unwrap();
        bytes[..100].fill(0x2a);
        std::fs::write(place.path(), &bytes).unwrap();
        let error = Store::open(&place.path()).unwrap_err();
        let how = Hurt::Content;
        assert!(matches!(error, StoreError::Hurt { how: found } if found == how));
        assert_eq!(std::fs::read(place.path()).unwrap(), bytes, "left as it is");
        let aside = set_aside(&place.path()).unwrap();
        assert!(aside.ends_with(format!("damaged-{round}/store.db")));
        assert_eq!(std::fs::read(&aside).unwrap(), bytes);
        let mut writer = Writer::new(place.open(), course(1));
        assert_eq!(writer.acknowledged.len(), 0);
        writer.marks(1);
        writer.assert_nothing_lost("in the new file");
    }
}

#[test]
fn a_log_without_its_file_is_refused_and_left_as_it_is() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    writer.marks(3);
    let log = std::fs::read(place.log()).unwrap();
    assert!(!log.is_empty());
    let elsewhere = Place::new();
    std::fs::write(elsewhere.log(), &log).unwrap();
    let error = Store::open(&elsewhere.path()).unwrap_err();
    let how = Hurt::LogAlone;
    assert!(matches!(error, StoreError::Hurt { how: found } if found == how));
    assert_eq!(std::fs::read(elsewhere.log()).unwrap(), log);
    assert!(!elsewhere.path().exists(), "nothing was made");
    // What is in it can be read all the same.
    let found = tallywater_core::store::search(&elsewhere.path()).unwrap();
    assert!(found.pieces.len() >= 3, "{}", found.pieces.len());
}

#[test]
fn damage_found_later_is_named_and_touches_nothing() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    writer.marks(200);
    drop(writer);
    let mut bytes = std::fs::read(place.path()).unwrap();
    let middle = bytes.len() / 8192 * 4096;
    bytes[middle..].fill(0x2a);
    std::fs::write(place.path(), &bytes).unwrap();
    let opened = Store::open(&place.path()).unwrap();
    let error = opened.store.check().unwrap_err();
    assert!(matches!(error, StoreError::Damaged), "{error}");
    let error = opened.store.load(&course(1)).unwrap_err();
    assert!(matches!(error, StoreError::Damaged), "{error}");
}

#[test]
fn a_newer_file_is_refused_in_words_and_left_as_it_is() {
    let place = Place::new();
    drop(place.open());
    let newer = Connection::open(place.path()).unwrap();
    newer
        .pragma_update(None, "user_version", SCHEMA + 5)
        .unwrap();
    drop(newer);
    let before = std::fs::read(place.path()).unwrap();
    let error = Store::open(&place.path()).unwrap_err();
    assert_eq!(
        error.to_string(),
        format!(
            "the file has schema {}, and this version knows up to {SCHEMA}",
            SCHEMA + 5
        )
    );
    assert_eq!(std::fs::read(place.path()).unwrap(), before);
}

#[test]
fn a_file_of_another_program_is_refused_and_left_as_it_is() {
    for application in [0, 77] {
        let place = Place::new();
        let other = Connection::open(place.path()).unwrap();
        other
            .pragma_update(None, "application_id", application)
            .unwrap();
        other.execute_batch("CREATE TABLE theirs (a)").unwrap();
        drop(other);
        let before = std::fs::read(place.path()).unwrap();
        let error = Store::open(&place.path()).unwrap_err();
        assert!(
            matches!(error, StoreError::Foreign { found } if found == application),
            "{error}"
        );
        assert_eq!(std::fs::read(place.path()).unwrap(), before);
    }
}

#[test]
fn no_message_names_a_folder() {
    let place = Place::new();
    std::fs::create_dir(place.path()).unwrap();
    let folder = place.folder().to_str().unwrap().to_owned();
    let error = Store::open(&place.path()).unwrap_err();
    assert!(!error.to_string().contains(&folder), "{error}");
    let store = Store::open(&place.folder().join("other.db")).unwrap().store;
    let error = store.back_up(&place.path()).unwrap_err();
    assert_eq!(error.to_string(), "there is already a file named store.db");
}

/// Set for the child process of the next test: the folder that it may not write.
const READ_ONLY: &str = "TALLYWATER_TEST_READ_ONLY";

/// Not a test of its own: what the child process of the next test does.
#[test]
fn child_finds_the_folder_shut() {
    let Ok(folder) = std::env::var(READ_ONLY) else {
        return;
    };
    for name in ["store.db", "new.db", "below/new.db"] {
        let error = Store::open(&std::path::Path::new(&folder).join(name)).unwrap_err();
        assert!(
            matches!(error, StoreError::ReadOnly { .. }),
            "{name}: {error}"
        );
        println!("shut: {name}");
    }
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_is_named_as_such_and_keeps_its_marks() {
    use std::os::unix::fs::PermissionsExt as _;
    use std::os::unix::process::CommandExt as _;
    let mode = |path: &std::path::Path, mode| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
    };
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    writer.marks(3);
    drop(writer);
    // Whoever runs as root may write anywhere, so the child runs as nobody, from a copy of
    // this program that nobody can reach.
    let outside = tempfile::TempDir::new().unwrap();
    let program = outside.path().join("tests");
    std::fs::copy(std::env::current_exe().unwrap(), &program).unwrap();
    mode(outside.path(), 0o755);
    mode(place.folder(), 0o555);
    mode(&place.path(), 0o444);
    let mut child = Command::new(&program);
    child
        .args([
            "store_faults::child_finds_the_folder_shut",
            "--exact",
            "--nocapture",
        ])
        .current_dir("/")
        .env(READ_ONLY, place.folder());
    let root = std::fs::write(place.folder().join("probe"), b"").is_ok();
    if root {
        std::fs::remove_file(place.folder().join("probe")).unwrap();
        child.uid(65_534).gid(65_534);
    }
    let output = child.output().unwrap();
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.status.success(), "{said}");
    assert_eq!(said.matches("shut: ").count(), 3, "{said}");
    mode(place.folder(), 0o755);
    mode(&place.path(), 0o644);
    let mut writer = Writer::new(place.open(), course(1));
    assert_eq!(writer.acknowledged.len(), 3);
    writer.assert_nothing_lost("once the folder can be written again");
}
