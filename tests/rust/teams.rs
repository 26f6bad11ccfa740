//! Buddy pairs and zones: proposed, changed by one move, said apart on two devices, printed.

use std::path::Path;

use tallywater_bindings as border;
use tallywater_core::course::{EntryId, Setting, StationPlan};
use tallywater_core::desk::{DeskError, Request};
use tallywater_core::entry::{Passage, Refusal, Teams, Who, Zone};
use tallywater_core::paper::{Fonts, Language, Press, Slate, SlateSize};
use tallywater_core::view::{HeadcountView, TeamsView, Units};

use crate::paper_tools::Opened;
use crate::support::devices::{Device, School, carry, meet, plan};

fn shown(school: &School, by: &Device) -> TeamsView {
    by.desk
        .look(&school.course, Units::Metric, |course, reader| {
            TeamsView::of(course, reader, &school.session).unwrap()
        })
        .unwrap()
}

fn who(school: &School, n: usize) -> Who {
    Who::Student(school.students[n])
}

fn beside(school: &School, by: &Device, n: usize, other: usize) -> Vec<EntryId> {
    let moved = by.record(Request::MoveBuddy {
        course: school.course,
        session: school.session,
        who: who(school, n),
        beside: Some(who(school, other)),
    });
    moved.entries.into_iter().map(|(_, entry)| entry).collect()
}

fn set(school: &School, teams: Teams, seen: Vec<EntryId>) -> Request {
    Request::SetTeams {
        course: school.course,
        session: school.session,
        teams,
        seen,
    }
}

#[test]
fn one_move_on_the_proposal_keeps_the_whole_of_it_and_the_other_device_shows_it() {
    let school = School::new(4);
    let by = &school.instructor;
    let proposed = shown(&school, by);
    assert!(proposed.kept.is_none());
    assert_eq!(proposed.pairs.len(), 2);
    let first = who(&school, 0);
    let mate = proposed.teams.buddies(&first)[0];
    let other = (0..4)
        .map(|n| who(&school, n))
        .find(|who| *who != first && *who != mate)
        .unwrap();
    let Who::Student(beside_whom) = other else {
        panic!("a student");
    };
    let place = |student| school.students.iter().position(|id| *id == student);
    beside(&school, by, 0, place(beside_whom).unwrap());
    meet(by, &school.assistant);
    let kept = shown(&school, &school.assistant);
    assert_eq!(kept.kept.as_ref().unwrap().by.name, "Renate Solheim");
    assert_eq!(kept.teams.buddies(&first).len(), 2, "three of them");
    assert_eq!(kept.alone.len(), 1, "whom nobody is beside");
    assert_eq!(kept.teams.zones, proposed.teams.zones, "the rest stays");
    println!("## The same move once more is nothing");
    let entries = beside(&school, by, 0, place(beside_whom).unwrap());
    assert!(entries.is_empty());
    println!("## The assistant takes over a student, and a restart changes nothing");
    school.assistant.record(Request::MoveZone {
        course: school.course,
        session: school.session,
        student: school.students[3],
        staff: Some(school.bo),
    });
    let school = School {
        assistant: school.assistant.reopen(),
        ..school
    };
    let teams = shown(&school, &school.assistant).teams;
    assert_eq!(teams.watched_by(&school.students[3]), Some(school.bo));
}

