//! One bad device, one hurt bit: nobody else's mark is undone, nobody else's day is stopped.
//! Each of these attacks once succeeded.

use std::collections::{BTreeMap, BTreeSet};

use automerge::transaction::CommitOptions;
use automerge::{ActorId, Automerge, ROOT, ReadDoc as _};
use tallywater_core::course::{ClearanceKind, CourseId, EntryId, LedgerId};
use tallywater_core::desk::{FileKeyStore, KeyStore as _, Request};
use tallywater_core::entry::{Attempt, Body, ClearanceResult, Entry, Mark, Origin, write};
use tallywater_core::ledger::{Ledger, Mishap};
use tallywater_core::standing::CellState;
use tallywater_core::trust::SecretKey;
use tallywater_core::view::Units;
use uuid::Uuid;

use crate::support::devices::{Device, School, carry, meet, time};
use crate::support::hostile::{Hostile, put};
use crate::support::links::{go_online, until};

/// The key that a device signs with, for whoever holds the device.
fn key_of(device: &Device) -> SecretKey {
    let keys = FileKeyStore::new(&device.folder.path().join("keys"));
    let seed = keys.load("device").unwrap().unwrap();
    SecretKey::from_seed(seed.as_slice().try_into().unwrap())
}

/// A device's copy of a ledger.
fn copy(device: &Device, ledger: &LedgerId) -> Ledger {
    let bytes = device.desk.save_ledger(ledger).unwrap();
    Ledger::load(*ledger, [0x66; 16], &bytes, &BTreeSet::new()).unwrap()
}

/// Every entry that a device holds, by ledger.
fn all(device: &Device) -> BTreeMap<LedgerId, BTreeSet<EntryId>> {
    let ledgers = device.desk.ledgers().unwrap().into_iter();
    ledgers
        .map(|id| (id, copy(device, &id).lines().keys().copied().collect()))
        .collect()
}

/// A mark by the assistant, properly signed, of a skill that nobody judged yet.
fn crafted(school: &School, skill: &str, mark: Mark) -> (EntryId, Vec<u8>) {
    let entry = Entry {
        id: EntryId::new(Uuid::nil()),
        at: time("2026-06-06T10:20:00+02:00"),
        by: school.bo,
        after: Vec::new(),
        body: Body::Attempt(Attempt {
            student: school.students[0],
            skill: skill.parse().unwrap(),
            method: None,
            mark,
            measured: Vec::new(),
            slips: Vec::new(),
            note: None,
            despite: None,
            session: Some(school.session),
            origin: Origin::Live,
        }),
    };
    let ledger = school.ledger();
    key_of(&school.assistant).seal(&ledger, None, &write(&entry).unwrap())
}

/// One more entry of the shop's in the course.
fn by_the_shop(school: &School) {
    school.shop.record(Request::Clear {
        course: school.course,
        student: school.students[0],
        what: ClearanceKind::Health,
        result: ClearanceResult::Cleared,
        until: None,
        figure: None,
    });
}

fn state(device: &Device, school: &School, skill: &str) -> CellState {
    let key = school.key(0, skill);
    let cell = |course: &tallywater_core::standing::CourseStanding| {
        course.cells().get(&key).map(|cell| cell.state)
    };
    let found = device.desk.with_course(&school.course, cell).unwrap();
    found.unwrap_or(CellState::Open)
}

/// What went wrong in a ledger, as this device tells it.
fn mishaps(device: &Device, ledger: &LedgerId) -> Vec<(Mishap, bool)> {
    let rows = device.desk.mishaps_of(ledger).unwrap();
    let row = |row: &tallywater_core::store::MishapRow| (row.what, row.device.is_some());
    rows.iter().map(row).collect()
}

#[test]
fn an_instructors_met_stays_met_whatever_is_written_over_it() {
    let school = School::new(1);
    let ledger = school.ledger();
    let met = school
        .instructor
        .mark(&school, 0, "mask-full", Mark::Met)
        .entries[0]
        .1;
    school.meet_all();
    // A change of the assistant's that hangs on the first change alone: of all values of
    // the key it has the lowest counter. Once it made the mark an open cell on every device.
    let (_, other) = crafted(&school, "swim-200", Mark::NotYet);
    let empty = Ledger::new(ledger, [1; 16]).unwrap();
    let change = Hostile::copy(&empty, 0).put(met, &other);
    for device in [&school.shop, &school.instructor, &school.assistant] {
        let before = all(device);
        assert!(device.desk.merge(&ledger, &change).is_err());
        assert_eq!(all(device), before);
        assert_eq!(state(device, &school, "mask-full"), CellState::Met);
        assert_eq!(state(device, &school, "swim-200"), CellState::Open);
    }
}

