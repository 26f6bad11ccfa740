//! Tables, workbook, calendar and dive log: written by us, read by others, and back.

use std::collections::BTreeMap;
use std::io::Cursor;

use calamine::Reader as _;
use chrono::{DateTime, FixedOffset};
use icalendar::parser::{read_calendar, unfold};
use proptest::prelude::*;
use quick_xml::events::Event;
use tallywater_core::course::{DiveLog, EntryId, GasUsed, KitKind, Setting, Sizes, WaterKind};
use tallywater_core::entry::{SessionCancelled, SessionMoved};
use tallywater_core::paper::data::{
    DiveFor, Tabular, UddfDive, UddfError, activity_csv, calendar, csvw, dives_csv, marks_csv,
    read_uddf, roster_csv, workbook, write_uddf,
};
use tallywater_core::paper::roster::{Hints, read_roster};
use tallywater_core::paper::{Activity, Language, Record};
use uuid::Uuid;

use crate::paper_school::{NAMES, School, day};

fn taught() -> School {
    let mut school = School::open(&["=HYPERLINK(\"x\")", "Odile Färber-Østergård", "黒潮 美波"]);
    for student in school.students.clone() {
        school.clear(student);
    }
    school.teach();
    school.trouble();
    school
}

fn rows(table: &Tabular) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(table.csv.as_slice());
    let heads = reader.headers().unwrap().clone();
    reader
        .records()
        .map(|record| {
            heads
                .iter()
                .zip(&record.unwrap())
                .map(|(head, cell)| {
                    (
                        head.trim_start_matches('\u{feff}').to_owned(),
                        cell.to_owned(),
                    )
                })
                .collect()
        })
        .collect()
}

#[test]
fn tables_are_rfc_4180_and_no_cell_starts_a_formula() {
    let school = taught();
    let standings = school.standings();
    let source = school.source(&standings);
    let tables = [
        roster_csv(&source).unwrap(),
        marks_csv(&source).unwrap(),
        dives_csv(&source).unwrap(),
        activity_csv(&Activity::of([&source])).unwrap(),
    ];
    for table in &tables {
        let text = std::str::from_utf8(&table.csv).unwrap();
        assert!(text.starts_with('\u{feff}') && text.ends_with("\r\n"));
        assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
        let rows = rows(table);
        assert!(!rows.is_empty(), "{:?}", table.name);
        for (head, cell) in rows.iter().flatten() {
            let number = cell.parse::<f64>().is_ok();
            assert!(
                number || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']),
                "{head}"
            );
        }
    }
    let roster = rows(&tables[0]);
    assert_eq!(roster[0]["name"], "'=HYPERLINK(\"x\")");
    assert_eq!(roster[0]["contact"], "'+00 555 0100");
    // One row a mark, whatever became of it.
    let marks: usize = school
        .students
        .iter()
        .flat_map(|student| Record::of(&source, *student).skills)
        .map(|skill| skill.lines.len())
        .sum();
    let written = rows(&tables[1]);
    assert_eq!(written.len(), marks);
    assert_eq!(
        written
            .iter()
            .filter(|row| row["one_of_two_views"] == "true")
            .count(),
        2
    );
    assert_eq!(
        written
            .iter()
            .filter(|row| !row["withdrawn_at"].is_empty())
            .count(),
        1
    );
    assert_eq!(
        written
            .iter()
            .filter(|row| !row["seen_at"].is_empty())
            .count(),
        1
    );
}

