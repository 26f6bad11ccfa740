//! A lost buddy and the incident that grows out of it: written on two devices at once, shown in
//! the order of the time that was meant, printed, kept, and read before somebody is forgotten.

use chrono::Duration;
use tallywater_core::course::{Alarm, EntryId};
use tallywater_core::desk::{DeskError, Request};
use tallywater_core::entry::{AlarmEnd, FactAbout, Happening, Kind, PartIn, Refusal, Who};
use tallywater_core::paper::{Fonts, Language, Press};
use tallywater_core::view::{
    ActivityOf, ActivityView, HeadcountView, IncidentView, LostRow, TimelineWhat, Units,
};

use crate::paper_tools::Opened;
use crate::support::devices::{Device, School, day, meet, time};

fn first(recorded: &tallywater_core::desk::Recorded) -> EntryId {
    recorded.entries[0].1
}

fn lose(school: &School, by: &Device) -> EntryId {
    first(&by.record(Request::LoseBuddy {
        course: school.course,
        session: school.session,
        missing: vec![Who::Student(school.students[0])],
        reported_by: Some(Who::Student(school.students[1])),
        when: None,
    }))
}

fn lost(school: &School, by: &Device) -> Vec<LostRow> {
    by.desk
        .look(&school.course, Units::Metric, |course, reader| {
            HeadcountView::of(course, reader, &school.session)
                .unwrap()
                .lost
        })
        .unwrap()
}

fn begin(school: &School, by: &Device, from: Option<EntryId>) -> EntryId {
    first(&by.record(Request::BeginIncident {
        course: school.course,
        session: from.is_none().then_some(school.session),
        who: Vec::new(),
        when: None,
        from,
    }))
}

fn moment(school: &School, incident: EntryId, what: Happening) -> Request {
    Request::AddIncidentMoment {
        course: school.course,
        incident,
        what,
        when: None,
        who: None,
        text: None,
    }
}

fn view(school: &School, by: &Device, incident: EntryId) -> IncidentView {
    by.desk
        .look(&school.course, Units::Metric, |course, reader| {
            IncidentView::of(course, reader, &incident).unwrap()
        })
        .unwrap()
}

fn refused(by: &Device, request: Request) -> Refusal {
    match by.desk.record(request) {
        Err(DeskError::Refused(refusal)) => refusal,
        other => panic!("not refused: {other:?}"),
    }
}

#[test]
fn one_press_on_the_one_device_stands_on_the_waters_screen_of_the_other_until_it_is_over() {
    let school = School::new(3);
    let (by, other) = (&school.instructor, &school.assistant);
    let alarm = lose(&school, other);
    meet(by, other);
    let rows = lost(&school, by);
    assert_eq!(rows.len(), 1);
    assert_eq!(rows[0].missing[0].name(), "Ottilie Brandvoll");
    assert_eq!(
        rows[0].reported_by.as_ref().unwrap().name(),
        "Émile Quatrefaire"
    );
    println!("## A second press of the same hand is the same press");
    other.stamps.shift(-Duration::seconds(3));
    let again = other.record(Request::LoseBuddy {
        course: school.course,
        session: school.session,
        missing: vec![Who::Student(school.students[0])],
        reported_by: Some(Who::Student(school.students[1])),
        when: None,
    });
    assert!(again.entries.is_empty());
    println!("## It does not end before it began, nor in time to come, nor twice");
    let end = |when: Option<&str>| Request::EndAlarm {
        course: school.course,
        alarm,
        how: AlarmEnd::Found,
        when: when.map(time),
    };
    assert_eq!(
        refused(by, end(Some("2026-06-06T08:00:00+02:00"))),
        Refusal::EndsBeforeItBegins { field: "alarm" }
    );
    assert_eq!(
        refused(by, end(Some("2026-06-07T08:00:00+02:00"))),
        Refusal::StillToCome { field: "time" }
    );
    let ended = by.record(end(None));
    assert_eq!(refused(by, end(None)), Refusal::NothingOpen);
    meet(by, other);
    assert!(lost(&school, by).is_empty() && lost(&school, other).is_empty());
    println!("## The end is taken back, and the buddy is missing again");
    let back = by.desk.may_take_back(&ended.entries);
    by.desk.take_back(&back).unwrap();
    meet(by, other);
    assert_eq!(lost(&school, other).len(), 1);
    println!("## And the session's sheet says so");
    let papers = by.desk.papers(&school.course).unwrap();
    let press = Press::new(Fonts::bundled().unwrap()).unwrap();
    let sheet = press
        .session_sheet(&papers.source(), school.session)
        .unwrap();
    let sheet = Opened::new("lost-sheet", &sheet.unwrap());
    sheet.check();
    sheet.nothing_overlaps();
    let text = sheet.running_text();
    for said in [
        "What was raised",
        "NOT FOUND YET",
        "Missing: Ottilie Brandvoll",
    ] {
        assert!(text.contains(said), "{said} in {text}");
    }
}

