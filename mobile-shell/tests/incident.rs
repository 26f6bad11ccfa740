//! An incident by touches: begun from *Emergency* by one press, a tap a moment, a time put right,
//! people, words, reports, and the sheet that the system shows.

use std::collections::BTreeSet;

use slint::ComponentHandle;
use tallywater::picture::{SIZES, read_in, tour};
use tallywater::ui::{Screen, Theme};
use tallywater_bindings::{
    FactAbout, Happening, IncidentView, PartIn, Request, TimelineRow, TimelineWhat, Who,
};

use crate::from_nothing::{STUDENTS, open_a_course, screen, to_the_first_mark};
use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, roomy, seen, settle};

/// A hand in the session of a course that was begun from nothing; the course and the session.
fn in_a_session(size: (u32, u32), language: &'static str) -> (Hands, String, String) {
    let stage = Stage::new(size.0, size.1);
    let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
    let course = open_a_course(&mut hands, language);
    to_the_first_mark(&mut hands, &course);
    let sessions = seen(hands.stage.desk().session_list(course.clone())).rows;
    let session = sessions[0].session.to_string();
    (hands, course, session)
}

/// The incident that was begun last, with everything that hangs on it.
fn latest(hands: &Hands, course: &str) -> IncidentView {
    let desk = hands.stage.desk();
    let rows = seen(desk.incidents(course.to_owned())).rows;
    seen(desk.incident(course.to_owned(), rows[0].entry.to_string()))
}

fn is(row: &TimelineRow, what: Happening) -> bool {
    row.what == TimelineWhat::Happened(what)
}

/// Presses what is called so with its object behind it.
fn press_of(hands: &mut Hands, english: &str, of: &str) {
    let label = format!("{}: {of}", hands.say(english));
    hands.press_like(&label, |said| said == label);
}

/// The short name of a student of the course.
fn short(hands: &Hands, course: &str, name: &str) -> String {
    let rows = seen(hands.stage.desk().records(course.to_owned())).rows;
    let row = rows.into_iter().find(|row| row.name.name == name);
    row.unwrap().name.short
}

fn the_incident(size: (u32, u32), language: &'static str) {
    let (mut hands, course, session) = in_a_session(size, language);
    let picture = |hands: &Hands, name: &str| {
        hands.stage.save(&format!("{name}-{language}-{}", size.0));
    };
    println!("## From Emergency one press begins it");
    hands.press("Board");
    hands.press("Emergency");
    assert_eq!(screen(&hands), Screen::Emergency);
    picture(&hands, "incident-emergency");
    let taps = hands.taps;
    hands.press("Begin an incident now");
    assert_eq!(hands.taps, taps + 1);
    assert_eq!(screen(&hands), Screen::Timeline);
    let view = latest(&hands, &course);
    assert_eq!(view.incident.session.map(String::from), Some(session));
    picture(&hands, "incident-begun");

    println!("## Three moments by three taps");
    let taps = hands.taps;
    for moment in ["Noticed", "Oxygen begun", "Emergency service called"] {
        hands.press(moment);
    }
    assert_eq!(hands.taps, taps + 3);
    let view = latest(&hands, &course);
    let whats: Vec<&TimelineWhat> = view.moments.iter().map(|row| &row.what).collect();
    let happened = |what| TimelineWhat::Happened(what);
    assert_eq!(
        whats,
        [
            &TimelineWhat::Begun,
            &happened(Happening::Noticed),
            &happened(Happening::OxygenBegun),
            &happened(Happening::EmergencyCalled),
        ]
    );
    assert!(view.moments.iter().all(|row| !row.afterwards));
    picture(&hands, "incident-moments");

    put_right(&mut hands, &course);
    picture(&hands, "incident-corrected");
    people_and_words(&mut hands, &course);
    picture(&hands, "incident-people");
    reports(&mut hands, &course);
    picture(&hands, "incident-reports");

    println!("## Printed, and handed to the system");
    let says = hands.say(
        "It stays on the devices of this course and is never sent anywhere by itself. \
         It is each writer’s own word, and finds no cause and no fault.",
    );
    assert!(hands.reads(|said| said == says));
    assert!(
        hands.desktop.shown.take().is_none(),
        "nothing before it is asked"
    );
    hands.press("Print the incident");
    let shown = hands.desktop.shown.take().unwrap();
    assert!(shown.extension().is_some_and(|end| end == "pdf"));
    assert!(std::fs::read(shown).unwrap().starts_with(b"%PDF"));

    println!("## Found again in the list, and in Emergency");
    hands.press("More");
    hands.press_row("Incident");
    let begins = format!("{}: ", hands.say("Moments, people, reports"));
    hands.press_like(&begins, |said| said.starts_with(&begins));
    assert_eq!(screen(&hands), Screen::Timeline);
    hands.press("Board");
    hands.press("Emergency");
    let begins = hands.say("Incident of {0}").replace("{0}", "");
    hands.press_like(&begins, |said| said.starts_with(&begins));
    assert_eq!(screen(&hands), Screen::Timeline);
    let route = hands.stage.shell.route();
    assert_eq!(
        route.incident,
        Some(latest(&hands, &course).incident.entry).map(|id| id.to_string())
    );
}

