//! Photographs and sounds beside the entries: kept, shown, said in words, printed, carried in a
//! course file, and gone when nobody may see them any more.

mod fetched;
mod gone;
mod printed;

use tallywater_core::course::{EntryId, Media, SessionId};
use tallywater_core::desk::{AttachmentOf, DeskError, FileHere, Request};
use tallywater_core::entry::{Refusal, Sha256Hex};
use tallywater_core::view::{AttachmentHere, AttachmentRow, Leave, Units};

use crate::support::devices::{Device, School, meet};
use crate::support::media::{PLACE, photograph, sound, with_place};

/// What a photograph of the pool session's slate is of.
fn of_session(school: &School) -> AttachmentOf {
    AttachmentOf {
        course: school.course,
        session: school.session,
        student: None,
        slate: Some("B7QD".into()),
    }
}

/// What a spoken note about a student is of.
fn of_student(school: &School, student: usize) -> AttachmentOf {
    AttachmentOf {
        student: Some(school.students[student]),
        slate: None,
        ..of_session(school)
    }
}

fn keep(by: &Device, of: AttachmentOf, bytes: &[u8]) -> EntryId {
    by.desk.keep_attachment(of, bytes).unwrap().entries[0].1
}

fn rows(at: &Device, school: &School) -> Vec<AttachmentRow> {
    let view = at
        .desk
        .attachments(&school.course, &school.session, Units::Metric);
    view.unwrap().unwrap().rows
}

fn here(at: &Device, school: &School, entry: &EntryId) -> AttachmentHere {
    let rows = rows(at, school);
    rows.iter().find(|row| row.entry == *entry).unwrap().here
}

fn bytes(at: &Device, school: &School, entry: &EntryId) -> FileHere {
    at.desk.attachment_bytes(&school.course, entry).unwrap()
}

/// How many files there are in a device's store, and how many bytes of them.
pub(crate) fn stored(at: &Device) -> (u32, u32) {
    let mut found = (0, 0);
    at.desk.store_for_faults(|store| {
        let sql = "SELECT (SELECT count(*) FROM kept_file),
                   (SELECT coalesce(sum(length(bytes)), 0) FROM kept_piece)";
        let connection = store.connection_for_faults();
        let row = connection.query_row(sql, [], |row| Ok((row.get(0)?, row.get(1)?)));
        found = row.unwrap();
    });
    found
}

/// Whether the device's files hold these bytes anywhere.
fn on_disk(at: &Device, part: &[u8]) -> bool {
    ["tallywater.db", "tallywater.db-wal"].iter().any(|name| {
        let bytes = std::fs::read(at.folder.path().join(name)).unwrap_or_default();
        bytes.windows(part.len()).any(|window| window == part)
    })
}

#[test]
fn a_photograph_is_kept_once_without_its_place_and_is_there_after_a_restart() {
    let mut school = School::new(2);
    let picture = photograph(300_000, 1);
    let by = &school.instructor;
    let first = keep(by, of_session(&school), &with_place(&picture));
    // The same photograph of something else: another entry, and the same bytes.
    let second = keep(by, of_student(&school, 0), &picture);
    assert_eq!(stored(by), (1, 300_000));
    assert!(!on_disk(by, PLACE));
    assert!(on_disk(by, &picture[20..120]));
    school.instructor = school.instructor.reopen();
    let by = &school.instructor;
    assert_eq!(by.desk.tidy().unwrap(), None);
    for entry in [&first, &second] {
        assert_eq!(bytes(by, &school, entry), FileHere::Whole(picture.clone()));
    }
    let found = rows(by, &school);
    assert_eq!(found.len(), 2);
    let row = &found[0];
    assert_eq!((row.entry, row.here), (first, AttachmentHere::Whole));
    assert_eq!(row.file.sha256, Sha256Hex::of(&picture));
    assert_eq!((row.file.bytes, row.file.media), (300_000, Media::Jpeg));
    assert_eq!(row.slate.as_deref(), Some("B7QD"));
    assert_eq!(row.by.name, "Renate Solheim");
    assert!(row.student.is_none() && row.text.is_none());
    assert_eq!(found[1].student.as_ref().unwrap().name, "Ottilie Brandvoll");
    // What is seen on a photograph reaches no log.
    assert_eq!(format!("{:?}", bytes(by, &school, &first)), "Whole(..)");
}

