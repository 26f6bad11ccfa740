//! When a photograph or a sound goes, and what becomes of one that is hurt.

use std::sync::Arc;

use tallywater_core::course::LedgerId;
use tallywater_core::desk::{Desk, FileKeyStore};
use tallywater_core::entry::CourseState;
use tallywater_core::stamp::DeviceStamps;

use super::*;

/// Everything about them is known on both; the shop holds all three files.
fn kept(school: &School) -> [EntryId; 3] {
    let slate = keep(&school.shop, of_session(school), &photograph(60_000, 1));
    let first = keep(&school.shop, of_student(school, 0), &sound(50_000, 2));
    let second = keep(&school.shop, of_student(school, 1), &sound(40_000, 3));
    [slate, first, second]
}

#[test]
fn a_person_who_is_forgotten_is_on_no_picture_and_in_no_sound_any_more() {
    let mut school = School::new(2);
    let [slate, first, second] = kept(&school);
    let voice = sound(50_000, 2)[100..200].to_vec();
    let written = photograph(60_000, 1)[100..200].to_vec();
    assert!(on_disk(&school.shop, &voice) && on_disk(&school.shop, &written));
    school.shop.record(Request::Forget {
        student: school.students[0],
        why: "kept long enough".into(),
    });
    // Their own sound, and the slate on which their name stands; nobody else's.
    assert_eq!(stored(&school.shop), (1, 40_000));
    assert!(!on_disk(&school.shop, &voice) && !on_disk(&school.shop, &written));
    for (entry, expected) in [
        (slate, AttachmentHere::Gone),
        (first, AttachmentHere::Gone),
        (second, AttachmentHere::Whole),
    ] {
        assert_eq!(here(&school.shop, &school, &entry), expected);
    }
    assert_eq!(bytes(&school.shop, &school, &slate), FileHere::Gone);
    println!("## A later photograph of that session is named, and its bytes are not fetched");
    school.meet_all();
    let late = keep(&school.shop, of_session(&school), &photograph(70_000, 9));
    assert_eq!(here(&school.shop, &school, &late), AttachmentHere::Gone);
    school.shop.desk.tidy().unwrap();
    assert_eq!(stored(&school.shop), (1, 40_000));
    println!("## And after a restart");
    school.shop = school.shop.reopen();
    assert_eq!(here(&school.shop, &school, &slate), AttachmentHere::Gone);
    assert_eq!(here(&school.shop, &school, &second), AttachmentHere::Whole);
}

#[test]
fn a_device_that_was_away_lets_them_go_when_it_hears_of_it() {
    let school = School::new(2);
    keep(
        &school.instructor,
        of_student(&school, 0),
        &sound(50_000, 2),
    );
    keep(
        &school.instructor,
        of_student(&school, 1),
        &sound(40_000, 3),
    );
    school.shop.record(Request::Forget {
        student: school.students[0],
        why: "kept long enough".into(),
    });
    assert_eq!(stored(&school.instructor), (2, 90_000));
    meet(&school.shop, &school.instructor);
    assert_eq!(stored(&school.instructor), (1, 40_000));
}

#[test]
fn a_course_that_is_dropped_takes_its_photographs_with_it_and_no_other_courses() {
    let school = School::new(2);
    kept(&school);
    let opened = school.shop.record(Request::OpenCourse {
        place: None,
        outline: Default::default(),
        title: "First dives, July".into(),
        starts: crate::support::devices::day("2026-07-04"),
        staff: Vec::new(),
    });
    let other: tallywater_core::course::CourseId = opened.made.unwrap().parse().unwrap();
    let plan = crate::support::devices::plan(
        &[],
        &[],
        tallywater_core::course::Setting::Confined,
        "2026-07-04T10:00:00+02:00",
    );
    let planned = school.shop.record(Request::PlanSession {
        course: other,
        session: None,
        plan,
    });
    let shared = AttachmentOf {
        course: other,
        session: planned.made.unwrap().parse().unwrap(),
        student: None,
        slate: None,
    };
    // The same photograph in two courses lies here once, and stays for the one that is left.
    keep(&school.shop, shared, &photograph(60_000, 1));
    assert_eq!(stored(&school.shop), (3, 150_000));
    let course = school.course;
    school.shop.record(Request::ListCourse {
        course,
        state: CourseState::Closed,
    });
    school.shop.record(Request::DropCourse {
        course,
        why: "kept long enough".into(),
    });
    assert_eq!(stored(&school.shop), (1, 60_000));
    assert!(!on_disk(&school.shop, &sound(50_000, 2)[100..200]));
}