/// The first moment was ten minutes before midnight: said so, with when that was written.
fn put_right(hands: &mut Hands, course: &str) {
    println!("## A time put right, with both times said");
    let noticed = hands.say("Noticed");
    let begins = format!("{}: {noticed}, ", hands.say("Put right"));
    hands.press_like(&begins, |said| said.starts_with(&begins));
    let yesterday = hands.say("Yesterday");
    press_of(hands, "Day", &yesterday);
    hands.type_figure("Time that was meant", "23:50");
    let first = |hands: &Hands| latest(hands, course).moments.remove(0);
    let row = first(hands);
    assert!(is(&row, Happening::Noticed) && row.withdrawn.is_none());
    assert_eq!((row.when.hour, row.when.minute), (23, 50));
    assert!(row.afterwards && row.written.day.date != row.when.day.date);
    let both = latest(hands, course).moments;
    let both: Vec<_> = both
        .iter()
        .filter(|row| is(row, Happening::Noticed))
        .collect();
    assert_eq!(both.len(), 2);
    assert!(both[1].withdrawn.is_some(), "what stood there is kept");
    let end = format!("23:50 · {noticed}");
    assert!(
        hands.reads(|said| said.ends_with(&end)),
        "the time that was meant"
    );
    let (date, at) = (&row.written.day.date, &row.written);
    let written = format!("{date} {:02}:{:02}", at.hour, at.minute);
    let written = hands.say("written {0}").replace("{0}", &written);
    assert!(hands.reads(|said| said == written), "{written}");

    println!("## One undo takes back both, and redo brings both");
    hands.press("Undo");
    let holds = latest(hands, course).moments.into_iter();
    let mut holds = holds.filter(|row| row.withdrawn.is_none());
    assert_eq!(holds.next().unwrap().what, TimelineWhat::Begun);
    let standing = |hands: &Hands| {
        let rows = latest(hands, course).moments.into_iter();
        rows.filter(|row| row.withdrawn.is_none()).count()
    };
    assert_eq!(standing(hands), 4);
    hands.press("Redo");
    assert!(is(&first(hands), Happening::Noticed));
    assert_eq!(standing(hands), 4);
}