#[test]
fn what_is_not_taken_is_refused_by_name_and_leaves_nothing_behind() {
    let school = School::new(1);
    let by = &school.instructor;
    let refused = |of: AttachmentOf, bytes: &[u8]| match by.desk.keep_attachment(of, bytes) {
        Err(DeskError::Refused(refusal)) => (refusal.rule(), refusal.to_string()),
        other => panic!("{other:?}"),
    };
    let (rule, said) = refused(of_session(&school), b"%PDF-1.7 and more");
    assert_eq!(rule, "media_unknown");
    assert!(said.contains("JPEG") && said.contains("WAV"), "{said}");
    let cut = &photograph(5_000, 1)[..4_000];
    let (rule, said) = refused(of_session(&school), cut);
    assert_eq!(rule, "media_damaged");
    assert!(
        said.contains("image/jpeg") && said.contains("end"),
        "{said}"
    );
    let (rule, said) = refused(of_session(&school), &photograph((8 << 20) + 1, 1));
    assert_eq!(rule, "out_of_bounds");
    assert_eq!(said, "picture is 8388609, which is outside 1 to 8388608");
    let (_, said) = refused(of_student(&school, 0), &sound((16 << 20) + 2, 1));
    assert_eq!(said, "sound is 16777218, which is outside 1 to 16777216");
    let nowhere = AttachmentOf {
        session: SessionId::new(uuid::Uuid::from_u128(9)),
        ..of_session(&school)
    };
    let (_, said) = refused(nowhere, &photograph(900, 1));
    assert_eq!(said, "there is no such session here");
    let nobody = AttachmentOf {
        student: Some(tallywater_core::course::StudentId::new(
            uuid::Uuid::from_u128(9),
        )),
        ..of_session(&school)
    };
    let (_, said) = refused(nobody, &photograph(900, 1));
    assert_eq!(said, "there is no such student here");
    let long = AttachmentOf {
        slate: Some("B7QD".repeat(5)),
        ..of_session(&school)
    };
    assert_eq!(refused(long, &photograph(900, 1)).0, "text_too_long");
    assert_eq!(stored(by), (0, 0));
    assert!(rows(by, &school).is_empty());
    // The largest that there may be is taken.
    keep(by, of_session(&school), &photograph(8 << 20, 1));
}

#[test]
fn a_full_disk_keeps_neither_bytes_nor_entry_and_still_takes_a_mark() {
    let school = School::new(1);
    let by = &school.instructor;
    by.desk
        .store_for_faults(|store| store.leave_room_for_faults(40).unwrap());
    let entries = by.desk.entries(&school.ledger()).unwrap();
    let full = by
        .desk
        .keep_attachment(of_session(&school), &photograph(2_000_000, 1));
    assert!(full.unwrap_err().to_string().contains("full"));
    assert_eq!(stored(by), (0, 0));
    assert_eq!(by.desk.entries(&school.ledger()).unwrap(), entries);
    by.mark(&school, 0, "mask-full", tallywater_core::entry::Mark::Met);
    by.desk
        .store_for_faults(|store| store.leave_room_for_faults(4_000).unwrap());
    keep(by, of_session(&school), &photograph(2_000_000, 1));
}

#[test]
fn a_spoken_note_is_written_down_by_a_person_and_the_later_words_hold() {
    let school = School::new(1);
    let note = keep(&school.assistant, of_student(&school, 0), &sound(40_000, 1));
    meet(&school.assistant, &school.instructor);
    let say = |by: &Device, attachment: EntryId, text: &str| {
        by.desk.record(Request::SayOfAttachment {
            course: school.course,
            attachment,
            text: text.into(),
        })
    };
    say(&school.assistant, note, "Clears it late").unwrap();
    meet(&school.assistant, &school.instructor);
    say(
        &school.instructor,
        note,
        "Clears the mask late, breathes calmly",
    )
    .unwrap();
    meet(&school.assistant, &school.instructor);
    for device in [&school.assistant, &school.instructor] {
        let row = rows(device, &school).remove(0);
        let said = row.text.unwrap();
        assert_eq!(said.text, "Clears the mask late, breathes calmly");
        assert_eq!(said.by.name, "Renate Solheim");
        assert!(row.file.media.is_sound());
        assert_eq!(row.may_withdraw, Leave::Yes);
        assert!(!format!("{said:?}").contains("mask"));
    }
    // It is no mark, and none is made from it.
    let marks = school
        .instructor
        .desk
        .with_course(&school.course, |course| {
            course.about(&school.students[0]).count()
        });
    assert_eq!(marks.unwrap(), 3, "the enrolment and two forms");
    let refused = |error: Result<_, DeskError>| match error.unwrap_err() {
        DeskError::Refused(refusal) => refusal,
        other => panic!("{other}"),
    };
    let empty = refused(say(&school.instructor, note, " "));
    assert_eq!(empty, Refusal::TextEmpty { field: "text" });
    let unknown = Refusal::Unknown { what: "attachment" };
    let no_file = EntryId::new(uuid::Uuid::from_u128(5));
    assert_eq!(refused(say(&school.instructor, no_file, "?")), unknown);
    println!("## Withdrawn, nothing more is said of it, and its bytes stay until that is meant");
    school.instructor.record(Request::Withdraw {
        ledger: school.ledger(),
        entry: note,
        why: None,
    });
    let late = refused(say(&school.instructor, note, "more"));
    assert_eq!(late, Refusal::CountsNot { entry: note });
    assert!(rows(&school.instructor, &school).is_empty());
    school.assistant.desk.tidy().unwrap();
    assert_eq!(stored(&school.assistant), (1, 40_000));
}
