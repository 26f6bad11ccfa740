//! What a student takes home: met, open, next and own dives, and nothing of anybody else.

use quick_xml::Reader;
use quick_xml::events::Event;
use tallywater_core::course::{DiveLog, GasUsed, WaterKind};
use tallywater_core::desk::paper::{PaperError, TakeHome};
use tallywater_core::desk::{DeskError, Request};
use tallywater_core::entry::{Mark, Who};
use tallywater_core::paper::data::{UddfError, read_uddf};
use tallywater_core::paper::{Fonts, Language, Press};
use tallywater_core::view::{RecordView, Units};

use crate::paper_data::in_the_order_of_the_schema;
use crate::paper_tools::Opened;
use crate::support::devices::{Device, NAMES, School, meet, plan, time};

fn press(language: Language) -> Press {
    let mut press = Press::new(Fonts::bundled().unwrap()).unwrap();
    press.language = language;
    press
}

/// Logs a dive of that morning, so deep; answers it.
fn record_dive(school: &School, who: Who, max_depth_cm: u32) -> DiveLog {
    let log = DiveLog {
        down: time("2026-06-06T08:00:00+02:00"),
        up: time("2026-06-06T08:31:00+02:00"),
        max_depth_cm,
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
    school.instructor.record(Request::LogDive {
        course: school.course,
        who,
        session: None,
        log: log.clone(),
    });
    log
}

/// A school with marks, a dive with a profile, and a next session with something to bring.
fn school() -> School {
    let school = School::new(3);
    let by = &school.instructor;
    by.mark(&school, 0, "mask-full", Mark::Met);
    by.mark(&school, 0, "reg-recover", Mark::NotYet);
    by.mark(&school, 1, "mask-full", Mark::NotYet);
    record_dive(&school, Who::Student(school.students[0]), 1_150);
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
    println!("## What waits for the school is counted: a rule's id says nothing to a student");
    let course = &school.instructor.desk;
    let rules = course.with_course(&school.course, |course| {
        let ids = course.rules().map(|rule| rule.id.to_string());
        ids.collect::<Vec<_>>()
    });
    let rules = rules.unwrap();
    assert!(rules.len() > 10);
    for id in &rules {
        assert!(!text.contains(id.as_str()), "{id} in {text}");
        assert!(!printed.contains(id.as_str()), "{id} on paper: {printed}");
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

/// Nothing in the file loads, sends, follows or runs anything: no tag, no attribute, no rule of
/// its style, and no address but the names of the two formats.
fn asks_nothing(html: &str, attributes: &[(String, String, String)]) {
    for tag in [
        "<script",
        "<link",
        "<iframe",
        "<img",
        "<object",
        "<embed",
        "<form",
        "<base",
        "<video",
        "<audio",
        "<source",
        "<use",
        "<image",
        "<a ",
        "@import",
        "url(",
        "@font-face",
        "http-equiv=\"refresh\"",
    ] {
        assert!(!html.contains(tag), "{tag}");
    }
    let formats = attributes.iter().filter(|(_, name, value)| {
        name == "xmlns" && (value.ends_with("/1999/xhtml") || value.ends_with("/2000/svg"))
    });
    let named = formats.count();
    let addresses = attributes
        .iter()
        .filter(|(_, _, value)| value.contains("://") || value.starts_with("//"));
    assert_eq!(addresses.count(), named, "an address in an attribute");
    for (tag, name, value) in attributes {
        assert!(!name.starts_with("on"), "{tag} {name}={value}");
        assert!(name != "style", "{tag} {name}={value}");
    }
}

#[test]
fn nothing_that_was_typed_makes_the_page_ask_for_anything() {
    let school = school();
    let student = school.students[0];
    let site = r#"</p><img src="http://192.0.2.1/a.png" onerror='x'>"#;
    let typed = site
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;");
    let log = later_log(&school, 0).replace("Heron Ledge", &typed);
    let desk = &school.instructor.desk;
    let taken = desk.take_own_dives(&school.course, &student, log.as_bytes());
    assert_eq!(taken.unwrap().logged, 1);
    let found = page(&school, 0, Language::English);
    let (_, attributes) = read(&found.html);
    asks_nothing(&found.html, &attributes);
    assert!(found.html.contains("192.0.2.1"), "it is there as a text");
    // And in the log that goes on.
    let text = String::from_utf8(found.uddf).unwrap();
    in_the_order_of_the_schema(&text);
    assert!(
        text.contains("192.0.2.1") && !text.contains("<img"),
        "{text}"
    );
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
        asks_nothing(&found.html, &attributes);
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

/// The log that the student goes on with: the course's dive as it was taken home, and one more.
fn later_log(school: &School, student: usize) -> String {
    let taken_home = page(school, student, Language::English).uddf;
    let taken_home = String::from_utf8(taken_home).unwrap();
    let more = r#"<dive id="later"><informationbeforedive><link ref="reef"/>
<datetime>2026-06-06T12:00:00+02:00</datetime></informationbeforedive>
<samples><waypoint><depth>0</depth><divetime>0</divetime></waypoint>
<waypoint><depth>14.2</depth><divetime>600</divetime></waypoint>
<waypoint><depth>0</depth><divetime>2100</divetime></waypoint></samples>
<informationafterdive><greatestdepth>14.2</greatestdepth><diveduration>2100</diveduration>
</informationafterdive></dive></repetitiongroup>"#;
    let site = r#"<site id="reef"><name>Heron Ledge</name></site></divesite>"#;
    taken_home
        .replace("</repetitiongroup>", more)
        .replace("</divesite>", site)
}

fn record_of(school: &School, by: &Device, student: usize) -> RecordView {
    let id = school.students[student];
    let seen = by
        .desk
        .look(&school.course, Units::Metric, |course, reader| {
            RecordView::of(course, reader, &id)
        });
    seen.unwrap().unwrap()
}

#[test]
fn a_student_takes_home_a_log_of_their_own_dives_that_any_program_reads() {
    let school = school();
    // Somebody else's dive, and one of the staff.
    let mut log = record_dive(&school, Who::Student(school.students[1]), 1_200);
    record_dive(&school, Who::Staff(school.renate), 1_300);
    let bytes = page(&school, 0, Language::German).uddf;
    let text = String::from_utf8(bytes.clone()).unwrap();
    in_the_order_of_the_schema(&text);
    let home = chrono::FixedOffset::east_opt(0).unwrap();
    let read = read_uddf(&bytes, home).unwrap();
    assert_eq!(read.len(), 1, "nobody else's dive");
    log.max_depth_cm = 1_150;
    assert_eq!(read[0].log, log);
    assert!(text.contains("<lastname>Brandvoll</lastname>"));
    let signed = "<para>logged by: Renate Solheim, instructor, 2026-06-06 ";
    assert!(text.contains(signed), "{text}");
    for other in &NAMES[1..3] {
        for part in other.split(' ') {
            assert!(!text.contains(part), "{part}");
        }
    }
    assert_eq!(
        read_uddf(&page(&school, 2, Language::English).uddf, home),
        Ok(Vec::new())
    );
}

#[test]
fn dives_of_the_students_own_log_come_in_once_and_count_for_nothing_in_the_course() {
    let school = school();
    let (by, student) = (&school.assistant, school.students[0]);
    meet(&school.instructor, by);
    let before = record_of(&school, by, 0);
    let papers = by.desk.papers(&school.course).unwrap();
    let proof = papers.record(&student).unwrap().proof;
    let file = later_log(&school, 0);
    by.stamps.shift(chrono::Duration::hours(6));
    let take = |text: &str| {
        by.desk
            .take_own_dives(&school.course, &student, text.as_bytes())
    };
    println!("## Looked at first: one of them is new, and nothing is recorded");
    let seen = by
        .desk
        .look_at_own_dives(&school.course, &student, file.as_bytes())
        .unwrap();
    let here: Vec<bool> = seen.dives.iter().map(|one| one.here).collect();
    assert_eq!((here, seen.of_another), (vec![true, false], None));
    assert!(record_of(&school, by, 0).own_dives.is_empty());
    println!("## Taken in once, by whoever took it in");
    let taken = take(&file).unwrap();
    assert_eq!((taken.logged, taken.left_out), (1, 1));
    let again = take(&file).unwrap();
    assert_eq!((again.logged, again.left_out), (0, 2));
    let after = record_of(&school, by, 0);
    let [own] = after.own_dives.as_slice() else {
        panic!("{} own dives", after.own_dives.len())
    };
    assert_eq!(own.max_depth.to_string(), "14.2 m");
    assert_eq!(own.site.as_deref(), Some("Heron Ledge"));
    assert_eq!(own.by.name, "Bo Merriweather");
    println!("## The record is what it was, to the last sign of its fingerprint");
    let dives = |record: &RecordView| -> Vec<_> {
        let dives = record.dives.iter();
        dives.map(|dive| (dive.entry, dive.number)).collect()
    };
    assert_eq!(dives(&after), dives(&before));
    assert_eq!(after.gaps.len(), before.gaps.len());
    assert_eq!(after.considered, before.considered);
    let papers = by.desk.papers(&school.course).unwrap();
    assert_eq!(papers.record(&student).unwrap().proof.own, proof.own);
    println!("## The page says what it is, and the next log has both");
    meet(by, &school.instructor);
    let found = page(&school, 0, Language::English);
    let (text, _) = read(&found.html);
    let printed = Opened::new("student-page-own", &found.pdf).running_text();
    for said in ["Own dives, not of the course", "Heron Ledge", "taken in by"] {
        assert!(text.contains(said), "{said} in {text}");
        assert!(printed.contains(said), "{said} on paper: {printed}");
    }
    let log = String::from_utf8(found.uddf).unwrap();
    in_the_order_of_the_schema(&log);
    assert_eq!(log.matches("<dive id=").count(), 2);
    assert_eq!(log.matches("own dive, not of the course").count(), 1);
    assert_eq!(log.matches("<purpose>learning</purpose>").count(), 1);
    println!("## And a restart changes nothing");
    let School { assistant, .. } = school;
    let assistant = assistant.reopen();
    let seen = assistant
        .desk
        .look(&after.course, Units::Metric, |course, _| {
            course.own_dives(&student).len()
        });
    assert_eq!(seen.unwrap(), 1);
}

#[test]
fn a_log_that_is_none_or_of_nobody_here_is_refused_and_nothing_is_taken_in() {
    let school = school();
    let desk = &school.instructor.desk;
    let student = school.students[0];
    let bad = desk.take_own_dives(&school.course, &student, b"<log/>");
    assert!(matches!(
        bad.unwrap_err(),
        PaperError::Uddf(UddfError::NotUddf)
    ));
    // A unit that cannot be: all of the file is left.
    let file = later_log(&school, 0);
    let feet = file.replace("<greatestdepth>14.2", "<greatestdepth>1420");
    assert!(matches!(
        desk.take_own_dives(&school.course, &student, feet.as_bytes()),
        Err(PaperError::Uddf(UddfError::OutOfBounds { dive: 2, .. }))
    ));
    let stranger = tallywater_core::course::StudentId::new(uuid::Uuid::from_u128(9));
    assert!(
        desk.take_own_dives(&school.course, &stranger, file.as_bytes())
            .is_err()
    );
    assert!(
        desk.look_at_own_dives(&school.course, &stranger, file.as_bytes())
            .is_err()
    );
    // Somebody else's log says so before it is taken.
    let seen = desk.look_at_own_dives(&school.course, &school.students[1], file.as_bytes());
    assert_eq!(seen.unwrap().of_another.as_deref(), Some(NAMES[0]));
    for n in 0..3 {
        assert!(
            record_of(&school, &school.instructor, n)
                .own_dives
                .is_empty()
        );
    }
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
