//! From an empty folder, by fingers alone: a site with its emergency plan, an alarm from the
//! board, a debrief, and the page that a student takes home.

use slint::ComponentHandle;
use tallywater::ui::{EmergencyDoor, Screen};
use tallywater_bindings::Alarm;

use super::{STUDENTS, open_a_course, screen, to_the_first_mark};
use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, roomy, seen};

fn the_evening(size: (u32, u32), language: &'static str) {
    let stage = Stage::new(size.0, size.1);
    let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
    let course = open_a_course(&mut hands, language);
    to_the_first_mark(&mut hands, &course);
    let picture = |hands: &Hands, name: &str| {
        hands.stage.save(&format!("{name}-{language}-{}", size.0));
    };
    let session = seen(hands.stage.desk().session_list(course.clone())).rows[0].session;

    println!("## A site, its emergency plan, and somebody who confirms it");
    hands.press("More");
    hands.press_row("Sites and emergency plans");
    picture(&hands, "site-new");
    hands.write("Name of the site, as sessions call it", "Hollow Lane pool");
    hands.write("Position: degrees north, degrees east", "47.5 9.6");
    hands.press("Keep the site");
    hands.write("Numbers to call", "112");
    hands.write("Address to give", "Hollow Lane 4");
    hands.press("Keep the plan");
    let site = seen(hands.stage.desk().sites()).rows.remove(0);
    assert_eq!(site.details.name, "Hollow Lane pool");
    assert!(site.light.is_some() && site.confirmed.is_none());
    hands.press("I have checked this plan and confirm it");
    let site = seen(hands.stage.desk().sites()).rows.remove(0);
    assert!(site.confirmed.is_some());
    picture(&hands, "site-confirmed");

    println!("## From the board one press to the plan, and one more writes down when");
    hands.press("Board");
    picture(&hands, "board-with-emergency");
    hands.press("Emergency");
    assert_eq!(screen(&hands), Screen::Emergency);
    picture(&hands, "emergency");
    let label = format!(
        "{}: {}",
        hands.say("It is happening"),
        hands.say("Lost buddy")
    );
    hands.press_like(&label, |said| said == label);
    let view = seen(
        hands
            .stage
            .desk()
            .emergency(course.clone(), session.to_string()),
    );
    assert_eq!(view.alarms.len(), 1);
    assert_eq!(view.alarms[0].what, Alarm::LostBuddy);
    assert!(view.missing.is_empty(), "{:?}", view.missing);
    let door = hands.stage.app.global::<EmergencyDoor>();
    assert_eq!(door.get_shown(), 0);
    assert_ne!(door.get_since(), "");
    picture(&hands, "emergency-card");
    hands.press("All cards and the plan");
    hands.press("Undo");
    let view = seen(
        hands
            .stage
            .desk()
            .emergency(course.clone(), session.to_string()),
    );
    assert!(view.alarms.is_empty(), "taken back");

    println!("## What is said afterwards");
    hands.press("More");
    hands.press_row("Debrief");
    assert_eq!(screen(&hands), Screen::Debrief);
    picture(&hands, "debrief");
    hands.press("Change the card");
    hands.write("What mends it", "Slower");
    picture(&hands, "debrief-changing");
    hands.press("Keep the card");
    let view = seen(
        hands
            .stage
            .desk()
            .debriefs(course.clone(), session.to_string()),
    );
    assert_eq!(view.cards[0].said.fix, "Slower");
    assert!(view.cards[0].kept.is_some());
    picture(&hands, "debrief-kept");

    println!("## What a student takes home");
    hands.press("More");
    hands.press_row("Records and completion");
    let label = format!("{} {}", hands.say("Record"), STUDENTS[0]);
    hands.press_like(&label, |said| said == label);
    hands.press("Page in German");
    picture(&hands, "record-page");
    let shown = hands.desktop.shown.take().unwrap();
    assert!(shown.extension().is_some_and(|end| end == "html"));
    let page = std::fs::read_to_string(&shown).unwrap();
    assert!(page.contains("Dein Kurs bis hierher") && page.contains(STUDENTS[0]));
    assert!(!page.contains(STUDENTS[1]));
    let sheet = std::fs::read(shown.with_extension("pdf")).unwrap();
    assert!(sheet.starts_with(b"%PDF"));
    // Names of a moment: the next second gives a folder of its own.
    std::thread::sleep(std::time::Duration::from_millis(1_100));
    hands.press("Page in English");
    let shown = hands.desktop.shown.take().unwrap();
    let page = std::fs::read_to_string(shown).unwrap();
    assert!(page.contains("Your course so far"));
}

#[test]
fn the_evening_after_is_played_on_a_phone() {
    roomy(|| the_evening((390, 844), "en"));
    roomy(|| the_evening((390, 844), "de"));
}

#[test]
fn the_evening_after_is_played_on_a_tablet() {
    roomy(|| the_evening((800, 1280), "de"));
    roomy(|| the_evening((1280, 800), "en"));
}