#[test]
fn what_two_devices_say_apart_stays_until_it_is_said_over_both() {
    let school = School::new(4);
    let (by, other) = (&school.instructor, &school.assistant);
    let start = Teams {
        pairs: vec![
            vec![who(&school, 0), who(&school, 1)],
            vec![who(&school, 2), who(&school, 3)],
        ],
        zones: Vec::new(),
    };
    by.record(set(&school, start, Vec::new()));
    meet(by, other);
    beside(&school, by, 0, 2);
    beside(&school, other, 1, 3);
    meet(by, other);
    let (here, there) = (shown(&school, by), shown(&school, other));
    assert_eq!(here.teams, there.teams, "one of them holds everywhere");
    assert_eq!(here.teams.buddies(&who(&school, 0)).len(), 2);
    assert_eq!(here.apart.len(), 1);
    assert_eq!(here.apart[0].by.name, "Bo Merriweather");
    assert!(!here.apart[0].differs.is_empty());
    println!("## Nothing of it bars a headcount, which says that something is open");
    for (device, who) in [(by, who(&school, 0)), (other, who(&school, 1))] {
        device.record(Request::Pass {
            course: school.course,
            session: school.session,
            who,
            passage: Passage::In,
            when: None,
        });
    }
    let count = by
        .desk
        .look(&school.course, Units::Metric, |course, reader| {
            HeadcountView::of(course, reader, &school.session).unwrap()
        })
        .unwrap();
    assert!(count.teams_differ && count.in_water == 1);
    println!("## One more move answers only what it rests on");
    beside(&school, by, 3, 1);
    assert_eq!(shown(&school, by).apart.len(), 1);
    println!("## Said whole over what was on screen, it is settled, on every device");
    let seen = shown(&school, by);
    by.record(set(&school, seen.apart[0].teams.clone(), seen.seen));
    meet(by, other);
    for device in [by, other] {
        let settled = shown(&school, device);
        assert!(settled.apart.is_empty());
        assert!(settled.teams.same_as(&seen.apart[0].teams));
    }
}

#[test]
fn what_came_after_the_screen_was_drawn_is_not_answered_unseen() {
    let school = School::new(4);
    let (by, other) = (&school.instructor, &school.assistant);
    let seen = shown(&school, by).seen;
    beside(&school, other, 0, 2);
    carry(other, by);
    let mut teams = shown(&school, by).teams;
    teams.pairs.truncate(1);
    by.record(set(&school, teams, seen));
    assert_eq!(shown(&school, by).apart.len(), 1);
}

#[test]
fn a_crowd_and_somebody_twice_are_refused_in_words_and_nothing_is_written() {
    let school = School::new(5);
    let by = &school.instructor;
    let one = |n| who(&school, n);
    let zone = |watches: &[usize]| Zone {
        staff: school.bo,
        watches: watches.iter().map(|n| school.students[*n]).collect(),
    };
    let pairs = |pairs: Vec<Vec<Who>>| Teams {
        pairs,
        zones: Vec::new(),
    };
    let zones = |zones: Vec<Zone>| Teams {
        pairs: Vec::new(),
        zones,
    };
    let stranger = Who::Student(tallywater_core::course::StudentId::new(
        uuid::Uuid::from_u128(9),
    ));
    let crowd = Refusal::OutOfBounds {
        field: "buddies",
        value: 4,
        least: 1,
        most: 3,
    };
    let cases = [
        (pairs(vec![vec![one(0), one(1), one(2), one(3)]]), crowd),
        (
            pairs(vec![vec![one(0), one(1)], vec![one(1), one(2)]]),
            Refusal::Twice { what: "buddy" },
        ),
        (
            zones(vec![zone(&[0, 0])]),
            Refusal::Twice { what: "student" },
        ),
        (
            zones(vec![zone(&[0]), zone(&[1])]),
            Refusal::Twice { what: "zone" },
        ),
        (
            pairs(vec![vec![one(0), stranger]]),
            Refusal::Unknown { what: "student" },
        ),
    ];
    let before = by.desk.heads(&school.ledger()).unwrap();
    for (teams, refusal) in cases {
        let answer = by.desk.record(set(&school, teams, Vec::new()));
        assert!(
            matches!(&answer, Err(DeskError::Refused(found)) if *found == refusal),
            "{answer:?} for {refusal}"
        );
    }
    let office = school
        .shop
        .desk
        .record(set(&school, pairs(Vec::new()), Vec::new()));
    assert!(matches!(
        office,
        Err(DeskError::Refused(Refusal::Role { .. }))
    ));
    assert_eq!(by.desk.heads(&school.ledger()).unwrap(), before);
}