fn people_and_words(hands: &mut Hands, course: &str) {
    println!("## Somebody concerned, somebody who saw it, and somebody of elsewhere");
    let (one, other) = (
        short(hands, course, STUDENTS[0]),
        short(hands, course, STUDENTS[1]),
    );
    press_of(hands, "Concerned", &one);
    let witness = hands.say("Witness");
    press_of(hands, "People", &witness);
    press_of(hands, "Witness", &other);
    hands.write("Somebody else, in words", "A swimmer");
    hands.press("Add this person");
    let view = latest(hands, course);
    let name = |who: &Option<tallywater_bindings::WhoName>| who.as_ref().map(Who::from);
    assert!(matches!(
        name(&view.concerned[0].who),
        Some(Who::Student { .. })
    ));
    assert_eq!((view.concerned.len(), view.witnesses.len()), (1, 2));
    assert_eq!(view.witnesses[1].text.as_deref(), Some("A swimmer"));

    println!("## One too many is taken back");
    press_of(hands, "Witness", &one);
    hands.press("Undo");
    let view = latest(hands, course);
    assert!(view.witnesses[2].withdrawn.is_some());

    println!("## In words, by what they are about");
    for (about, text) in [
        ("Conditions", "Two metres of visibility"),
        ("Equipment kept as it was", "Regulator 14"),
    ] {
        hands.press(about);
        hands.write("What there is to say about it", text);
        hands.press("Add these words");
    }
    let facts = latest(hands, course).facts;
    let abouts: Vec<&FactAbout> = facts.iter().map(|row| &row.about).collect();
    assert_eq!(abouts, [&FactAbout::Conditions, &FactAbout::Kept]);
    assert_eq!(facts[1].text, "Regulator 14");
}

fn reports(hands: &mut Hands, course: &str) {
    println!("## A report that is overdue, with a day that was no day first");
    hands.write("To whom a report is due", "The insurer");
    hands.write("By which day, if one is set", "soon");
    hands.press("Add the report");
    assert!(
        latest(hands, course).reports.is_empty(),
        "a day that is none"
    );
    let day = seen(hands.stage.desk().day(None, -1));
    let text = format!("{} {} {}", day.day, day.month, day.year);
    hands.rewrite("By which day, if one is set", "soon", &text);
    hands.press("Add the report");
    let view = latest(hands, course);
    assert_eq!(view.reports_due, 1);
    assert!(view.reports[0].late);
    assert_eq!(view.reports[0].due.as_ref().unwrap().date, day.date);

    println!("## It was made");
    press_of(hands, "It was made today", "The insurer");
    let view = latest(hands, course);
    assert_eq!(view.reports_due, 0);
    assert!(view.reports[0].made.is_some() && !view.reports[0].late);
}

#[test]
fn an_incident_is_written_down_by_touches_on_a_phone() {
    roomy(|| the_incident((390, 844), "en"));
    roomy(|| the_incident((390, 844), "de"));
}

#[test]
fn an_incident_is_written_down_by_touches_on_a_tablet() {
    roomy(|| the_incident((1280, 800), "en"));
}

#[test]
fn an_incident_begun_on_the_card_of_an_alarm_has_the_alarm_for_its_first_moment() {
    roomy(|| {
        let (mut hands, course, _) = in_a_session((800, 1280), "en");
        hands.press("Board");
        hands.press("Emergency");
        press_of(&mut hands, "It is happening", "Lost buddy");
        hands.press("Begin an incident now");
        assert_eq!(screen(&hands), Screen::Timeline);
        let first = latest(&hands, &course).moments.remove(0);
        assert!(matches!(first.what, TimelineWhat::Raised(..)));
        assert!(hands.reads(|said| said.ends_with(" · Lost buddy")));

        println!("## Another one grows out of nothing: that alarm has its incident");
        hands.press("Back");
        hands.press("All cards and the plan");
        hands.press("Begin an incident now");
        let desk = hands.stage.desk();
        let rows = seen(desk.incidents(course.clone())).rows;
        assert_eq!(rows.len(), 2);
        let route = hands.stage.shell.route();
        let entry = route.incident.unwrap();
        let view = seen(desk.incident(course, entry));
        assert_eq!(view.moments[0].what, TimelineWhat::Begun);

        println!("## Taken back, nothing is added to it");
        hands.press("Undo");
        let says =
            "This incident was withdrawn: it counts for nothing, and nothing is added to it.";
        assert!(hands.reads(|said| said == says));
    });
}

