//! What the school and its people are called, and the sheet of a dive centre that begins.

use i_slint_backend_testing::AccessibleRole;
use slint::{ComponentHandle, Model as _};
use tallywater::ui::{FirstDoor, PeopleDoor, Screen, Step};
use tallywater_bindings::{Leave, Request};

use super::{PHONE, with_a_course};
use crate::from_nothing::screen;
use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, roomy, seen, settle};

#[test]
fn the_school_is_called_otherwise_and_then_as_before() {
    roomy(|| {
        let (mut hands, _) = with_a_course(PHONE, "en");
        let held = |hands: &Hands| seen(hands.stage.desk().staff()).shop.unwrap();
        let said = |hands: &Hands| {
            let door = hands.stage.app.global::<PeopleDoor>();
            (door.get_school().to_string(), door.get_called().to_string())
        };
        let both = |name: &str| (name.to_owned(), name.to_owned());
        hands.press("More");
        hands.press_row("School and staff");
        hands.rewrite(
            "As it is printed on every paper",
            "Tarn School",
            "Grebe Hollow School",
        );
        assert_eq!(held(&hands), "Tarn School", "not kept yet");
        hands.press("Keep the name of the school");
        assert_eq!(held(&hands), "Grebe Hollow School");
        assert_eq!(said(&hands), both("Grebe Hollow School"));
        hands.stage.save("school-renamed");
        hands.press("Undo");
        assert_eq!(held(&hands), "Tarn School");
        assert_eq!(said(&hands), both("Tarn School"));
    });
}

#[test]
fn a_person_is_called_otherwise_and_then_as_before() {
    roomy(|| {
        let (mut hands, _) = with_a_course(PHONE, "de");
        let held = |hands: &Hands| {
            let staff = seen(hands.stage.desk().staff()).staff;
            assert_eq!(staff.len(), 1);
            staff[0].name.name.clone()
        };
        let (old, new) = ("Tove Askildsen", "Tove Sandvik");
        hands.press("More");
        hands.press_row("School and staff");
        let row = format!("{old}, ");
        hands.press_like(&row, |said| said.starts_with(&row));
        hands.rewrite("Name, as it is printed beside their marks", old, new);
        assert_eq!(held(&hands), old, "not kept yet");
        let keep = format!("{}: {old}", hands.say("Keep the name"));
        hands.press_like(&keep, |said| said == keep);
        assert_eq!(held(&hands), new);
        assert!(hands.reads(|said| said == new), "in the list of the staff");
        hands.press("Undo");
        assert_eq!(held(&hands), old);
        assert!(hands.reads(|said| said == old), "in the list of the staff");
    });
}

#[test]
fn a_name_that_the_dive_centre_gave_cannot_be_changed_by_an_instructor_and_says_why() {
    roomy(|| {
        // Tall: only what is to be seen is found.
        let stage = Stage::demo(1_280, 1_600);
        let staff = seen(stage.desk().staff());
        assert_eq!(staff.may_add, Leave::Yes, "somebody new can be added here");
        let given = staff.staff.iter().find(|row| row.may_rename == Leave::Role);
        let name = given.unwrap().name.clone();
        stage.open(stage.hand(Screen::People));
        let door = stage.app.global::<PeopleDoor>();
        door.invoke_choose(name.staff.to_string().into());
        door.set_name("Somebody Else".into());
        settle();
        assert!(!door.get_may_rename());
        let keep = stage.button(&format!("Keep the name: {}", name.name));
        assert_eq!(keep.accessible_enabled(), Some(false));
        let texts = stage.all(AccessibleRole::Text).into_iter();
        let why = "The dive centre gave this name, and only the dive centre changes it.";
        let mut said = texts.filter_map(|one| one.accessible_label());
        assert!(said.any(|said| said == why));
        let rename = Request::RenameStaff {
            staff: name.staff.to_string(),
            name: "Somebody Else".into(),
        };
        assert!(
            stage.desk().record(rename).is_err(),
            "the core says the same"
        );
    });
}

#[test]
fn a_dive_centre_sees_its_recovery_sheet_before_it_goes_on() {
    roomy(|| {
        let stage = Stage::new(PHONE.0, PHONE.1);
        let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
        hands.press_like("Deutsch", |said| said.ends_with(": Deutsch"));
        hands.speaks("de");
        let office = format!(
            "{}: {}",
            hands.say("Who works with this device?"),
            hands.say("The dive centre’s office")
        );
        hands.press_like(&office, |said| said == office);
        hands.write(
            "Your name, as it is printed beside your marks",
            "Ansel Forde",
        );
        hands.write("Name of the dive centre", "Grebe Hollow Divers");
        hands.press("Open the dive centre");

        println!("## It stands there, every line, and nothing else is shown");
        assert_eq!(screen(&hands), Screen::FirstStart);
        let door = hands.stage.app.global::<FirstDoor>();
        assert_eq!(door.get_step(), Step::Sheet);
        let lines = hands.stage.desk().recovery_lines().unwrap();
        let said: Vec<String> = door
            .get_sheet()
            .iter()
            .map(|line| line.to_string())
            .collect();
        assert_eq!(said, lines);
        for line in &lines {
            assert!(hands.reads(|said| said == line.as_str()), "not to be read");
        }
        hands.stage.save("recovery-sheet");

        println!("## It is put away once it is in safe keeping");
        hands.press("I have it in safe keeping");
        assert_eq!(screen(&hands), Screen::Today);
        let door = hands.stage.app.global::<FirstDoor>();
        assert_eq!(door.get_sheet().row_count(), 0);
        let state = seen(hands.stage.desk().state());
        assert_eq!(state.shop.as_deref(), Some("Grebe Hollow Divers"));
        assert!(!state.lone);
    });
}