#[test]
fn the_description_names_every_column_of_every_table_in_order() {
    let school = taught();
    let standings = school.standings();
    let source = school.source(&standings);
    let tables = [
        roster_csv(&source).unwrap(),
        marks_csv(&source).unwrap(),
        dives_csv(&source).unwrap(),
    ];
    let bytes = csvw(&tables.iter().collect::<Vec<_>>()).unwrap();
    let metadata: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
    assert_eq!(metadata["@context"], "http://www.w3.org/ns/csvw");
    for (table, described) in tables.iter().zip(metadata["tables"].as_array().unwrap()) {
        assert_eq!(described["url"], table.name.file());
        let mut reader = csv::Reader::from_reader(table.csv.as_slice());
        let heads: Vec<String> = reader
            .headers()
            .unwrap()
            .iter()
            .map(|head| head.trim_start_matches('\u{feff}').to_owned())
            .collect();
        let columns = described["tableSchema"]["columns"].as_array().unwrap();
        let names: Vec<&str> = columns
            .iter()
            .map(|column| column["name"].as_str().unwrap())
            .collect();
        assert_eq!(names, heads);
        // Every cell is what its column says it is.
        for row in rows(table) {
            for column in columns {
                let cell = &row[column["name"].as_str().unwrap()];
                if cell.is_empty() {
                    assert_eq!(column["required"], false, "{column}");
                    continue;
                }
                match column["datatype"].as_str().unwrap() {
                    "integer" => assert!(cell.parse::<i64>().is_ok(), "{column} {cell}"),
                    "decimal" => assert!(cell.parse::<f64>().is_ok(), "{column} {cell}"),
                    "boolean" => assert!(cell == "true" || cell == "false"),
                    "date" => assert!(cell.parse::<chrono::NaiveDate>().is_ok(), "{column} {cell}"),
                    "dateTimeStamp" => assert!(
                        DateTime::parse_from_rfc3339(cell).is_ok(),
                        "{column} {cell}"
                    ),
                    "string" => {}
                    other => panic!("{other}"),
                }
            }
        }
        for key in described["tableSchema"]["primaryKey"].as_array().unwrap() {
            assert!(names.contains(&key.as_str().unwrap()));
        }
    }
}

#[test]
fn a_roster_that_went_out_comes_in_again_unchanged() {
    let mut school = taught();
    let first = school.students[0];
    // What somebody wears goes with them, and what of it they bring.
    school.names.get_mut(&first).unwrap().sizes = Some(Sizes {
        suit: "ML, long".into(),
        fins: "42/43".into(),
        bcd: "-S".into(),
        own: [KitKind::Mask, KitKind::Computer].into(),
        ..Sizes::default()
    });
    let standings = school.standings();
    let source = school.source(&standings);
    let table = roster_csv(&source).unwrap();
    let preview = read_roster(&table.csv, Hints::default(), &[], day(2026, 12, 1)).unwrap();
    assert_eq!(preview.faults, []);
    let people: Vec<_> = preview.rows.into_iter().map(|row| row.details).collect();
    let known: Vec<_> = school
        .students
        .iter()
        .map(|student| {
            // That somebody was seen to be of age is said by whoever saw it, and by no table.
            let mut details = school.names[student].clone();
            details.adult = None;
            details
        })
        .collect();
    assert!(people == known);
}

#[test]
fn the_workbook_opens_and_holds_the_board_as_text() {
    let school = taught();
    let standings = school.standings();
    let source = school.source(&standings);
    let bytes = workbook(&source, Language::English).unwrap();
    let mut book: calamine::Xlsx<_> = calamine::Xlsx::new(Cursor::new(bytes)).unwrap();
    let board = book.worksheet_range("Skills").unwrap();
    let outline = source.course.outline().unwrap();
    assert_eq!(board.height(), 1 + school.students.len());
    assert_eq!(board.width(), 1 + outline.skills.len());
    for (column, skill) in outline.skills.iter().enumerate() {
        assert_eq!(board.get((0, column + 1)).unwrap().to_string(), skill.name);
    }
    assert_eq!(board.get((1, 0)).unwrap().to_string(), "=HYPERLINK(\"x\")");
    assert_eq!(board.get((1, 21)).unwrap().to_string(), "marks differ");
    assert_eq!(board.get((2, 1)).unwrap().to_string(), "met");
    // A formula would come back as a formula; there is none.
    assert!(book.worksheet_formula("Skills").unwrap().is_empty());
    assert!(book.worksheet_range("Still open").unwrap().height() > 1);
}

