//! What goes wrong while devices meet: a disk that is full, and a version from another year.

use std::collections::BTreeSet;

use tallywater_core::desk::Desk;
use tallywater_core::entry::Mark;
use tallywater_core::ledger::Ledger;
use tallywater_core::link::LinkEvent;
use tallywater_core::trust::SecretKey;

use crate::support::devices::School;
use crate::support::links::{board, go_online, until};

/// Lets the file grow by so many pages and no more.
fn room(desk: &Desk, more: i64) {
    desk.store_for_faults(|store| store.leave_room_for_faults(more).unwrap());
}

#[test]
fn what_arrives_at_a_full_disk_is_said_not_to_be_stored_and_comes_once_there_is_room() {
    let school = School::new(8);
    let shop = go_online(&school.shop.desk);
    let instructor = go_online(&school.instructor.desk);
    instructor.look_at(&shop);
    instructor.in_step_with(&shop);
    let before = school.shop.desk.entries(&school.ledger()).unwrap();
    room(&school.shop.desk, 0);
    for round in 0..40 {
        for student in 0..8 {
            let mark = if round % 2 == 0 {
                Mark::NotYet
            } else {
                Mark::Met
            };
            school.instructor.mark(&school, student, "mask-full", mark);
        }
    }
    let told = shop.ear.hears("that nothing was stored", |event| {
        matches!(event, LinkEvent::NotStored { .. })
    });
    assert!(
        matches!(told, LinkEvent::NotStored { full: true, ledger, .. } if ledger == school.ledger()),
        "{told:?}"
    );
    let held = school
        .instructor
        .desk
        .held_by_shop(&school.ledger())
        .unwrap();
    assert_ne!(
        held,
        tallywater_core::sync::Held::There,
        "nobody says it is held"
    );
    // What the shop shows is what it has on the disk.
    let shown = school.shop.desk.entries(&school.ledger()).unwrap();
    assert!(shown >= before && shown < before + 320, "{shown}");

    room(&school.shop.desk, 10_000);
    until("the rest at the shop", || {
        board(&school.shop, &school) == board(&school.instructor, &school)
    });
    let all = school.shop.desk.entries(&school.ledger()).unwrap();
    assert_eq!(all, before + 320);
    drop((shop, instructor));
    let School { shop, .. } = &school;
    shop.desk.store_for_faults(|store| store.check().unwrap());
}

#[test]
fn what_only_a_newer_version_understands_is_passed_on_by_one_that_does_not() {
    let school = School::new(2);
    // The instructor's tablet has a version of another year, whose entry has a kind of its own.
    let seed = std::fs::read(school.instructor.folder.path().join("keys/device.key")).unwrap();
    let key = SecretKey::from_seed(&seed.try_into().unwrap());
    let course = school.ledger();
    let bytes = school.instructor.desk.save_ledger(&course).unwrap();
    let mut ledger = Ledger::load(course, [66; 16], &bytes, &BTreeSet::new()).unwrap();
    let payload = br#"{"v":2,"kind":"moonlight","at":"2031-01-01T00:00:00Z","glow":7}"#;
    let (id, sealed) = key.seal(&course, None, payload);
    ledger.add(&sealed).unwrap();
    school
        .instructor
        .desk
        .merge(&course, &ledger.save().unwrap())
        .unwrap();

    let instructor = go_online(&school.instructor.desk);
    let shop = go_online(&school.shop.desk);
    let assistant = go_online(&school.assistant.desk);
    instructor.look_at(&shop);
    instructor.in_step_with(&shop);
    println!("## The shop has it, and gives it to the third device, which never met the first");
    drop(instructor);
    assistant.look_at(&shop);
    assistant.in_step_with(&shop);
    for device in [&school.shop, &school.assistant] {
        let newer = device.desk.with_course(&school.course, |course| {
            course.tally().newer().contains(&id)
        });
        assert!(newer.unwrap(), "kept, and known not to be understood");
        let bytes = device.desk.save_ledger(&course).unwrap();
        let ledger = Ledger::load(course, [67; 16], &bytes, &BTreeSet::new()).unwrap();
        assert_eq!(ledger.bytes_of(&id), Some(sealed.clone()), "to the byte");
    }
    println!("## And work goes on as ever");
    school.assistant.mark(&school, 0, "mask-full", Mark::Met);
    until("the mark", || {
        board(&school.shop, &school) == board(&school.assistant, &school)
    });
}