#[test]
fn two_devices_write_moments_at_once_and_both_see_them_in_the_order_of_the_time_meant() {
    let school = School::new(3);
    let (by, other) = (&school.instructor, &school.assistant);
    let alarm = lose(&school, other);
    meet(by, other);
    let incident = begin(&school, by, Some(alarm));
    meet(by, other);
    println!("## Apart");
    for what in [Happening::AtSurface, Happening::OxygenBegun] {
        by.stamps.shift(Duration::minutes(2));
        by.record(moment(&school, incident, what));
    }
    other.stamps.shift(Duration::minutes(3));
    other.record(moment(&school, incident, Happening::EmergencyCalled));
    println!("## In the evening one more, with the time it was");
    by.stamps.shift(Duration::hours(9));
    by.record(Request::AddIncidentMoment {
        course: school.course,
        incident,
        what: Happening::Other,
        when: Some(time("2026-06-06T09:00:01+02:00")),
        who: Some(Who::Staff(school.bo)),
        text: Some("Saw bubbles by the steps".into()),
    });
    other.record(Request::AddIncidentPerson {
        course: school.course,
        incident,
        part: PartIn::Witness,
        who: Some(Who::Student(school.students[2])),
        text: None,
    });
    meet(by, other);
    let (here, there) = (view(&school, by, incident), view(&school, other, incident));
    let told = |view: &IncidentView| -> Vec<TimelineWhat> {
        view.moments.iter().map(|row| row.what).collect()
    };
    assert_eq!(told(&here), told(&there));
    assert_eq!(
        told(&here),
        [
            TimelineWhat::Happened(Happening::Other),
            TimelineWhat::Raised(Alarm::LostBuddy),
            TimelineWhat::Happened(Happening::AtSurface),
            TimelineWhat::Happened(Happening::EmergencyCalled),
            TimelineWhat::Happened(Happening::OxygenBegun),
        ]
    );
    let evening = &here.moments[0];
    assert!(
        evening.afterwards && evening.written.hour == 18,
        "{:?}",
        evening.written
    );
    assert_eq!(
        here.concerned[0].who.as_ref().unwrap().name(),
        "Ottilie Brandvoll"
    );
    assert_eq!(here.witnesses.len(), 1);
    println!("## A press by mistake is taken back by whoever made it, and still shown");
    let wrong = first(&other.record(moment(&school, incident, Happening::HandedOver)));
    other.record(Request::Withdraw {
        ledger: school.ledger(),
        entry: wrong,
        why: None,
    });
    let moments = view(&school, other, incident).moments;
    let row = moments.iter().find(|row| row.entry == wrong).unwrap();
    assert!(row.withdrawn.is_some());
    println!("## The journal has each of them by its kind");
    let kinds = vec![Kind::IncidentMoment, Kind::IncidentPerson, Kind::Incident];
    let journal = by
        .desk
        .look(&school.course, Units::Metric, |course, reader| {
            let asked = ActivityOf {
                kinds,
                most: 99,
                ..ActivityOf::default()
            };
            ActivityView::of(course, reader, &asked)
        });
    assert_eq!(journal.unwrap().of, 6);
}

