//! A course as one file: what goes in comes out, and nothing that was changed gets through.

use tallywater_core::course::{CourseId, LedgerId};
use tallywater_core::entry::{CourseListed, CourseState, Note, Outcome};
use tallywater_core::ledger::{Fingerprint, Ledger};
use tallywater_core::paper::bundle::{BundleError, public_part, read_bundle, write_bundle};
use tallywater_core::paper::{Printed, Record, verify};
use tallywater_core::trust::SecretKey;
use uuid::Uuid;

use crate::paper_school::{School, day};

fn school() -> School {
    let mut school = School::open(&["Bo Li", "Kilian Röhrig"]);
    for student in school.students.clone() {
        school.clear(student);
    }
    school.teach();
    let first = school.students[0];
    school.complete(first, Outcome::Completed);
    // Another course of the same shop, which a referral must not show.
    school.at_shop(
        CourseListed {
            course: CourseId::new(Uuid::from_u128(99)),
            title: "Somebody else's course".into(),
            starts: day(2026, 7, 1),
            staff: Vec::new(),
            state: CourseState::Running,
        }
        .into(),
    );
    school
}

fn bundled(school: &School, people: bool) -> Vec<u8> {
    let people: Vec<&Ledger> = if people {
        school.people.values().collect()
    } else {
        Vec::new()
    };
    let root = school.root.key.public();
    write_bundle(
        root,
        &school.shop,
        &school.course,
        &people,
        school.now,
        &school.instructor.key,
    )
    .unwrap()
}

#[test]
fn what_goes_into_a_file_comes_out_and_can_be_merged() {
    let school = school();
    let bytes = bundled(&school, true);
    let opened = read_bundle(&bytes, [7; 16]).unwrap();
    assert_eq!(opened.by, school.instructor.key.public());
    assert_eq!(opened.writer.staff, school.instructor.staff);
    assert!(!opened.revoked);
    assert_eq!(opened.made, school.now);
    assert_eq!(opened.course.heads(), school.course.heads());
    assert_eq!(
        Fingerprint::of(&opened.course),
        Fingerprint::of(&school.course)
    );
    assert_eq!(opened.people.len(), 2);
    // Taken in where the course is known already, it changes nothing.
    let taken = school
        .course
        .take_bytes(&opened.course.save().unwrap())
        .unwrap();
    assert_eq!(taken.ledger().heads(), school.course.heads());
    // And where an older state of it is known, it adds what is missing and keeps the rest.
    let id = *school.course.id();
    let mut here = Ledger::new(id, [8; 16]).unwrap();
    let (_, sealed) = school.instructor.key.seal(&id, None, b"{}");
    here.add(&sealed).unwrap();
    let taken = here.take_bytes(&opened.course.save().unwrap()).unwrap();
    assert_eq!(
        taken.ledger().lines().len(),
        school.course.lines().len() + 1
    );
}

#[test]
fn a_file_shows_nothing_of_other_courses_and_gives_the_same_verdicts() {
    let school = school();
    let opened = read_bundle(&bundled(&school, false), [7; 16]).unwrap();
    assert!(opened.people.is_empty());
    let titles: Vec<String> = opened
        .standing()
        .shop
        .courses()
        .map(|listed| listed.title.clone())
        .collect();
    assert_eq!(titles, ["First dives, June"]);
    let own = school.standings();
    let there = opened.standing();
    assert_eq!(own.course, there.course);
    assert!(there.course.tally().unverified().is_empty());
    let part = public_part(school.root.key.public(), &school.shop, &school.course).unwrap();
    assert!(part.lines().len() < school.shop.lines().len());
}

#[test]
fn a_changed_byte_anywhere_is_refused() {
    let school = School::open(&["Bo Li"]);
    let bytes = bundled(&school, true);
    assert!(read_bundle(&bytes, [7; 16]).is_ok());
    // Every byte would take long; the first thousand, the last thousand and every 97th do.
    let last = bytes.len().saturating_sub(1_000);
    let places = (0..1_000)
        .chain(last..bytes.len())
        .chain((0..bytes.len()).step_by(97));
    for place in places {
        let mut changed = bytes.clone();
        changed[place] ^= 0x20;
        assert!(read_bundle(&changed, [7; 16]).is_err(), "byte {place}");
    }
    for length in (0..bytes.len()).step_by(101) {
        assert!(
            read_bundle(&bytes[..length], [7; 16]).is_err(),
            "cut at {length}"
        );
    }
    let longer = [bytes.clone(), vec![0]].concat();
    assert!(read_bundle(&longer, [7; 16]).is_err());
    assert_eq!(
        read_bundle(b"%PDF-1.7", [7; 16]).unwrap_err(),
        BundleError::NotABundle
    );
    let mut newer = bytes;
    newer[16] = 3;
    assert_eq!(
        read_bundle(&newer, [7; 16]).unwrap_err(),
        BundleError::Newer { found: 3, known: 2 }
    );
}