#[test]
fn a_moved_session_keeps_its_uid_and_raises_its_sequence() {
    let mut school = School::open(&NAMES[..3]);
    let run = vec![school.outline.skills[9].id.clone()];
    let session = school.plan("Pool 1; breaths, \"first\"", Setting::Confined, run);
    let read = |school: &School| -> Vec<BTreeMap<String, String>> {
        let standings = school.standings();
        let bytes = calendar(&school.source(&standings), Language::English);
        let text = String::from_utf8(bytes).unwrap();
        assert!(
            text.lines().all(|line| line.len() <= 75),
            "RFC 5545, section 3.1"
        );
        let unfolded = unfold(&text);
        let calendar = read_calendar(&unfolded).unwrap();
        calendar
            .components
            .iter()
            .map(|event| {
                event
                    .properties
                    .iter()
                    .map(|property| {
                        (
                            property.name.as_str().to_owned(),
                            property.val.as_str().to_owned(),
                        )
                    })
                    .collect()
            })
            .collect()
    };
    let first = read(&school);
    assert_eq!(first.len(), 1);
    assert_eq!(first[0]["UID"], session.to_string());
    assert_eq!(first[0]["SEQUENCE"], "0");
    assert_eq!(first[0]["STATUS"], "CONFIRMED");
    // Eight seconds of the school's founding before ten o'clock at its place.
    assert_eq!(first[0]["DTSTART"], "20260601T080008Z");
    for name in NAMES {
        assert!(
            first
                .iter()
                .flatten()
                .all(|(_, value)| !value.contains(name))
        );
    }
    let after = school.standings().course.session_entries(&session);
    let starts = school.now + chrono::Duration::days(2);
    school.by_instructor_after(
        SessionMoved {
            session,
            starts,
            site: "Sillsjön".into(),
            why: "thunder".into(),
        }
        .into(),
        after,
    );
    let moved = read(&school);
    assert_eq!(moved[0]["UID"], first[0]["UID"]);
    assert_eq!(moved[0]["SEQUENCE"], "1");
    assert_eq!(moved[0]["LOCATION"], "Sillsjön");
    let after = school.standings().course.session_entries(&session);
    school.by_instructor_after(
        SessionCancelled {
            session,
            why: "thunder".into(),
        }
        .into(),
        after,
    );
    let cancelled = read(&school);
    assert_eq!(
        (
            cancelled[0]["STATUS"].as_str(),
            cancelled[0]["SEQUENCE"].as_str()
        ),
        ("CANCELLED", "2")
    );
}

/// The order of elements that the published schema, UDDF 3.2.3 of 14 November 2018, asks for
/// where it is a sequence (`xs:sequence`); where it is a set (`xs:all`) any order is right.
const SEQUENCES: &[(&str, &[&str])] = &[
    ("generator", &["name", "type", "version", "datetime"]),
    ("diver", &["owner"]),
    ("owner", &["personal"]),
    ("divesite", &["site"]),
    ("site", &["name", "sitedata"]),
    ("gasdefinitions", &["mix"]),
    ("mix", &["name", "o2", "n2"]),
    ("profiledata", &["repetitiongroup"]),
    ("repetitiongroup", &["dive"]),
    (
        "dive",
        &[
            "informationbeforedive",
            "tankdata",
            "samples",
            "informationafterdive",
        ],
    ),
    ("informationbeforedive", &["link", "datetime", "purpose"]),
    (
        "tankdata",
        &["link", "tankvolume", "tankpressurebegin", "tankpressureend"],
    ),
    ("samples", &["waypoint"]),
    ("waypoint", &["depth", "divetime"]),
    ("notes", &["para"]),
];

fn dive(log: DiveLog) -> UddfDive {
    UddfDive {
        entry: EntryId::new(Uuid::from_u128(7)),
        log,
        site: Some("Sillsjön & <east> jetty".into()),
        purpose: DiveFor::Learning,
        signed: Some("Renate Solheim, instructor, 2026-06-07".into()),
    }
}

fn log() -> DiveLog {
    let down = DateTime::parse_from_rfc3339("2026-06-07T14:22:00+02:00").unwrap();
    DiveLog {
        down,
        up: down + chrono::Duration::minutes(32),
        max_depth_cm: 1_153,
        mean_depth_cm: Some(620),
        ascents: Some(2),
        gas: Some(GasUsed {
            capacity_dl: 120,
            start_mbar: 203_000,
            end_mbar: 94_500,
            oxygen_permille: 320,
        }),
        water: WaterKind::Brackish,
        temperature_dc: Some(-5),
        profile: vec![(0, 0), (60, 512), (1_920, 0)],
    }
}

fn home() -> FixedOffset {
    FixedOffset::east_opt(7_200).unwrap()
}

