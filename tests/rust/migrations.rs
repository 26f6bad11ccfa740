//! Every old file opens, with its data. A kept schema is a dump of a store that a version
//! of this program wrote; it is never made anew.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use chrono::{DateTime, NaiveDate};
use rusqlite::Connection;
use tallywater_core::course::{EntryId, Media};
use tallywater_core::entry::{DeviceKey, KeptFile};
use tallywater_core::store::{APPLICATION, FileState, SCHEMA, Store, StoreError};

use crate::support::entries::{cell, course, id_of, key, sealed};
use crate::support::files::{Place, Writer, entries_in, loaded};
use crate::support::media::{photograph, sound};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/databases")
}

/// The store as a kept schema had it.
fn restored(schema: i64) -> Place {
    let name = format!("schema-{schema:03}.sql");
    let sql = std::fs::read_to_string(folder().join(&name)).unwrap();
    let place = Place::new();
    let old = Connection::open(place.path()).unwrap();
    old.execute_batch(&sql).unwrap();
    let number = |pragma| -> i64 {
        old.pragma_query_value(None, pragma, |row| row.get(0))
            .unwrap()
    };
    assert_eq!(number("user_version"), schema, "{name}");
    assert_eq!(number("application_id"), APPLICATION, "{name}");
    place
}

#[test]
fn every_kept_schema_steps_up_with_its_data() {
    for schema in LEAST..=SCHEMA {
        let place = restored(schema);
        let store = place.open();
        store.check().unwrap();
        assert_has_what_was_kept(&store);
        // Where a ledger stands is asked, not guessed, after a step that wants more of it.
        let stands = store.stands(&course(1)).unwrap();
        let known = (schema >= FILES).then_some(12);
        assert_eq!(stands.map(|one| one.entries), known);
        assert_has_its_files(&store, schema >= FILES);
        let day = NaiveDate::from_ymd_opt(2026, 6, 6).unwrap();
        let dived = store.courses_dived(day, day).unwrap();
        assert_eq!(dived, [course(1)]);
        let before = day.pred_opt().unwrap();
        assert!(store.courses_dived(before, before).unwrap().is_empty());
        // When an entry came is known.
        let [_, bad] = second_course();
        let came = store.arrived(&course(2), &bad.0).unwrap();
        assert!(came.is_some(), "{schema}");
        let mishaps = store.mishaps().unwrap();
        assert_eq!(mishaps.len(), 1, "{schema}");
        drop(store);
        // And is a store like any other from here.
        let mut writer = Writer::new(place.open(), course(1));
        writer.assert_nothing_lost("after stepping up");
        assert!(writer.compact().unwrap());
        writer.assert_nothing_lost("after compaction");
        let now: i64 = writer
            .store
            .connection_for_faults()
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .unwrap();
        assert_eq!(now, SCHEMA);
    }
}

/// The first schema that keeps photographs and sounds.
const FILES: i64 = 6;

/// A kept photograph, whole, and the first piece of a sound; before that schema there is neither.
fn assert_has_its_files(store: &Store, kept: bool) {
    let picture = photograph(600, 1);
    let voice = sound(800, 2);
    let file = |media, bytes: &[u8]| KeptFile::of(media, bytes).unwrap();
    let (whole, part) = (file(Media::Jpeg, &picture), file(Media::Wav, &voice));
    let found = store.files_of(&course(1)).unwrap();
    let lacking = store.lacking_files(9).unwrap();
    if !kept {
        assert!(found.is_empty() && lacking.is_empty());
        return;
    }
    let have = 500;
    assert_eq!(found[&whole], FileState::Whole);
    assert_eq!(found[&part], FileState::OnItsWay { have });
    assert_eq!(store.file_bytes(&whole).unwrap(), Some(picture));
    let begun = store.file_bytes(&part).unwrap().unwrap();
    assert_eq!(begun, voice[..500]);
    assert_eq!(lacking.len(), 1);
    assert_eq!(lacking[0].named.file, part);
    assert_eq!(lacking[0].named.device, key(1).public());
}

/// The first schema whose ledgers are read: before it no school had used the program.
const LEAST: i64 = 5;