#[test]
fn pairs_and_zones_are_printed_on_sheet_and_slate_in_both_languages() {
    let school = School::new(8);
    let by = &school.instructor;
    let papers = || by.desk.papers(&school.course).unwrap();
    let mut press = Press::new(Fonts::bundled().unwrap()).unwrap();
    let sheet = |press: &Press| {
        let sheet = press.session_sheet(&papers().source(), school.session);
        let sheet = Opened::new(
            &format!("teams-sheet-{:?}", press.language),
            &sheet.unwrap().unwrap(),
        );
        sheet.check();
        sheet.nothing_overlaps();
        sheet.running_text()
    };
    assert!(!sheet(&press).contains("Pairs and who watches whom"));
    let kept = shown(&school, by);
    by.record(set(&school, kept.teams.clone(), kept.seen));
    meet(by, &school.assistant);
    beside(&school, &school.assistant, 0, 5);
    beside(&school, by, 0, 6);
    meet(by, &school.assistant);
    for (language, head, apart) in [
        (
            Language::English,
            "Pairs and who watches whom",
            "Said otherwise by Bo Merriweather",
        ),
        (
            Language::German,
            "Tauchpaare und wer wen im Blick hat",
            "Anders gesagt von Bo Merriweather",
        ),
    ] {
        press.language = language;
        let text = sheet(&press);
        assert!(text.contains(head) && text.contains(apart), "{text}");
        assert!(text.contains("Renate Solheim"), "{text}");
        let slate = Slate::of(&papers().source(), school.session, language).unwrap();
        assert!(!slate.teams.is_empty());
        for size in [SlateSize::A5, SlateSize::A6] {
            let printed = press.slate(&slate, size).unwrap();
            let name = format!("teams-slate-{language:?}-{size:?}");
            let opened = Opened::new(&name, &printed);
            opened.check();
            opened.nothing_overlaps();
            let text = opened.running_text();
            assert!(text.contains(head), "{text}");
            assert!(text.contains("Ignatz"), "{text}");
        }
    }
}

#[test]
fn the_planners_pairs_are_what_is_proposed() {
    let school = School::new(4);
    let by = &school.instructor;
    let starts = "2026-06-06T10:00:00+02:00";
    let staff = [school.renate, school.bo];
    let mut laid = plan(&school.students, &staff, Setting::Confined, starts);
    laid.stations = vec![StationPlan {
        staff: school.bo,
        runs: Vec::new(),
        buddies: vec![vec![school.students[0], school.students[3]]],
    }];
    by.record(Request::PlanSession {
        course: school.course,
        session: Some(school.session),
        plan: laid,
    });
    let teams = shown(&school, by).teams;
    assert_eq!(teams.buddies(&who(&school, 0)), [who(&school, 3)]);
    assert_eq!(teams.watched_by(&school.students[0]), Some(school.bo));
}

pub(crate) fn day_of(tablet: &border::Tallywater, folder: &Path) -> (String, String, Vec<String>) {
    let person = tablet
        .start_alone("Grebe Hollow Divers".into(), "Renate Solheim".into())
        .unwrap();
    let made = |request| tablet.record(request).unwrap().made.unwrap();
    let course = made(border::Request::OpenCourse {
        title: "First dives".into(),
        starts: "2026-06-06".into(),
        place: None,
        outline: border::OutlineFrom::School,
        staff: Vec::new(),
    });
    let details = |name: &str| border::PersonDetails {
        name: name.into(),
        called: None,
        born: Some("1990-05-05".into()),
        adult: None,
        contact: None,
        emergency: None,
        body: None,
        sizes: None,
    };
    let students: Vec<String> = ["Tove Lindqvist", "Hannu Kivel\u{e4}", "Ana Sol"]
        .into_iter()
        .map(|name| {
            made(border::Request::Enrol {
                course: course.clone(),
                details: details(name),
                referred_from: None,
            })
        })
        .collect();
    let session = made(border::Request::PlanSession {
        course: course.clone(),
        session: None,
        plan: border::SessionPlan {
            title: "Pool 1".into(),
            block: None,
            setting: Setting::Confined,
            site: "Hollow Lane".into(),
            starts: "2026-06-06T10:00:00+02:00".into(),
            minutes: 90,
            students: students.clone(),
            staff: vec![person],
            run_list: Vec::new(),
            water: border::WaterPlan {
                kind: border::WaterKind::Fresh,
                max_depth_cm: Some(300),
                altitude_m: None,
                temperature_dc: None,
                visibility_dm: None,
                moving: false,
            },
            stations: Vec::new(),
            also: Vec::new(),
            bring: None,
        },
    });
    assert!(folder.join("keys").is_dir());
    (course, session, students)
}