#[test]
fn a_hurt_photograph_is_said_to_be_hurt_and_keeps_no_backup_from_being_written() {
    let school = School::new(2);
    let [slate, ..] = kept(&school);
    let sound_check = school.shop.desk.check().unwrap();
    assert!(sound_check.is_sound());
    assert_eq!((sound_check.files, sound_check.hurt_files), (3, 0));
    hurt(&school.shop, 60_000);
    let found = school.shop.desk.check().unwrap();
    assert_eq!((found.files, found.hurt_files), (2, 1));
    assert!(found.is_sound(), "no record rests on it");
    assert_eq!(here(&school.shop, &school, &slate), AttachmentHere::Hurt);
    assert_eq!(bytes(&school.shop, &school, &slate), FileHere::Hurt);
    assert!(school.shop.desk.look_after().unwrap().backed_up.is_some());
    // The same photograph handed in again mends it.
    keep(&school.shop, of_session(&school), &photograph(60_000, 1));
    assert_eq!(here(&school.shop, &school, &slate), AttachmentHere::Whole);
}

#[test]
fn whoever_only_looks_is_told_that_a_photograph_is_hurt_and_notes_nothing_down() {
    let school = School::new(1);
    let slate = keep(&school.shop, of_session(&school), &photograph(60_000, 1));
    hurt(&school.shop, 60_000);
    let folder = school.shop.folder.path();
    let keys = Box::new(FileKeyStore::new(&folder.join("keys")));
    let looks = Desk::open_to_read(folder, keys, Arc::new(DeviceStamps)).unwrap();
    let seen = looks.attachment_bytes(&school.course, &slate);
    assert_eq!(seen.unwrap(), FileHere::Hurt);
    drop(looks);
    assert_eq!(here(&school.shop, &school, &slate), AttachmentHere::Whole);
    // The one who may write notes it.
    assert_eq!(bytes(&school.shop, &school, &slate), FileHere::Hurt);
    assert_eq!(here(&school.shop, &school, &slate), AttachmentHere::Hurt);
}

/// One bit of the file of this length turns on the disk.
pub(super) fn hurt(at: &Device, size: u32) {
    at.desk.store_for_faults(|store| {
        let sql = "UPDATE kept_piece SET bytes = CAST(x'00' || substr(bytes, 2) AS BLOB)
                   WHERE begins = 0 AND file IN (SELECT number FROM kept_file WHERE size = ?1)";
        let turned = store.connection_for_faults().execute(sql, [size]);
        assert_eq!(turned.unwrap(), 1);
    });
}

#[test]
fn a_backup_holds_the_photographs_and_a_device_restored_from_it_shows_them() {
    let school = School::new(1);
    let slate = keep(&school.shop, of_session(&school), &photograph(60_000, 1));
    let folder = tempfile::TempDir::new().unwrap();
    let copy = folder.path().join("copy.db");
    school.shop.desk.back_up(&copy).unwrap();
    let School { shop, course, .. } = school;
    let (stamps, home) = (shop.stamps.clone(), shop.folder);
    drop(shop.desk);
    std::fs::remove_file(home.path().join("tallywater.db")).unwrap();
    let keys = FileKeyStore::new(&home.path().join("keys"));
    let rescue = tallywater_core::desk::Rescue::begin(home.path(), &keys).unwrap();
    rescue.take_backup(&copy).unwrap();
    drop(rescue);
    let again = crate::support::devices::open_desk(home.path(), &stamps).unwrap();
    let found = again.attachment_bytes(&course, &slate).unwrap();
    assert_eq!(found, FileHere::Whole(photograph(60_000, 1)));
    assert!(again.ledgers().unwrap().contains(&LedgerId::Course(course)));
}
