//! The gate before open water, from an empty device and by touches: what is missing blocks *all
//! in*, an instructor sets the skills aside with a reason for one session, and nothing else. And
//! the one before *met*: a figure below what is asked.

use slint::{ComponentHandle, Model as _};
use tallywater::shell::Route;
use tallywater::ui::{GateDoor, RenewalDoor, Screen};
use tallywater_bindings::{AttemptSheetView, Place};

use crate::from_nothing::open_a_course;
use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, roomy, seen};

/// How many skills Ottilie lacks that may be set aside, and how much else is missing.
fn missing(hands: &Hands, course: &str, session: &str) -> (usize, usize) {
    let desk = hands.stage.desk();
    let view = seen(desk.session(course.to_owned(), session.to_owned()));
    let who = view.students.iter().find(|one| one.name.short == "Ottilie");
    let who = who.unwrap();
    let aside = who.may_override.len();
    (aside, who.gaps.len() - aside)
}

fn open_water_waits_for_its_skills(size: (u32, u32), language: &'static str) {
    let stage = Stage::new(size.0, size.1);
    let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
    let course = open_a_course(&mut hands, language);
    hands.press("Forms and checks");
    hands.press("Plan a session");
    let outline = seen(
        hands
            .stage
            .desk()
            .draft_session(course.clone(), Some("open-2".into())),
    );
    let title = outline.title.clone();
    hands.press_like(&title, |said| said == title);
    hands.press("Plan it");
    let session = hands.stage.shell.route().session.expect("it is at hand");
    let (skills, other) = missing(&hands, &course, &session);
    assert!(skills > 0, "nothing was taught yet");
    assert!(other > 0, "no form was seen");
    hands.stage.save(&format!("gate-{language}-{}", size.0));

    println!("## Nobody goes in by the one press for all");
    hands.press("Water");
    let none = hands.stage.find(|said| said.starts_with("0 "));
    assert!(none.is_some(), "among {:#?}", hands.stage.labels());
    let wet = |hands: &Hands| {
        let count = seen(
            hands
                .stage
                .desk()
                .headcount(course.clone(), session.clone()),
        );
        count
            .rows
            .iter()
            .filter(|row| row.place == Place::InWater)
            .count()
    };
    hands
        .stage
        .save(&format!("gate-water-{language}-{}", size.0));
    assert_eq!(wet(&hands), 0);

    println!("## Set aside for this session, with a reason, and only the skills");
    hands.press("Today");
    let plan = format!("{}: {title}", hands.say("Plan"));
    hands.press_like(&plan, |said| said == plan);
    let lets = hands
        .say("Let {0} in all the same")
        .replace("{0}", "Ottilie");
    hands.press_like(&lets, |said| said == lets);
    let why = hands
        .say("Why {0} goes in without them")
        .replace("{0}", "Ottilie");
    hands.write_titled(&why, "shown to me in the harbour pool");
    let signs = format!("{}: Ottilie", hands.say("Set them aside and sign"));
    hands.press_like(&signs, |said| said == signs);
    let fault = hands.stage.app.global::<GateDoor>().get_fault();
    hands
        .stage
        .save(&format!("gate-signed-{language}-{}", size.0));
    assert_eq!(missing(&hands, &course, &session), (0, other), "{fault}");
    hands
        .stage
        .save(&format!("gate-aside-{language}-{}", size.0));

    println!("## And taken back");
    let back = format!("{}: Ottilie", hands.say("Take it back"));
    hands.press_like(&back, |said| said == back);
    assert_eq!(missing(&hands, &course, &session), (skills, other));
}

#[test]
fn open_water_waits_for_its_skills_until_an_instructor_sets_them_aside() {
    roomy(|| open_water_waits_for_its_skills((390, 844), "en"));
    roomy(|| open_water_waits_for_its_skills((1280, 800), "de"));
}

#[test]
fn what_staff_renew_is_missing_until_it_is_written_down() {
    roomy(|| {
        let stage = Stage::new(390, 844);
        let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
        let course = open_a_course(&mut hands, "en");
        hands.press("Forms and checks");
        hands.press("Plan a session");
        hands.press_like("an open-water session", |said| {
            said.starts_with("Open water 2")
        });
        hands.press("Plan it");
        let session = hands.stage.shell.route().session.expect("it is at hand");
        let lacks = |hands: &Hands| {
            let desk = hands.stage.desk();
            let view = seen(desk.session(course.clone(), session.clone()));
            view.staff.iter().map(|one| one.gaps.len()).sum::<usize>()
        };
        let before = lacks(&hands);
        assert!(before > 0, "no paper of the instructor was seen");
        hands.press("More");
        hands.press_row("School and staff");
        hands.stage.save("school-and-staff");
        hands.press_like("the instructor", |said| said.starts_with("Tove Askildsen"));
        let lacking = |hands: &Hands| {
            let rows = hands.stage.app.global::<RenewalDoor>().get_rows();
            rows.iter().find(|row| row.lacking).map(|row| row.name)
        };
        let mut noted = 0;
        while let Some(name) = lacking(&hands) {
            hands.press_row(&name);
            let notes = format!("Seen: note it: {name}");
            hands.press_like(&notes, |said| said == notes);
            noted += 1;
            assert!(noted <= before, "{name} is still missing");
        }
        hands.stage.save("renewals");
        assert_eq!((noted, lacks(&hands)), (before, 0));
    });
}

#[test]
fn met_below_what_is_asked_waits_for_a_reason_and_keeps_it() {
    roomy(|| {
        let stage = Stage::new(390, 844);
        let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
        let course = open_a_course(&mut hands, "en");
        let records = seen(hands.stage.desk().records(course.clone()));
        let ottilie = records.rows.iter().find(|row| row.name.short == "Ottilie");
        let student = ottilie.unwrap().name.student.to_string();
        let skill = "mask-full".to_owned();
        let sheet = |hands: &Hands| -> AttemptSheetView {
            let desk = hands.stage.desk();
            seen(desk.attempt_sheet(course.clone(), student.clone(), skill.clone(), None))
        };
        let route = Route::to(Screen::Attempt).course(course.clone());
        hands
            .stage
            .open(route.student(student.clone()).skill(skill.clone()));
        hands.type_figure("at most 1.0 m", "2");
        println!("## Asked with both figures, and nothing is marked");
        let asks =
            |said: &str| said.contains("2 m") && said.contains("1.0 m") && said.ends_with('?');
        assert!(hands.reads(asks), "{:#?}", hands.stage.labels());
        hands.press_like("Ottilie: Met", |said| said == "Ottilie: Met");
        assert_eq!(sheet(&hands).history.len(), 0);
        assert!(hands.reads(asks), "it still asks");
        hands.stage.save("met-below");
        println!("## With a reason it is marked, and the reason stands in its line");
        hands.write("Why it counts as met all the same", "the line was slack");
        hands.press_like("Ottilie: Met", |said| said == "Ottilie: Met");
        let history = sheet(&hands).history;
        assert_eq!(history.len(), 1);
        assert_eq!(history[0].despite.as_deref(), Some("the line was slack"));
        assert!(!hands.reads(asks), "nothing is asked any more");
    });
}