#[test]
fn a_dive_log_is_in_the_order_and_the_units_of_the_published_schema() {
    let own = UddfDive {
        entry: EntryId::new(Uuid::from_u128(8)),
        purpose: DiveFor::Own,
        ..dive(log())
    };
    let bytes = write_uddf("Bo Li", &[dive(log()), own], log().up).unwrap();
    if let Some(keep) = std::env::var_os("TALLYWATER_PAPERS") {
        std::fs::write(std::path::Path::new(&keep).join("dives.uddf"), &bytes).unwrap();
    }
    let text = String::from_utf8(bytes).unwrap();
    // Kelvin, pascal, cubic metres, shares of one.
    for element in [
        "<lowesttemperature>272.65</lowesttemperature>",
        "<tankpressurebegin>20300000</tankpressurebegin>",
        "<tankvolume>0.0120</tankvolume>",
        "<o2>0.320</o2>",
        "<greatestdepth>11.53</greatestdepth>",
        "<diveduration>1920.000</diveduration>",
        "<name>Sillsjön &amp; &lt;east&gt; jetty</name>",
        "<purpose>learning</purpose>",
        "<para>logged by: Renate Solheim, instructor, 2026-06-07</para>",
        "<para>own dive, not of the course</para>",
        "xmlns=\"http://www.streit.cc/uddf/3.2/\" version=\"3.2.3\"",
    ] {
        assert!(text.contains(element), "{element}\n{text}");
    }
    in_the_order_of_the_schema(&text);
}

/// Every element of a dive log where the published schema has it, and every link with its end.
pub(crate) fn in_the_order_of_the_schema(text: &str) {
    let mut reader = quick_xml::Reader::from_str(text);
    let mut path: Vec<String> = Vec::new();
    let mut children: Vec<Vec<String>> = vec![Vec::new()];
    let mut ids = std::collections::BTreeSet::new();
    let mut links = Vec::new();
    let mut checked = 0;
    loop {
        match reader.read_event().unwrap() {
            Event::Start(start) => {
                let name = start.local_name().as_ref().to_owned();
                children.last_mut().unwrap().push(name.clone());
                children.push(Vec::new());
                path.push(name);
                for attribute in start.attributes().flatten() {
                    if attribute.key.as_ref() == "id" {
                        assert!(
                            ids.insert(attribute.value.to_string()),
                            "an id is used twice"
                        );
                    }
                }
            }
            Event::Empty(start) => {
                children
                    .last_mut()
                    .unwrap()
                    .push(start.local_name().as_ref().to_owned());
                links.extend(
                    start
                        .attributes()
                        .flatten()
                        .map(|attribute| attribute.value.to_string()),
                );
            }
            Event::End(_) => {
                let (name, found) = (path.pop().unwrap(), children.pop().unwrap());
                if let Some((_, order)) = SEQUENCES.iter().find(|(known, _)| *known == name) {
                    let places: Vec<usize> = found
                        .iter()
                        .map(|child| {
                            order
                                .iter()
                                .position(|known| known == child)
                                .unwrap_or_else(|| panic!("{child} in {name}"))
                        })
                        .collect();
                    assert!(places.is_sorted(), "{name}: {found:?}");
                    checked += 1;
                }
            }
            Event::Eof => break,
            _ => {}
        }
    }
    assert!(checked >= SEQUENCES.len());
    assert!(
        !links.is_empty() && links.iter().all(|target| ids.contains(target)),
        "{links:?} {ids:?}"
    );
}

#[test]
fn a_dive_goes_out_and_comes_back_with_nothing_lost() {
    let bytes = write_uddf("Bo Li", &[dive(log())], log().up).unwrap();
    let read = read_uddf(&bytes, home()).unwrap();
    assert_eq!(read.len(), 1);
    assert_eq!(read[0].log, log());
    assert_eq!(read[0].site.as_deref(), Some("Sillsjön & <east> jetty"));
}

