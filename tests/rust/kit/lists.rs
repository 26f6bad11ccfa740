//! The list of kit taken in and printed, and the words of an issue read before forgetting.

use tallywater_core::course::Sizes;
use tallywater_core::desk::paper::PaperError;
use tallywater_core::paper::kit_list::{KitListFault, KitRowReason, KitThere};
use tallywater_core::paper::retention::texts_to_read;
use tallywater_core::paper::roster::Hints;
use tallywater_core::paper::{Fonts, Language, Press};

use super::*;
use crate::paper_tools::Opened;

const LIST: &str = "kind,number,size,serial,serviced,service due,test due,note\r\n\
    regulator,7,,AB-1,2026-01-10,2027-01-10,,\r\n\
    cylinder,3,12,,,,2028-05-01,blue boot\r\n\
    suit,12,ML,,,,,\r\n";

#[test]
fn a_list_of_kit_taken_twice_is_no_double_and_one_bad_row_takes_none() {
    let school = School::new(1);
    let by = &school.instructor;
    let take = |text: &str, there| {
        by.desk
            .take_kit_list(text.as_bytes(), Hints::default(), there)
    };
    let bad = format!("{LIST}snorkel,1,,,,,,\r\n");
    assert!(matches!(
        take(&bad, KitThere::LeaveOut),
        Err(PaperError::KitList(KitListFault::BadRows { count: 1 }))
    ));
    let preview = by.desk.look_at_kit_list(bad.as_bytes(), Hints::default());
    let preview = preview.unwrap();
    assert_eq!(preview.faults[0].line, 5);
    assert_eq!(preview.faults[0].reason, KitRowReason::UnknownKind);
    assert!(kit(by).rows.is_empty());
    println!("## Taken, and taken again");
    let taken = take(LIST, KitThere::LeaveOut).unwrap();
    assert_eq!((taken.added, taken.left_out.len()), (3, 0));
    let again = take(LIST, KitThere::LeaveOut).unwrap();
    assert_eq!((again.added, again.left_out), (0, vec![2, 3, 4]));
    let again = take(LIST, KitThere::Renew).unwrap();
    assert_eq!(
        (again.added, again.renewed, again.left_out.len()),
        (0, 0, 3)
    );
    println!("## A row that says something else renews the piece of that number");
    let later = LIST.replace("2027-01-10", "2028-01-10");
    assert_eq!(take(&later, KitThere::LeaveOut).unwrap().renewed, 0);
    let renewed = take(&later, KitThere::Renew).unwrap();
    assert_eq!((renewed.added, renewed.renewed), (0, 1));
    assert_eq!(kit(by).rows.len(), 3);
    println!("## What is written out is read back as it was");
    let table = by.desk.kit_table().unwrap();
    let read = by
        .desk
        .look_at_kit_list(&table.csv, Hints::default())
        .unwrap();
    assert_eq!((read.rows.len(), read.faults.len()), (3, 0));
    assert!(read.rows.iter().all(|row| row.same), "{:?}", read.rows);
    println!("## Not an assistant's");
    school.meet_all();
    let more = "kind,number\r\nmask,1\r\n";
    let found =
        school
            .assistant
            .desk
            .take_kit_list(more.as_bytes(), Hints::default(), KitThere::LeaveOut);
    assert!(matches!(
        found,
        Err(PaperError::Desk(DeskError::Refused(Refusal::Role { .. })))
    ));
}

#[test]
fn the_words_of_an_issue_are_read_before_somebody_is_forgotten() {
    let school = School::new(2);
    let by = &school.instructor;
    let regulator = describe(by, overdue("7"));
    let out = by.record(issue(
        &school,
        regulator,
        student(&school, 0),
        Some("Ottilie Brandvoll asked for it"),
    ));
    let papers = by.desk.papers(&school.course).unwrap();
    let source = papers.source();
    let known = |n: usize| source.names.details(&school.students[n]).unwrap();
    let read = texts_to_read(&source, school.students[0], Some(&known(0)));
    let entry = out.entries[0].1;
    assert!(
        read.iter()
            .any(|text| text.entry == entry && text.kind == Kind::KitIssued && text.names)
    );
    let read = texts_to_read(&source, school.students[1], Some(&known(1)));
    assert!(!read.iter().any(|text| text.entry == entry));
}

#[test]
fn the_issue_list_and_the_list_of_kit_are_printed_in_both_languages() {
    let school = School::new(3);
    let by = &school.instructor;
    by.record(Request::SetSizes {
        course: school.course,
        student: school.students[0],
        sizes: Sizes {
            suit: "ML".into(),
            ..Sizes::default()
        },
    });
    describe(by, piece(KitKind::Suit, "12", "ML"));
    let regulator = describe(by, overdue("7"));
    by.record(issue(
        &school,
        regulator,
        student(&school, 1),
        Some("looked at"),
    ));
    let broken = describe(by, piece(KitKind::Mask, "4", ""));
    by.record(Request::ReportKitFault {
        piece: broken,
        what: "strap torn".into(),
        when: None,
    });
    let mut press = Press::new(Fonts::bundled().unwrap()).unwrap();
    for (language, said) in [
        (
            Language::English,
            [
                "Suit 12 (ML)",
                "Regulator 7",
                "service was due until 2026-06-05",
                "MISSING",
            ],
        ),
        (
            Language::German,
            [
                "Anzug 12 (ML)",
                "Atemregler 7",
                "Wartung war fällig bis 2026-06-05",
                "FEHLT",
            ],
        ),
    ] {
        press.language = language;
        let now = by.desk.now();
        let shop = "Grebe Hollow Divers";
        let sheet = press.issue_list(shop, &list(by, &school), now).unwrap();
        let sheet = Opened::new(&format!("issue-list-{language:?}"), &sheet);
        sheet.check();
        sheet.nothing_overlaps();
        let text = sheet.running_text();
        for said in said {
            assert!(text.contains(said), "{said} in {text}");
        }
        assert!(text.contains("Ottilie Brandvoll"), "{text}");
        let pieces = press.kit_list(shop, &kit(by), now).unwrap();
        let pieces = Opened::new(&format!("kit-list-{language:?}"), &pieces);
        pieces.check();
        pieces.nothing_overlaps();
        let text = pieces.running_text();
        for said in ["strap torn", "2026-06-05", "Quatrefaire"] {
            assert!(text.contains(said), "{said} in {text}");
        }
    }
}