#[test]
fn pairs_a_lost_buddy_and_an_incident_cross_the_border_both_ways() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path().to_str().unwrap().to_owned();
    let tablet = border::Tallywater::open(at).unwrap();
    let (course, session, students) = day_of(&tablet, folder.path());
    let proposed = tablet.teams(course.clone(), session.clone()).unwrap();
    assert!(proposed.kept.is_none());
    assert_eq!(proposed.pairs.len(), 1);
    assert_eq!(proposed.pairs[0].members.len(), 3);
    tablet
        .record(border::Request::SetTeams {
            course: course.clone(),
            session: session.clone(),
            teams: proposed.teams.clone(),
            seen: proposed.seen,
        })
        .unwrap();
    tablet
        .record(border::Request::MoveBuddy {
            course: course.clone(),
            session: session.clone(),
            who: border::Who::Student {
                student: students[2].clone(),
            },
            beside: None,
        })
        .unwrap();
    let kept = tablet.teams(course.clone(), session.clone()).unwrap();
    assert_eq!(kept.kept.unwrap().by.name, "Renate Solheim");
    assert_eq!(kept.alone.len(), 1);
    let lost = tablet
        .record(border::Request::LoseBuddy {
            course: course.clone(),
            session: session.clone(),
            missing: vec![border::Who::Student {
                student: students[0].clone(),
            }],
            reported_by: None,
            when: None,
        })
        .unwrap();
    let alarm = lost.entries[0].entry.clone();
    let water = tablet.headcount(course.clone(), session.clone()).unwrap();
    assert_eq!(water.lost.len(), 1);
    assert_eq!(water.teams.len(), 1);
    let begun = tablet
        .record(border::Request::BeginIncident {
            course: course.clone(),
            session: None,
            who: Vec::new(),
            when: None,
            from: Some(alarm.clone()),
        })
        .unwrap();
    let incident = begun.entries[0].entry.clone();
    tablet
        .record(border::Request::AddIncidentMoment {
            course: course.clone(),
            incident: incident.clone(),
            what: border::Happening::EmergencyCalled,
            when: None,
            who: None,
            text: None,
        })
        .unwrap();
    tablet
        .record(border::Request::EndAlarm {
            course: course.clone(),
            alarm,
            how: border::AlarmEnd::Found,
            when: None,
        })
        .unwrap();
    let view = tablet.incident(course.clone(), incident.clone()).unwrap();
    let told: Vec<_> = view.moments.iter().map(|row| row.what).collect();
    assert_eq!(
        told,
        [
            border::TimelineWhat::Raised(border::Alarm::LostBuddy),
            border::TimelineWhat::Happened(border::Happening::EmergencyCalled),
            border::TimelineWhat::Ended(border::AlarmEnd::Found),
        ]
    );
    assert!(
        tablet
            .headcount(course.clone(), session)
            .unwrap()
            .lost
            .is_empty()
    );
    let setup = border::PaperSetup {
        sheet: border::OfficeSheet::A4,
        language: border::PaperLanguage::English,
        device_fonts: false,
    };
    let sheet = tablet
        .print_incident(course.clone(), incident, setup.clone())
        .unwrap();
    assert!(sheet.starts_with(b"%PDF"));
    let nothing = uuid::Uuid::from_u128(7).to_string();
    let fault = tablet.print_incident(course, nothing, setup).unwrap_err();
    assert!(matches!(fault, border::Fault::NotFound { what, .. } if what == "incident"));
}
