//! What a student takes home: met, open, next and own dives, and nothing of anybody else.

use quick_xml::Reader;
use quick_xml::events::Event;
use tallywater_core::course::{DiveLog, GasUsed, WaterKind};
use tallywater_core::desk::paper::{PaperError, TakeHome};
use tallywater_core::desk::{DeskError, Request};
use tallywater_core::entry::{Mark, Who};
use tallywater_core::paper::{Fonts, Language, Press};

use crate::paper_tools::Opened;
use crate::support::devices::{NAMES, School, plan, time};

fn press(language: Language) -> Press {
    let mut press = Press::new(Fonts::bundled().unwrap()).unwrap();
    press.language = language;
    press
}

/// A school with marks, a dive with a profile, and a next session with something to bring.
fn school() -> School {
    let school = School::new(3);
    let by = &school.instructor;
    by.mark(&school, 0, "mask-full", Mark::Met);
    by.mark(&school, 0, "reg-recover", Mark::NotYet);
    by.mark(&school, 1, "mask-full", Mark::NotYet);
    let log = DiveLog {
        down: time("2026-06-06T08:00:00+02:00"),
        up: time("2026-06-06T08:31:00+02:00"),
        max_depth_cm: 1_150,
        mean_depth_cm: None,
        ascents: Some(1),
        gas: Some(GasUsed {
            capacity_dl: 120,
            start_mbar: 200_000,
            end_mbar: 90_000,
            oxygen_permille: 209,
        }),
        water: WaterKind::Fresh,
        temperature_dc: Some(140),
        profile: vec![(0, 0), (300, 1_150), (900, 900), (1_500, 600), (1_860, 0)],
    };
    by.record(Request::LogDive {
        course: school.course,
        who: Who::Student(school.students[0]),
        session: None,
        log,
    });
    let mut next = plan(
        &school.students,
        &[school.renate],
        tallywater_core::course::Setting::Confined,
        "2026-06-08T18:00:00+02:00",
    );
    next.title = "Pool 2: <mask> & more".into();
    next.bring = Some("towel & logbook".into());
    by.record(Request::PlanSession {
        course: school.course,
        session: None,
        plan: next,
    });
    // The session of the day is over.
    by.stamps.shift(chrono::Duration::hours(6));
    school
}

fn page(school: &School, student: usize, language: Language) -> TakeHome {
    let student = school.students[student];
    let desk = &school.instructor.desk;
    desk.student_page(&school.course, &student, &press(language))
        .unwrap()
}

/// The text of the file, read as XML: tags and attributes beside it.
fn read(html: &str) -> (String, Vec<(String, String, String)>) {
    let mut reader = Reader::from_str(html);
    reader.config_mut().check_end_names = true;
    let (mut text, mut attributes) = (String::new(), Vec::new());
    loop {
        match reader.read_event().unwrap() {
            Event::Eof => break,
            Event::Text(part) => {
                text.push_str(&part);
                text.push(' ');
            }
            Event::GeneralRef(name) => {
                let letter = match name.as_ref() {
                    "amp" => "&",
                    "lt" => "<",
                    "gt" => ">",
                    "quot" => "\"",
                    _ => "'",
                };
                text.push_str(letter);
                text.push(' ');
            }
            Event::Start(tag) | Event::Empty(tag) => {
                let name = tag.name().as_ref().to_owned();
                for attribute in tag.attributes() {
                    let attribute = attribute.unwrap();
                    attributes.push((
                        name.clone(),
                        attribute.key.as_ref().to_owned(),
                        attribute.value.into_owned(),
                    ));
                }
            }
            _ => {}
        }
    }
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    (text, attributes)
}

