//! Rosters as office programs write them: encodings, delimiters, heads, and bad rows.

use tallywater_core::course::{PersonDetails, StudentId};
use tallywater_core::paper::TwoColumns;
use tallywater_core::paper::roster::{
    Hints, Known, RosterFault, RosterField, RowReason, SheetFault, Twin, Twins, read_roster,
};
use uuid::Uuid;

use crate::paper_school::day;

fn today() -> chrono::NaiveDate {
    day(2026, 6, 1)
}

fn names(bytes: &[u8], hints: Hints<'_>) -> Vec<String> {
    let preview = read_roster(bytes, hints, &[], today()).unwrap();
    assert_eq!(preview.faults, []);
    preview
        .rows
        .into_iter()
        .map(|row| row.details.name)
        .collect()
}

#[test]
fn the_usual_delimiters_and_encodings_are_recognised() {
    let text = "Vorname;Nachname;Geburtsdatum;Telefon\r\nZoë;Müller-Lüdenscheidt;03.04.2001;+49 30 555\r\nJörg;\"Weiß; jun.\";24.12.1999;\r\n";
    let expect = ["Zoë Müller-Lüdenscheidt", "Jörg Weiß; jun."];
    let utf16 = |big: bool| -> Vec<u8> {
        text.encode_utf16()
            .flat_map(|unit| {
                if big {
                    unit.to_be_bytes()
                } else {
                    unit.to_le_bytes()
                }
            })
            .collect()
    };
    let latin: Vec<u8> = text
        .chars()
        .map(|c| u8::try_from(u32::from(c)).unwrap())
        .collect();
    let marked = [b"\xef\xbb\xbf".to_vec(), text.as_bytes().to_vec()].concat();
    let marked16 = [b"\xff\xfe".to_vec(), utf16(false)].concat();
    for (bytes, encoding) in [
        (text.as_bytes().to_vec(), "UTF-8"),
        (marked, "UTF-8"),
        (latin, "windows-1252"),
        (utf16(false), "UTF-16LE"),
        (utf16(true), "UTF-16BE"),
        (marked16, "UTF-16LE"),
    ] {
        let preview = read_roster(&bytes, Hints::default(), &[], today()).unwrap();
        assert_eq!((preview.encoding, preview.delimiter), (encoding, ';'));
        assert_eq!(names(&bytes, Hints::default()), expect, "{encoding}");
    }
    for delimiter in [',', '\t', '|'] {
        let other = text
            .replace("\"Weiß; jun.\"", "Weiß")
            .replace(';', &delimiter.to_string());
        let preview = read_roster(other.as_bytes(), Hints::default(), &[], today()).unwrap();
        assert_eq!(preview.delimiter, delimiter);
        assert_eq!(preview.rows.len(), 2);
    }
    assert_eq!(
        names(b"sep=|\nName|Born\nBo, Li|2001-01-01\n", Hints::default()),
        ["Bo, Li"]
    );
    // Which one-byte encoding it is a person must say.
    let cyrillic = b"\xc8\xec\xff\r\n\xc7\xee\xff\r\n";
    let hints = Hints {
        encoding: Some("windows-1251"),
        delimiter: None,
    };
    assert_eq!(names(cyrillic, hints), ["Зоя"]);
    let shift = b"\x8e\x81\x96\xbc\r\n\x8d\x95\x92\xaa \x94\xfc\x94g\r\n";
    let hints = Hints {
        encoding: Some("shift_jis"),
        delimiter: None,
    };
    assert_eq!(names(shift, hints), ["黒潮 美波"]);
}

#[test]
fn every_bad_row_is_named_and_then_none_is_taken() {
    let file = "Name,Born,Emergency contact,Emergency phone,Phone\n\
        Bo Li,2001-04-03,,,\n\
        ,2001-04-03,,,\n\
        Kilian,31.31.2001,,,\n\
        Zoya,4/3/2001,,,\n\
        Tom,2030-01-01,,,\n\
        Ana,2001-01-01,Mother,,\n\
        Lê,2001-01-01\n\
        Nine,2001-01-01,A,B,\"never closed\n\
        still\",\n";
    let preview = read_roster(file.as_bytes(), Hints::default(), &[], today()).unwrap();
    let found: Vec<_> = preview
        .faults
        .iter()
        .map(|fault| (fault.line, fault.field, fault.reason.clone()))
        .collect();
    assert_eq!(
        found,
        [
            (3, Some(RosterField::Name), RowReason::NoName),
            (4, Some(RosterField::Born), RowReason::NoDate),
            (5, Some(RosterField::Born), RowReason::TwoDates),
            (6, Some(RosterField::Born), RowReason::OtherCentury),
            (7, Some(RosterField::EmergencyName), RowReason::HalfContact),
            (
                8,
                None,
                RowReason::Fields {
                    found: 2,
                    expected: 5
                }
            ),
            (
                9,
                None,
                RowReason::Fields {
                    found: 6,
                    expected: 5
                }
            ),
            (9, Some(RosterField::Contact), RowReason::Quotes),
        ]
    );
    assert_eq!(preview.rows.len(), 1);
    // No fault quotes what stands in a cell.
    for fault in &preview.faults {
        let said = fault.to_string();
        for name in ["Kilian", "Zoya", "Tom", "Ana", "Mother", "Nine"] {
            assert!(!said.contains(name), "{said}");
        }
    }
    assert_eq!(
        preview.accept(Twins::Take).unwrap_err(),
        RosterFault::BadRows { count: 8 }
    );
}

