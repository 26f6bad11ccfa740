//! On paper and in a course file.

use std::collections::BTreeSet;

use tallywater_core::desk::paper::BundleTaken;
use tallywater_core::paper::bundle::{BundleError, read_bundle};
use tallywater_core::paper::{Fonts, Language, Press};

use super::*;
use crate::paper_tools::Opened;

fn record(by: &Device, school: &School, student: usize, language: Language) -> Opened {
    let mut press = Press::new(Fonts::bundled().unwrap()).unwrap();
    press.language = language;
    let papers = by.desk.papers(&school.course).unwrap();
    let record = papers.record(&school.students[student]).unwrap();
    let outline = papers.source().course.outline();
    let sheet = press.record(&record, outline, papers.source().now);
    let name = format!("kept-files-{student}-{language:?}");
    Opened::new(&name, &sheet.unwrap())
}

#[test]
fn a_record_prints_that_a_photograph_is_kept_with_its_digest_and_the_words_of_a_sound() {
    let school = School::new(2);
    let by = &school.instructor;
    let (picture, voice) = (photograph(60_000, 1), sound(50_000, 2));
    let slate = keep(by, of_session(&school), &picture);
    let note = keep(by, of_student(&school, 0), &voice);
    for (attachment, text) in [(slate, "Ottilie is cold"), (note, "Clears the mask late")] {
        by.record(Request::SayOfAttachment {
            course: school.course,
            attachment,
            text: text.into(),
        });
    }
    let own = record(by, &school, 0, Language::English);
    own.check();
    own.nothing_overlaps();
    let text = own.running_text();
    let digest = |bytes: &[u8]| {
        let text = Sha256Hex::of(bytes).to_string();
        text[..8].to_owned()
    };
    for expected in [
        "Photographs and sounds",
        "Photograph, slate B7QD, 60000 bytes",
        "In words, by Renate Solheim: Clears the mask late",
        &digest(&picture),
        &digest(&voice),
    ] {
        assert!(text.contains(expected), "{expected}: {text}");
    }
    // What is said of the whole session may name others, and stands in nobody's record.
    assert!(!text.contains("is cold"));
    println!("## The other student's record has the slate and not the note");
    let text = record(by, &school, 1, Language::German).running_text();
    assert!(text.contains("Fotos und Aufnahmen") && text.contains(&digest(&picture)));
    assert!(!text.contains(&digest(&voice)) && !text.contains("Clears"));
}

#[test]
fn a_record_without_any_says_nothing_of_photographs_and_keeps_its_fingerprints() {
    let school = School::new(1);
    let by = &school.instructor;
    let papers = |by: &Device| {
        let papers = by.desk.papers(&school.course).unwrap();
        papers.record(&school.students[0]).unwrap().proof
    };
    let before = papers(by);
    let text = record(by, &school, 0, Language::English).running_text();
    assert!(!text.contains("Photographs"));
    keep(by, of_student(&school, 0), &sound(50_000, 2));
    // What a record rests on is the same; only the course holds one entry more.
    let after = papers(by);
    assert_eq!(
        (before.own, before.own_entries),
        (after.own, after.own_entries)
    );
    assert_eq!(before.entries + 1, after.entries);
}

#[test]
fn a_course_file_carries_what_shows_nobody_but_those_who_go_with_it() {
    let school = School::new(2);
    let by = &school.instructor;
    let (picture, voice) = (photograph(60_000, 1), sound(50_000, 2));
    let slate = keep(by, of_session(&school), &picture);
    let note = keep(by, of_student(&school, 0), &voice);
    let file = |students: &[usize]| {
        let students: BTreeSet<_> = students.iter().map(|n| school.students[*n]).collect();
        let bytes = by.desk.export_bundle(&school.course, &students).unwrap();
        let found = read_bundle(&bytes, [7; 16]).unwrap().files;
        (
            bytes,
            found.iter().map(|one| one.file.bytes).collect::<Vec<_>>(),
        )
    };
    let mut all = file(&[0, 1]);
    all.1.sort_unstable();
    assert_eq!(all.1, [50_000, 60_000]);
    assert_eq!(file(&[0]).1, [50_000]);
    let none = file(&[1]);
    assert!(none.1.is_empty());
    // Without any it is what older versions read.
    assert_eq!((none.0[16], all.0[16]), (1, 2));
    println!("## Taken on another device, they are whole there");
    let taken = school.shop.desk.take_bundle(&all.0).unwrap();
    assert!(matches!(taken, BundleTaken::Merged { .. }));
    for (entry, expected) in [(slate, &picture), (note, &voice)] {
        let found = bytes(&school.shop, &school, &entry);
        assert_eq!(found, FileHere::Whole(expected.clone()));
    }
    println!("## A bit that turned, or an end that is cut, is refused and nothing is taken");
    let place = all
        .0
        .windows(60)
        .position(|part| part == &picture[200..260]);
    let mut changed = all.0.clone();
    changed[place.unwrap()] ^= 1;
    let refused = read_bundle(&changed, [7; 16]).map(|_| ());
    assert_eq!(refused, Err(BundleError::Tampered));
    assert!(school.assistant.desk.take_bundle(&changed).is_err());
    let cut = &all.0[..all.0.len() - 70_000];
    assert!(school.assistant.desk.take_bundle(cut).is_err());
    assert_eq!(stored(&school.assistant), (0, 0));
}