#[test]
fn a_confirmed_mark_is_not_exchanged_for_another() {
    let school = School::new(1);
    let ledger = school.ledger();
    let shown = school
        .assistant
        .mark(&school, 0, "mask-full", Mark::Met)
        .entries[0]
        .1;
    school.meet_all();
    school.instructor.record(Request::Confirm {
        course: school.course,
        attempts: vec![shown],
    });
    school.meet_all();
    assert_eq!(state(&school.shop, &school, "mask-full"), CellState::Met);
    // The assistant puts another mark of its own under the confirmed one's id.
    let (_, other) = crafted(&school, "partner-check", Mark::Met);
    let empty = Ledger::new(ledger, [1; 16]).unwrap();
    let change = Hostile::copy(&empty, 0).put(shown, &other);
    for device in [&school.shop, &school.instructor] {
        assert!(device.desk.merge(&ledger, &change).is_err());
        assert_eq!(state(device, &school, "mask-full"), CellState::Met);
        assert_ne!(state(device, &school, "partner-check"), CellState::Met);
    }
}

#[test]
fn whoever_writes_over_an_entry_is_shown_with_the_ledger_on_the_other_device() {
    let school = School::new(1);
    let ledger = school.ledger();
    let met = school
        .instructor
        .mark(&school, 0, "mask-full", Mark::Met)
        .entries[0]
        .1;
    school.meet_all();
    // The assistant's program is changed: it deletes the mark from its own copy, around the
    // desk, and goes on to meet the others over the link.
    let mut hostile = Hostile::copy(&copy(&school.assistant, &ledger), 0xbb);
    let mut changes = vec![hostile.delete(met)];
    let (own, sealed) = crafted(&school, "swim-200", Mark::Met);
    changes.push(hostile.write(|change, entries| {
        put(change, entries, &own.to_string(), &sealed);
    }));
    school.assistant.desk.store_for_faults(|store| {
        let connection = store.connection_for_faults();
        for change in &changes {
            let hash = automerge::Change::from_bytes(change.clone())
                .unwrap()
                .hash();
            connection
                .execute(
                    "INSERT INTO change (ledger, hash, bytes)
                     SELECT number, ?2, ?3 FROM ledger WHERE name = ?1",
                    rusqlite::params![ledger.to_string(), hash.0, change],
                )
                .unwrap();
        }
        connection
            .execute("UPDATE ledger SET heads = NULL, entries = NULL", [])
            .unwrap();
    });
    let School {
        shop,
        instructor,
        assistant,
        ..
    } = school;
    let assistant = assistant.reopen();
    let (online, bad) = (go_online(&shop.desk), go_online(&assistant.desk));
    bad.look_at(&online);
    until("the assistant's own mark at the shop", || {
        all(&shop)[&ledger].contains(&own)
    });
    until("the device named", || {
        mishaps(&shop, &ledger).contains(&(Mishap::Deleted, true))
    });
    let row = shop.desk.mishaps_of(&ledger).unwrap();
    let deleted = row.iter().find(|row| row.what == Mishap::Deleted).unwrap();
    assert_eq!(deleted.device, Some(assistant.desk.card().key));
    assert_eq!(deleted.entry, Some(met));
    assert!(all(&shop)[&ledger].contains(&met));
    // It does not spread: two honest devices have nothing to tell of each other.
    let honest = go_online(&instructor.desk);
    honest.look_at(&online);
    honest.in_step_with(&online);
    assert_eq!(mishaps(&instructor, &ledger), []);
    assert_eq!(all(&instructor), all(&shop));
}

/// Bytes of the ledger in which somebody has written the next number in this device's own
/// session: properly signed, and no matter by whom.
fn with_stolen_number(school: &School, of: &Device) -> Vec<u8> {
    let ledger = school.ledger();
    let bytes = of.desk.save_ledger(&ledger).unwrap();
    let mut document = Automerge::load(&bytes).unwrap();
    let last = document.get_changes(&[]).last().unwrap().actor_id().clone();
    document.set_actor(ActorId::from(last.to_bytes().to_vec()));
    let (_, entries) = document.get(ROOT, "entries").unwrap().unwrap();
    let (id, sealed) = crafted(school, "partner-check", Mark::NotYet);
    let mut change = document.transaction();
    put(&mut change, &entries, &id.to_string(), &sealed);
    change.commit_with(CommitOptions::default().with_time(0));
    assert!(change_is_stored(&document, &entries, id));
    document.save()
}

fn change_is_stored(document: &Automerge, entries: &automerge::ObjId, id: EntryId) -> bool {
    document.get(entries, id.to_string()).unwrap().is_some()
}