#[test]
fn people_who_are_there_already_are_recognised() {
    let person = |name: &str, born| PersonDetails {
        name: name.into(),
        called: None,
        born,
        adult: None,
        contact: None,
        emergency: None,
        body: None,
        sizes: None,
    };
    let student = StudentId::new(Uuid::from_u128(1));
    let known = [Known {
        student,
        details: person("Odile  färber", Some(day(2001, 4, 3))),
    }];
    let file = "Name,Born\nOdile Färber,2001-04-03\nOdile Färber,1999-01-01\nBo Li,\nbo li,\n";
    let preview = read_roster(file.as_bytes(), Hints::default(), &known, today()).unwrap();
    let twins: Vec<_> = preview.rows.iter().map(|row| row.twin).collect();
    assert_eq!(
        twins,
        [
            Some(Twin::Student(student)),
            None,
            None,
            Some(Twin::Line(4))
        ]
    );
    assert_eq!(
        preview.clone().accept(Twins::LeaveOut).unwrap().joins.len(),
        2
    );
    assert_eq!(preview.accept(Twins::Take).unwrap().joins.len(), 4);
}

#[test]
fn a_file_that_is_no_roster_is_refused_as_a_whole() {
    let read = |bytes: &[u8]| read_roster(bytes, Hints::default(), &[], today()).unwrap_err();
    assert_eq!(read(b""), RosterFault::Sheet(SheetFault::Empty));
    assert_eq!(read(b"  \r\n \n"), RosterFault::Sheet(SheetFault::Empty));
    assert_eq!(
        read(b"Bo Li,2001\nTom,1999\n"),
        RosterFault::NoNameColumn { columns: 2 }
    );
    assert_eq!(
        read(b"PK\x03\x04\x00\x00\x00spreadsheet"),
        RosterFault::Sheet(SheetFault::NotText)
    );
    assert_eq!(
        read(b"Name,Full name\nx,y\n"),
        RosterFault::TwoColumns(TwoColumns {
            first: 1,
            second: 2,
            field: RosterField::Name
        })
    );
    let hints = Hints {
        encoding: Some("klingon"),
        delimiter: None,
    };
    assert_eq!(
        read_roster(b"Name\nx\n", hints, &[], today()).unwrap_err(),
        RosterFault::Sheet(SheetFault::UnknownEncoding {
            asked: "klingon".into()
        })
    );
    let many = format!("Name\n{}", "x\n".repeat(10_001));
    assert_eq!(
        read(many.as_bytes()),
        RosterFault::Sheet(SheetFault::TooManyRows { most: 10_000 })
    );
    // Bytes that are no text in the encoding name their row.
    let preview = read_roster(
        b"\xef\xbb\xbfName\nBo\nT\xfcm\n",
        Hints::default(),
        &[],
        today(),
    )
    .unwrap();
    assert_eq!(preview.faults.len(), 1);
    assert_eq!(
        (preview.faults[0].line, preview.faults[0].reason.clone()),
        (3, RowReason::Undecodable)
    );
}

#[test]
fn a_bad_row_is_named_by_the_line_an_editor_shows_however_the_lines_end() {
    for end in ["\n", "\r\n", "\r"] {
        let lines = [
            "name,contact",
            "",
            "Tove Lindqvist,x",
            "\"Hannu",
            "Kivelä\",x",
            ",x",
            "",
        ];
        let text = lines.join(end);
        let preview = read_roster(text.as_bytes(), Hints::default(), &[], today()).unwrap();
        let bad: Vec<u64> = preview.faults.iter().map(|fault| fault.line).collect();
        assert_eq!(bad, [4, 6], "{end:?}");
        let good: Vec<u64> = preview.rows.iter().map(|row| row.line).collect();
        assert_eq!(good, [3], "{end:?}");
    }
}