#[test]
fn what_hangs_on_nothing_says_nothing_or_is_still_to_come_is_refused_by_name() {
    let school = School::new(1);
    let by = &school.instructor;
    let incident = begin(&school, by, None);
    let nothing = EntryId::new(uuid::Uuid::from_u128(3));
    let add = |text: Option<&str>, when: Option<&str>| Request::AddIncidentMoment {
        course: school.course,
        incident,
        what: Happening::Other,
        when: when.map(time),
        who: None,
        text: text.map(str::to_owned),
    };
    let unknown = |what| Refusal::Unknown { what };
    let empty = |field| Refusal::TextEmpty { field };
    let person = |who, text: Option<&str>| Request::AddIncidentPerson {
        course: school.course,
        incident,
        part: PartIn::Concerned,
        who,
        text: text.map(str::to_owned),
    };
    let fact = |incident, text: &str| Request::AddIncidentFact {
        course: school.course,
        incident,
        about: FactAbout::Kept,
        text: text.into(),
    };
    let made = |report, on: Option<&str>| Request::ReportMade {
        course: school.course,
        report,
        on: on.map(day),
    };
    let report = first(&by.record(Request::AddIncidentReport {
        course: school.course,
        incident,
        to: "The insurer".into(),
        by: Some(day("2026-06-09")),
    }));
    let heads = by.desk.heads(&school.ledger()).unwrap();
    for (request, refusal) in [
        (
            moment(&school, nothing, Happening::Noticed),
            unknown("incident"),
        ),
        (
            moment(&school, report, Happening::Noticed),
            unknown("incident"),
        ),
        (add(None, None), empty("words")),
        (add(Some("  "), None), empty("words")),
        (
            add(Some("late"), Some("2026-07-01T10:00:00+02:00")),
            Refusal::StillToCome { field: "time" },
        ),
        (person(None, None), empty("who")),
        (person(None, Some(" ")), empty("who")),
        (fact(incident, " "), empty("words")),
        (fact(nothing, "Mask, in the office"), unknown("incident")),
        (made(nothing, None), unknown("report")),
        (
            made(report, Some("2026-07-01")),
            Refusal::StillToCome {
                field: "reported on",
            },
        ),
    ] {
        assert_eq!(refused(by, request), refusal);
    }
    let report_in_words = Request::ReportIncident {
        course: school.course,
        session: None,
        who: Vec::new(),
        when: time("2026-06-06T09:00:00+02:00"),
        happened: String::new(),
        done: String::new(),
        reported: None,
    };
    assert_eq!(refused(by, report_in_words), empty("what happened"));
    assert_eq!(by.desk.heads(&school.ledger()).unwrap(), heads);
    println!("## Of an incident that was withdrawn nothing is added");
    by.record(Request::Withdraw {
        ledger: school.ledger(),
        entry: incident,
        why: Some("by mistake".into()),
    });
    assert_eq!(
        refused(by, moment(&school, incident, Happening::Noticed)),
        Refusal::CountsNot { entry: incident }
    );
}