#[test]
fn a_file_signed_by_a_stranger_or_put_together_wrongly_is_refused() {
    let school = school();
    let stranger = SecretKey::from_seed(&[77; 32]);
    let root = school.root.key.public();
    let bytes = write_bundle(
        root,
        &school.shop,
        &school.course,
        &[],
        school.now,
        &stranger,
    )
    .unwrap();
    let error = read_bundle(&bytes, [7; 16]).unwrap_err();
    assert_eq!(
        error,
        BundleError::Stranger {
            key: stranger.public().short()
        }
    );
    // A root that is not this shop's.
    let bytes = write_bundle(
        stranger.public(),
        &school.shop,
        &school.course,
        &[],
        school.now,
        &stranger,
    )
    .unwrap();
    assert_eq!(
        read_bundle(&bytes, [7; 16]).unwrap_err(),
        BundleError::OtherRoot
    );
    // Somebody who is in another course.
    let other = School::open(&["Tomás Núñez Iglesias", "Zoya", "Ana"]);
    let third = &other.people[&other.students[2]];
    let bytes = write_bundle(
        root,
        &school.shop,
        &school.course,
        &[third],
        school.now,
        &school.root.key,
    )
    .unwrap();
    assert_eq!(
        read_bundle(&bytes, [7; 16]).unwrap_err(),
        BundleError::NotEnrolled {
            ledger: LedgerId::Person(other.students[2])
        }
    );
    // A person twice.
    let own = school.people.values().next().unwrap();
    let bytes = write_bundle(
        root,
        &school.shop,
        &school.course,
        &[own, own],
        school.now,
        &school.root.key,
    )
    .unwrap();
    assert_eq!(
        read_bundle(&bytes, [7; 16]).unwrap_err(),
        BundleError::Twice { ledger: *own.id() }
    );
}

#[test]
fn a_printed_record_is_held_against_a_file() {
    let mut school = school();
    let standings = school.standings();
    let source = school.source(&standings);
    let record = Record::of(&source, school.students[0]);
    let printed = record.proof.fingerprint;
    // Typed off the page, in capitals and groups.
    let typed: Fingerprint = printed.grouped().to_uppercase().parse().unwrap();
    let opened = read_bundle(&bundled(&school, false), [7; 16]).unwrap();
    let found = verify(&opened, Some(typed.into()), school.now);
    assert_eq!(found.printed, Some(Printed::Same));
    assert_eq!(
        (found.fingerprint, found.entries),
        (printed, school.course.lines().len())
    );
    // Part by part it is what the record prints, without any name.
    let checked = found
        .records
        .iter()
        .find(|one| one.student == school.students[0])
        .unwrap();
    assert!(checked.completed);
    assert_eq!(
        (checked.own, &checked.parts),
        (record.proof.own, &record.proof.parts)
    );
    assert_eq!(
        verify(&opened, Some(record.proof.own.into()), school.now).printed,
        Some(Printed::Record {
            student: school.students[0],
            entries: record.proof.own_entries,
            since: 0
        })
    );
    // The course has gone on since.
    school.by_instructor(
        Note {
            student: None,
            skill: None,
            session: None,
            entry: None,
            text: "later".into(),
        }
        .into(),
    );
    let opened = read_bundle(&bundled(&school, false), [7; 16]).unwrap();
    let found = verify(&opened, Some(printed.into()), school.now);
    let entries = school.course.lines().len() - 1;
    assert_eq!(found.printed, Some(Printed::Before { entries, since: 1 }));
    // Another course altogether.
    let mut other = School::open(&["Bo Li"]);
    other.teach();
    let opened = read_bundle(&bundled(&other, false), [7; 16]).unwrap();
    let found = verify(&opened, Some(printed.into()), school.now);
    assert_eq!(found.printed, Some(Printed::Other));
    assert!(!Printed::Other.holds());
}

#[test]
fn the_parts_of_a_record_show_where_two_ledgers_differ() {
    let mut school = school();
    let student = school.students[1];
    let parts = |school: &School| {
        let standings = school.standings();
        Record::of(&school.source(&standings), student).proof.parts
    };
    let before = parts(&school);
    let session = school.sessions[7];
    school.dive(tallywater_core::entry::Who::Student(student), session);
    let after = parts(&school);
    let changed: Vec<_> = before
        .iter()
        .zip(&after)
        .filter(|(a, b)| a != b)
        .map(|(a, _)| a.0)
        .collect();
    assert_eq!(changed, [tallywater_core::paper::Part::Dives]);
}