#[test]
fn a_store_from_before_the_first_release_is_refused_in_words_and_left_as_it_is() {
    for schema in 1..LEAST {
        let place = restored(schema);
        let before = std::fs::read(place.path()).unwrap();
        let error = Store::open(&place.path()).unwrap_err();
        let StoreError::Older { found, least } = &error else {
            panic!("{error}");
        };
        assert_eq!((*found, *least), (schema, LEAST));
        let said = error.to_string();
        assert!(said.contains(&format!("schema {schema}")), "{said}");
        let old = Connection::open(place.path()).unwrap();
        let version: i64 = old
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .unwrap();
        assert_eq!(version, schema);
        drop(old);
        assert_eq!(std::fs::read(place.path()).unwrap().len(), before.len());
        // One without a ledger in it has nothing to lose, and goes on.
        let place = restored(schema);
        let old = Connection::open(place.path()).unwrap();
        old.execute_batch(
            "DELETE FROM change; DELETE FROM snapshot; DELETE FROM unsigned; DELETE FROM cell;
             DELETE FROM summary;",
        )
        .unwrap();
        for table in ["enrolled", "dived", "arrived"] {
            // Not in every schema.
            let _ = old.execute(&format!("DELETE FROM {table}"), []);
        }
        old.execute("DELETE FROM ledger", []).unwrap();
        drop(old);
        assert_eq!(place.open().setting("theme").unwrap().unwrap(), b"dusk");
    }
}

/// The entries of the second course: one that its device signed, and one that was altered.
fn second_course() -> [(EntryId, Vec<u8>); 2] {
    let good = sealed(&course(2), 1, 20);
    let (_, mut bad) = sealed(&course(2), 1, 21);
    *bad.last_mut().unwrap() ^= 1;
    let id = tallywater_core::entry::content_id(&course(2), &bad);
    [good, (id, bad)]
}

/// What every kept store has in it.
fn assert_has_what_was_kept(store: &Store) {
    assert_eq!(store.ledgers().unwrap(), [course(1), course(2)]);
    // Eight of the first course's marks lie in a snapshot and four beside it.
    let first = store.load(&course(1)).unwrap().unwrap();
    assert_eq!(first.loose_changes, 4);
    let expected: BTreeSet<_> = (0..12).map(|n| id_of(&course(1), 1, n)).collect();
    assert_eq!(entries_in(store, course(1)), expected);
    assert!(
        loaded(store, course(1))
            .lines()
            .values()
            .all(|line| line.signed)
    );
    let second = store.load(&course(2)).unwrap().unwrap();
    let [good, bad] = second_course();
    assert_eq!(second.unsigned, BTreeSet::from([bad.0]));
    let lines = loaded(store, course(2));
    assert!(lines.lines()[&good.0].signed);
    assert!(!lines.lines()[&bad.0].signed);

    let cells = store.cells(&course(1)).unwrap();
    assert_eq!(cells.len(), 12);
    assert!(cells.contains(&cell(5)));
    let [summary] = store.summaries().unwrap().try_into().unwrap();
    assert_eq!(summary.title, "First dives — Übung");
    assert_eq!(summary.starts, NaiveDate::from_ymd_opt(2026, 6, 2).unwrap());
    assert_eq!((summary.students, summary.open), (8, 40));

    let [peer] = store.peers().unwrap().try_into().unwrap();
    assert_eq!(peer.key, DeviceKey([7; 32]));
    assert_eq!(peer.link, Some(DeviceKey([8; 32])));
    assert_eq!(peer.address.as_deref(), Some("192.0.2.7:4711"));
    let seen = DateTime::parse_from_rfc3339("2026-06-02T10:15:00+02:00").unwrap();
    assert_eq!(peer.seen, Some(seen));
    let heads = loaded(store, course(1)).heads();
    assert_eq!(store.held(&course(1)).unwrap(), [(peer.key, heads)]);
    assert_eq!(store.setting("theme").unwrap().unwrap(), b"dusk");
}

#[test]
fn the_newest_schema_has_a_number_a_kept_file_and_no_more() {
    // A new schema needs: its step in core/src/store/migration, a dump of a store that it
    // wrote in fixtures/databases, and this number. Nothing that is kept is written again.
    assert_eq!(SCHEMA, 6);
    let mut names: Vec<String> = std::fs::read_dir(folder())
        .unwrap()
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    let expected: Vec<String> = (1..=SCHEMA)
        .map(|schema| format!("schema-{schema:03}.sql"))
        .collect();
    assert_eq!(names, expected);
}

#[test]
fn a_step_cut_short_has_not_happened() {
    // A file with the schema's number still at nought and our mark on it: the program died
    // before the first step was committed.
    let place = Place::new();
    let connection = Connection::open(place.path()).unwrap();
    connection
        .pragma_update(None, "application_id", APPLICATION)
        .unwrap();
    drop(connection);
    let mut writer = Writer::new(place.open(), course(1));
    writer.marks(1);
    writer.assert_nothing_lost("in a file that was barely begun");
}