/// An incident of the demo's session at hand, with something in every part of it.
pub(crate) fn recorded(stage: &Stage) {
    let desk = stage.desk();
    let hand = stage.hand(Screen::Incident);
    let course = hand.course.clone().unwrap();
    let begun = seen(desk.record(Request::BeginIncident {
        course: course.clone(),
        session: hand.session,
        who: Vec::new(),
        when: None,
        from: None,
    }));
    let incident = begun.entries[0].entry.to_string();
    let moment = |what, text: Option<&str>| Request::AddIncidentMoment {
        course: course.clone(),
        incident: incident.clone(),
        what,
        when: None,
        who: None,
        text: text.map(str::to_owned),
    };
    let rest = [
        moment(Happening::Noticed, None),
        moment(Happening::OxygenBegun, None),
        moment(Happening::Other, Some("Rain set in, the boat came in")),
        Request::AddIncidentPerson {
            course: course.clone(),
            incident: incident.clone(),
            part: PartIn::Witness,
            who: None,
            text: Some("A swimmer with a red cap".into()),
        },
        Request::AddIncidentFact {
            course: course.clone(),
            incident: incident.clone(),
            about: FactAbout::Kept,
            text: "Regulator 14, in the locked cupboard".into(),
        },
        Request::AddIncidentReport {
            course: course.clone(),
            incident: incident.clone(),
            to: "The insurer".into(),
            by: Some(seen(desk.day(None, -1)).date.to_string()),
        },
    ];
    for request in rest {
        seen(desk.record(request));
    }
    settle();
    stage.shell.take_news();
}

#[test]
fn the_timeline_is_drawn_at_every_size_and_everything_on_it_has_a_name_and_its_size() {
    roomy(|| {
        for (width, height) in SIZES {
            let stage = Stage::demo(width, height);
            recorded(&stage);
            let stops = tour(&stage.shell);
            let stop = stops.iter().find(|stop| stop.screen == Screen::Timeline);
            stage.go(stop.unwrap());
            for dusk in [false, true] {
                stage.app.global::<Theme>().set_dusk(dusk);
                settle();
                let pixels = stage.picture();
                let some = pixels.as_bytes().chunks(4).step_by(101);
                let colours: BTreeSet<&[u8]> = some.collect();
                assert!(colours.len() > 8, "blank at {width} x {height}");
                let theme = if dusk { "dusk" } else { "sun" };
                stage.save(&format!("timeline-{width}x{height}-{theme}"));
            }
            for one in stage.buttons() {
                let label = one.accessible_label().unwrap_or_default();
                let size = one.size();
                assert!(!label.trim().is_empty(), "no name at {width} x {height}");
                let large = size.width >= 72.0 && size.height >= 72.0;
                assert!(large, "{label:?} is {size:?} at {width} x {height}");
            }
        }
    });
}

#[test]
fn the_timeline_is_read_in_german_at_twice_its_size() {
    roomy(|| {
        let stage = Stage::demo(390, 844);
        recorded(&stage);
        seen(read_in(&stage.desk(), "de", "200"));
        stage.shell.stand_behind(stage.desk());
        settle();
        let stops = tour(&stage.shell);
        let stop = stops.iter().find(|stop| stop.screen == Screen::Timeline);
        stage.go(stop.unwrap());
        // The nine moments stand below each other, under the caution; the first is found at once
        // or after a stroke.
        for _ in 0..10 {
            if stage.find(|label| label == "Bemerkt").is_some() {
                break;
            }
            let at = |y| slint::LogicalPosition::new(385.0, y);
            stage.draw(at(500.0), at(400.0));
        }
        let noticed = stage.find(|label| label == "Bemerkt").unwrap();
        assert!(noticed.size().height >= 96.0, "{:?}", noticed.size());
        stage.save("timeline-de-200");
        slint::select_bundled_translation("en").unwrap();
    });
}