#[test]
fn an_incident_is_printed_with_its_cautions_in_both_languages_and_listed_before_forgetting() {
    let school = School::new(3);
    let by = &school.instructor;
    let alarm = lose(&school, by);
    let incident = begin(&school, by, Some(alarm));
    for what in Happening::ALL {
        by.record(Request::AddIncidentMoment {
            course: school.course,
            incident,
            what,
            when: None,
            who: None,
            text: (what == Happening::Other).then(|| "Rain set in".into()),
        });
    }
    by.record(Request::AddIncidentMoment {
        course: school.course,
        incident,
        what: Happening::Noticed,
        when: Some(time("2026-06-05T23:58:00+02:00")),
        who: None,
        text: None,
    });
    let fact = |about, text: &str| {
        by.record(Request::AddIncidentFact {
            course: school.course,
            incident,
            about,
            text: text.into(),
        })
    };
    fact(FactAbout::Conditions, "Two metres of visibility");
    fact(FactAbout::Kept, "Regulator 14, in the locked cupboard");
    let named = fact(FactAbout::Happened, "Brandvoll turned back at the rope");
    let about = by.record(Request::AddIncidentPerson {
        course: school.course,
        incident,
        part: PartIn::Concerned,
        who: Some(Who::Student(school.students[0])),
        text: Some("cold, tired".into()),
    });
    for (to, due) in [("The insurer", "2026-06-09"), ("The office", "2026-06-01")] {
        by.record(Request::AddIncidentReport {
            course: school.course,
            incident,
            to: to.into(),
            by: Some(day(due)),
        });
    }
    let mut press = Press::new(Fonts::bundled().unwrap()).unwrap();
    let print = |press: &Press, entry| {
        let papers = by.desk.papers(&school.course).unwrap();
        press.incident_sheet(&papers.source(), entry).unwrap()
    };
    for (language, words) in [
        (
            Language::English,
            [
                "Oxygen begun",
                "OVERDUE",
                "Equipment kept as it was",
                "sent to nobody",
            ],
        ),
        (
            Language::German,
            [
                "Sauerstoff begonnen",
                "ÜBERFÄLLIG",
                "aufbewahrt wie sie war",
                "niemandem geschickt",
            ],
        ),
    ] {
        press.language = language;
        let sheet = print(&press, incident).unwrap();
        let sheet = Opened::new(&format!("incident-{language:?}"), &sheet);
        sheet.check();
        sheet.nothing_overlaps();
        sheet.is_archival();
        let text = sheet.running_text();
        let both = [
            "Ottilie Brandvoll",
            "Rain set in",
            "Regulator 14, in the locked cupboard",
            "Renate Solheim",
            "The insurer",
            "2026-06-05",
        ];
        for said in words.into_iter().chain(both) {
            assert!(text.contains(said), "{said} in {text}");
        }
    }
    println!("## Before somebody is forgotten, every text is listed to be read");
    let list = by.desk.texts_to_read(school.students[0]).unwrap();
    let listed: Vec<(EntryId, bool)> = list
        .iter()
        .map(|one| (one.at.entry, one.at.names))
        .collect();
    assert!(listed.contains(&(first(&named), true)), "{listed:?}");
    assert!(listed.contains(&(first(&about), false)), "{listed:?}");
    println!("## What is no incident and what was withdrawn has no sheet");
    assert!(print(&press, alarm).is_none());
    by.record(Request::Withdraw {
        ledger: school.ledger(),
        entry: incident,
        why: None,
    });
    assert!(print(&press, incident).is_none());
}

#[test]
fn a_forgotten_student_has_no_name_on_the_sheet_and_the_rest_of_it_stands() {
    let school = School::new(2);
    let by = &school.instructor;
    let alarm = lose(&school, by);
    let incident = begin(&school, by, Some(alarm));
    by.record(moment(&school, incident, Happening::OutOfWater));
    meet(by, &school.shop);
    school.shop.record(Request::Forget {
        student: school.students[0],
        why: "asked for it".into(),
    });
    meet(by, &school.shop);
    let papers = by.desk.papers(&school.course).unwrap();
    let press = Press::new(Fonts::bundled().unwrap()).unwrap();
    let sheet = press.incident_sheet(&papers.source(), incident).unwrap();
    let text = Opened::new("incident-forgotten", &sheet.unwrap()).running_text();
    assert!(!text.contains("Brandvoll"), "{text}");
    assert!(text.contains("Out of the water"), "{text}");
    let rows = lost(&school, by);
    assert_eq!(rows.len(), 1, "still missing, by whatever name");
}