#[test]
fn a_students_page_says_what_is_met_what_is_open_and_what_comes_next() {
    let school = school();
    let found = page(&school, 0, Language::English);
    let (text, attributes) = read(&found.html);
    let paper = Opened::new("student-page-en", &found.pdf);
    paper.check();
    paper.is_archival();
    paper.nothing_overlaps();
    let printed = paper.running_text();
    for said in [
        "Ottilie Brandvoll",
        "Grebe Hollow Divers",
        "Your course so far",
        "2026-06-08 18:00",
        "Hollow Lane pool",
        "Maximum depth 11.5 m",
        "31:00 min",
        "200 bar",
        // The session of the day counts as dived until it is logged: two dives, 18 hours.
        "Do not fly before 2026-06-07",
    ] {
        assert!(text.contains(said), "{said} in {text}");
        assert!(printed.contains(said), "{said} on paper: {printed}");
    }
    for said in ["towel & logbook", "<mask> & more"] {
        let said: String = said.split_whitespace().collect();
        let squeezed: String = text.split_whitespace().collect();
        assert!(squeezed.contains(&said), "{said} in {squeezed}");
    }
    assert!(printed.contains("towel & logbook"), "{printed}");
    // The profile is drawn in one stroke through its samples, and said in words.
    let strokes = attributes
        .iter()
        .filter(|(tag, name, at)| tag == "path" && name == "d" && at.matches(" L ").count() >= 3);
    assert_eq!(strokes.count(), 1);
    for said in [
        "Depth over time: Maximum depth 11.5 m",
        "held against 9.1 m/min",
    ] {
        assert!(text.contains(said), "{said} in {text}");
        assert!(printed.contains(said), "{said} on paper: {printed}");
    }
    // The fingerprint is the one that a printed record has.
    let papers = school.instructor.desk.papers(&school.course).unwrap();
    let record = papers.record(&school.students[0]).unwrap();
    assert!(text.contains(&record.proof.own.grouped()), "{text}");
    assert!(printed.contains(&record.proof.own.grouped()[..24]));
}

#[test]
fn a_students_page_names_nobody_else_and_asks_no_network_for_anything() {
    let school = school();
    for language in [Language::English, Language::German] {
        let found = page(&school, 0, language);
        let printed = Opened::new("student-page-alone", &found.pdf).running_text();
        for other in &NAMES[1..3] {
            for part in other.split(' ') {
                assert!(!found.html.contains(part), "{part}");
                assert!(!printed.contains(part), "{part}");
            }
        }
        // Nor does it say what is to be expected of anybody.
        for word in ["likely", "forecast", "wahrscheinlich", "Vorhersage"] {
            assert!(
                !found.html.contains(word) && !printed.contains(word),
                "{word}"
            );
        }
        let (_, attributes) = read(&found.html);
        let loads = [
            "src",
            "href",
            "srcset",
            "data",
            "action",
            "poster",
            "xlink:href",
        ];
        for (tag, name, value) in &attributes {
            assert!(!loads.contains(&name.as_str()), "{tag} {name}={value}");
            let is_name_space = name == "xmlns";
            assert!(
                is_name_space || !value.contains("://"),
                "{tag} {name}={value}"
            );
        }
        for tag in ["<script", "<link", "<iframe", "<img", "@import", "url("] {
            assert!(!found.html.contains(tag), "{tag}");
        }
        let policy = attributes.iter().any(|(tag, name, value)| {
            tag == "meta" && name == "content" && value.starts_with("default-src 'none'")
        });
        assert!(policy);
        assert!(found.html.len() < 64 * 1024, "{} bytes", found.html.len());
    }
}

#[test]
fn a_students_page_speaks_the_students_language_and_shows_no_wait_that_is_over() {
    let school = school();
    let found = page(&school, 0, Language::German);
    let (text, attributes) = read(&found.html);
    for said in [
        "Dein Kurs bis hierher",
        "Nächster Termin",
        "Mitzubringen",
        "Nicht fliegen vor",
    ] {
        assert!(text.contains(said), "{said} in {text}");
    }
    let tag = attributes
        .iter()
        .find(|(tag, name, _)| tag == "html" && name == "lang");
    assert_eq!(tag.unwrap().2, "de");
    Opened::new("student-page-de", &found.pdf).check();
    let another = page(&school, 1, Language::English);
    // In the session of the day, of which nobody logged anything: that counts as a dive.
    assert!(another.html.contains("Do not fly"), "taken for dived");
    assert!(another.html.contains("No dive of yours is logged yet."));
    school.instructor.stamps.shift(chrono::Duration::days(3));
    let later = page(&school, 0, Language::English);
    assert!(!later.html.contains("Do not fly"));
    assert!(later.html.contains("No session is planned for you yet."));
}

#[test]
fn a_page_of_nobody_in_the_course_is_refused() {
    let school = School::new(1);
    let stranger = tallywater_core::course::StudentId::new(uuid::Uuid::from_u128(9));
    let desk = &school.instructor.desk;
    let found = desk.student_page(&school.course, &stranger, &press(Language::English));
    assert!(matches!(
        found.unwrap_err(),
        PaperError::Desk(DeskError::NotFound {
            what: "student",
            ..
        })
    ));
}