#[test]
fn a_stolen_number_stops_neither_the_other_courses_nor_this_one() {
    let school = School::new(2);
    let ledger = school.ledger();
    let stolen = with_stolen_number(&school, &school.shop);
    school.instructor.desk.merge(&ledger, &stolen).unwrap();
    // The shop goes on in its session: from here the two histories refuse each other.
    by_the_shop(&school);
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    let other = school.shop.record(Request::OpenCourse {
        place: None,
        outline: Default::default(),
        title: "Another course".into(),
        starts: "2026-06-07".parse().unwrap(),
        staff: vec![(school.renate, tallywater_core::course::Role::Instructor)],
    });
    let other: CourseId = other.made.unwrap().parse().unwrap();
    let (shop, instructor) = (&school.shop, &school.instructor);
    let (a, b) = (go_online(&shop.desk), go_online(&instructor.desk));
    b.look_at(&a);
    b.in_step_with(&a);
    until("everything on both", || all(shop) == all(instructor));
    assert!(all(instructor).contains_key(&LedgerId::Course(other)));
    assert_eq!(state(shop, &school, "mask-full"), CellState::Met);
    // And marks go on, both ways, while they are connected.
    instructor.mark(&school, 1, "mask-full", Mark::Met);
    by_the_shop(&school);
    until("new marks on both", || all(shop) == all(instructor));
    b.in_step_with(&a);
    assert!(mishaps(shop, &ledger).contains(&(Mishap::Apart, true)));
    drop((a, b));
    // The next meeting does not begin with a refusal, and a third device sees nothing of it.
    let (a, b) = (go_online(&shop.desk), go_online(&instructor.desk));
    let third = go_online(&school.assistant.desk);
    instructor.mark(&school, 1, "swim-200", Mark::Met);
    b.look_at(&a);
    third.look_at(&a);
    third.look_at(&b);
    until("everything on all", || {
        all(shop) == all(instructor) && all(shop)[&ledger] == all(&school.assistant)[&ledger]
    });
    // By file too.
    drop((a, b, third));
    instructor.mark(&school, 1, "partner-check", Mark::Met);
    by_the_shop(&school);
    meet(shop, instructor);
    assert_eq!(all(shop), all(instructor));
}

#[test]
fn one_flipped_bit_in_one_course_leaves_everything_else_and_comes_back() {
    for (seed, compact) in [(1, false), (2, true)] {
        let School {
            shop,
            instructor,
            assistant,
            course,
            session,
            students,
            renate,
            bo,
        } = School::seeded(2, seed);
        let ledger = LedgerId::Course(course);
        let made = shop.record(Request::OpenCourse {
            place: None,
            outline: Default::default(),
            title: "Another course".into(),
            starts: "2026-06-07".parse().unwrap(),
            staff: vec![(renate, tallywater_core::course::Role::Instructor)],
        });
        let other: CourseId = made.made.unwrap().parse().unwrap();
        carry(&shop, &instructor);
        if compact {
            instructor.desk.store_for_faults(|store| {
                let stored = store.load(&ledger).unwrap().unwrap();
                let whole = Ledger::load(ledger, [7; 16], &stored.bytes, &stored.unsigned).unwrap();
                let snapshot = whole.save().unwrap();
                let heads = whole.heads();
                assert!(store.compact(&ledger, &snapshot, &heads, [8; 16]).unwrap());
            });
        }
        let before = all(&instructor);
        let table = if compact { "snapshot" } else { "change" };
        instructor.desk.store_for_faults(|store| {
            let connection = store.connection_for_faults();
            let (place, mut bytes): (i64, Vec<u8>) = connection
                .query_row(
                    &format!(
                        "SELECT place, bytes FROM {table} JOIN ledger ON ledger = number
                         WHERE name = ?1 ORDER BY place DESC LIMIT 1"
                    ),
                    [ledger.to_string()],
                    |row| Ok((row.get(0)?, row.get(1)?)),
                )
                .unwrap();
            let middle = bytes.len() / 2;
            bytes[middle] ^= 0x10;
            let sql = format!("UPDATE {table} SET bytes = ?2 WHERE place = ?1");
            connection
                .execute(&sql, rusqlite::params![place, bytes])
                .unwrap();
        });
        let instructor = instructor.reopen();
        // The first screen opens, and the other course with it.
        let today = instructor.desk.today(Units::Metric).unwrap();
        assert_eq!(today.courses.len(), 2);
        instructor.desk.with_course(&other, |_| ()).unwrap();
        assert_eq!(mishaps(&instructor, &ledger), [(Mishap::Unreadable, false)]);
        assert!(instructor.desk.aside(&ledger).unwrap() > 0);
        if !compact {
            // Only the hurt entry is gone.
            let left = all(&instructor)[&ledger].len();
            assert_eq!(left, before[&ledger].len() - 1);
        }
        // From any peer, over the link, it comes whole again; and by file.
        let school = School {
            shop,
            instructor,
            assistant,
            course,
            session,
            students,
            renate,
            bo,
        };
        let together = || {
            if compact {
                meet(&school.shop, &school.instructor);
            } else {
                let (a, b) = (
                    go_online(&school.shop.desk),
                    go_online(&school.instructor.desk),
                );
                b.look_at(&a);
                b.in_step_with(&a);
            }
            assert_eq!(all(&school.shop), all(&school.instructor));
        };
        together();
        assert!(all(&school.instructor)[&ledger].is_superset(&before[&ledger]));
        school.instructor.mark(&school, 0, "mask-full", Mark::Met);
        together();
        assert_eq!(state(&school.shop, &school, "mask-full"), CellState::Met);
        // And it opens the next time.
        let instructor = school.instructor.reopen();
        instructor.desk.with_course(&course, |_| ()).unwrap();
        assert_eq!(mishaps(&instructor, &ledger), [(Mishap::Unreadable, false)]);
    }
}