#[test]
fn a_file_in_bar_or_in_celsius_is_refused_and_says_what_was_meant() {
    let good = String::from_utf8(write_uddf("Bo Li", &[dive(log())], log().up).unwrap()).unwrap();
    for (from, to, element, hint) in [
        ("272.65", "14.2", "lowesttemperature", "kelvin"),
        ("20300000", "203", "tankpressurebegin", "pascal"),
        ("9450000", "94", "tankpressureend", "pascal"),
        ("0.0120", "12", "tankvolume", "cubic metres"),
        ("0.320", "32", "o2", "shares of one"),
        ("11.53", "1153", "greatestdepth", "metres"),
    ] {
        assert!(good.contains(from), "{from}");
        let bad = good.replace(from, to);
        let error = read_uddf(bad.as_bytes(), home()).unwrap_err();
        assert!(
            matches!(error, UddfError::OutOfBounds { dive: 1, element: found, .. } if found == element),
            "{error}"
        );
        assert!(error.to_string().contains(hint), "{error}");
    }
    for (from, to, says) in [
        (
            "<greatestdepth>11.53</greatestdepth>",
            "",
            "dive 1: greatestdepth is missing",
        ),
        ("11.53", "deep", "dive 1: greatestdepth cannot be read"),
        ("3.2.3", "9.9", "the file is UDDF 9.9"),
    ] {
        let error = read_uddf(good.replacen(from, to, 1).as_bytes(), home()).unwrap_err();
        assert!(error.to_string().starts_with(says), "{error}");
    }
    assert_eq!(read_uddf(b"<log/>", home()), Err(UddfError::NotUddf));
    assert!(matches!(
        read_uddf(&good.as_bytes()[..300], home()),
        Err(UddfError::NotXml { .. })
    ));
}

#[test]
fn a_dive_log_without_a_beginning_is_refused() {
    for nothing in [
        &b""[..],
        b"  \n",
        b"\x00\x01\x02",
        b"a season of dives",
        b"<!-- log -->",
    ] {
        assert_eq!(
            read_uddf(nothing, home()),
            Err(UddfError::NotUddf),
            "{nothing:?}"
        );
    }
    let good = String::from_utf8(write_uddf("Bo Li", &[dive(log())], log().up).unwrap()).unwrap();
    // The file has a time of its own above the dives: it must not stand in for the dive's.
    let begin = good.rfind("<datetime>").unwrap();
    let end = good.rfind("</datetime>").unwrap() + "</datetime>".len();
    for (instead, says) in [
        ("", "dive 1: datetime is missing"),
        ("<datetime></datetime>", "dive 1: datetime cannot be read"),
        (
            "<datetime>2026-06-07</datetime>",
            "dive 1: datetime cannot be read",
        ),
    ] {
        let without = format!("{}{instead}{}", &good[..begin], &good[end..]);
        let error = read_uddf(without.as_bytes(), home()).unwrap_err();
        assert_eq!(error.to_string(), says);
    }
}

proptest! {
    #[test]
    fn every_dive_survives_the_round_trip(
        minutes in 0_i64..300, millis in 0_i64..1000, deep in 50_u32..10_000, share in 0_u32..=100,
        ascents in proptest::option::of(1_u8..40),
        gas in proptest::option::of((5_u16..400, 1_000_u32..350_000, 0_u32..=100, 209_u16..=1_000)),
        water in 0_usize..3, temperature in proptest::option::of(-20_i16..450),
        steps in proptest::collection::vec((1_u32..60, 0_u32..10_000), 0..40),
    ) {
        let down = DateTime::parse_from_rfc3339("2026-06-07T14:22:00-03:30").unwrap();
        let mut at = 0;
        let original = DiveLog {
            down,
            up: down + chrono::Duration::minutes(minutes) + chrono::Duration::milliseconds(millis),
            max_depth_cm: deep,
            mean_depth_cm: (share > 50).then_some(deep * share / 100),
            ascents,
            gas: gas.map(|(capacity_dl, start_mbar, share, oxygen_permille)| {
                let end_mbar = start_mbar * share / 100;
                // Below ten millibar a figure cannot be told from bar.
                GasUsed { capacity_dl, start_mbar, end_mbar: if end_mbar < 10 { 0 } else { end_mbar }, oxygen_permille }
            }),
            water: [WaterKind::Fresh, WaterKind::Brackish, WaterKind::Salt][water],
            temperature_dc: temperature,
            profile: steps.iter().map(|(step, depth)| { at += step; (at, *depth) }).collect(),
        };
        let bytes = write_uddf("Bo Li", &[dive(original.clone())], down).unwrap();
        let read = read_uddf(&bytes, home()).unwrap();
        prop_assert_eq!(&read[0].log, &original);
    }

    #[test]
    fn no_bytes_make_the_readers_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let _ = read_uddf(&bytes, home());
        let _ = read_roster(&bytes, Hints::default(), &[], day(2026, 6, 1));
    }
}
