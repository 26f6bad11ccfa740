//! Students: one who comes again, several from a list, a roster from a file, one who leaves.

use slint::{ComponentHandle, Model as _};
use tallywater::ui::{AppDoor, EnrolDoor, RecordDoor, Screen};
use tallywater_bindings::{KitKind, Outcome, RecordState};
use tempfile::TempDir;

use super::{ACROSS, PHONE, UPRIGHT, on_a, with_a_course};
use crate::from_nothing::{STUDENTS, screen};
use crate::hands::{Desktop, Hands};
use crate::support::{roomy, seen};

/// Who is in a course: names and ids, in order of name.
fn enrolled(hands: &Hands, course: &str) -> Vec<(String, String)> {
    let rows = seen(hands.stage.desk().records(course.to_owned())).rows;
    let names = rows.into_iter().map(|row| row.name);
    names
        .map(|name| (name.name, name.student.to_string()))
        .collect()
}

fn names(hands: &Hands, course: &str) -> Vec<String> {
    let all = enrolled(hands, course).into_iter();
    all.map(|(name, _)| name).collect()
}

/// Who is in it, as the screen says.
fn said(hands: &Hands) -> Vec<String> {
    let names = hands.stage.app.global::<EnrolDoor>().get_enrolled();
    names.iter().map(|name| name.to_string()).collect()
}

#[test]
fn a_student_who_comes_again_is_enrolled_by_one_press_and_not_twice() {
    roomy(|| {
        let (mut hands, first) = with_a_course(UPRIGHT, "de");
        hands.press("More");
        hands.press_row("Courses");
        hands.press("New course");
        hands.write("Title", "First dives, July");
        hands.press("Open the course");
        assert_eq!(screen(&hands), Screen::Enrol);
        let second = hands.stage.shell.route().course.unwrap();
        assert_ne!(second, first);
        assert!(said(&hands).is_empty());
        let before = enrolled(&hands, &first);

        println!("## The same person, with the details that the school has");
        let row = format!("{}, ", STUDENTS[0]);
        hands.press_like(&row, |said| said.starts_with(&row));
        let again = enrolled(&hands, &second);
        assert_eq!(again.len(), 1);
        assert!(before.contains(&again[0]), "the same name and id");
        assert_eq!(said(&hands), [STUDENTS[0]]);
        let offered = hands.stage.app.global::<EnrolDoor>().get_known();
        assert!(offered.iter().all(|one| one.called.as_str() != STUDENTS[0]));
        hands.stage.save("enrolled-again");

        println!("## Taken back: out of this course, and still in the first");
        hands.press("Undo");
        assert!(enrolled(&hands, &second).is_empty());
        assert!(said(&hands).is_empty());
        assert_eq!(enrolled(&hands, &first), before);
    });
}

#[test]
fn several_are_enrolled_from_a_list_and_who_is_there_already_is_left_out() {
    roomy(|| {
        let (mut hands, course) = with_a_course(PHONE, "de");
        assert_eq!(names(&hands, &course).len(), 2);
        let list = format!("Wilhelmina Okafor\nAnselm Vater\n{}", STUDENTS[0]);
        hands.write("A pasted list, one name a line", &list);
        hands.stage.save("list-pasted");
        hands.press("Enrol the list");
        let there = names(&hands, &course);
        assert_eq!(there.len(), 4, "{there:?}");
        for name in [
            "Wilhelmina Okafor",
            "Anselm Vater",
            STUDENTS[0],
            STUDENTS[1],
        ] {
            assert!(there.iter().any(|one| one == name), "{name}");
        }
        assert_eq!(said(&hands), there);
        let door = hands.stage.app.global::<EnrolDoor>();
        assert_eq!(door.get_bad_rows().row_count(), 0);
        assert_eq!(door.get_list(), "", "it is taken");
        let done = door.get_done().to_string();
        assert_ne!(done, "");
        assert!(hands.reads(|said| said == done), "{done}");
    });
}

#[test]
fn a_roster_is_chosen_with_the_systems_picker_and_taken_whole_or_not_at_all() {
    roomy(|| {
        let folder = TempDir::new().unwrap();
        let file = folder.path().join("roster.csv");
        let write = |text: &str| std::fs::write(&file, text).unwrap();
        write("name,born\nWilhelmina Okafor,2001-04-05\nAnselm Vater,1988-11-30\n");
        let mut desktop = Desktop::new();
        desktop.roster = Some(file.clone());
        let (mut hands, course) = on_a(desktop, ACROSS, "en");
        hands.press("Choose a file");
        let there = names(&hands, &course);
        assert_eq!(there.len(), 4, "{there:?}");
        assert_eq!(said(&hands), there);
        let all = enrolled(&hands, &course);
        let (_, id) = all.iter().find(|(name, _)| name == "Anselm Vater").unwrap();
        let one = seen(hands.stage.desk().student(course.clone(), id.clone()));
        assert_eq!(
            one.details.unwrap().born.unwrap().date.to_string(),
            "1988-11-30"
        );

        println!("## A row without a name: its line is named, and nobody is enrolled");
        write("name,born\nSaoirse Tullyglass,1990-01-02\n,1991-03-04\n");
        hands.press("Choose a file");
        assert_eq!(names(&hands, &course), there);
        let bad = hands.stage.app.global::<EnrolDoor>().get_bad_rows();
        assert_eq!(bad.row_count(), 1);
        let bad = bad.row_data(0).unwrap().to_string();
        assert!(bad.contains('3'), "{bad}");
        assert!(hands.reads(|said| said == bad), "{bad}");
        hands.stage.save("roster-refused");
    });
}

#[test]
fn sizes_come_with_a_roster_and_what_is_no_kit_is_named_with_its_line() {
    roomy(|| {
        let folder = TempDir::new().unwrap();
        let file = folder.path().join("roster.csv");
        let write = |text: &str| std::fs::write(&file, text).unwrap();
        write("name;Anzuggröße;Flossen;own kit\nWilhelmina Okafor;ML;42;a submarine\n");
        let mut desktop = Desktop::new();
        desktop.roster = Some(file.clone());
        let (mut hands, course) = on_a(desktop, ACROSS, "de");
        let before = names(&hands, &course);
        hands.press("Choose a file");
        assert_eq!(names(&hands, &course), before);
        let bad = hands.stage.app.global::<EnrolDoor>().get_bad_rows();
        let bad = bad.row_data(0).unwrap().to_string();
        let why = hands.say("what is brought is no kit that is known");
        assert!(bad.contains('2') && bad.ends_with(&why), "{bad}");
        println!("## Mended, it is taken with the sizes");
        write("name;Anzuggröße;Flossen;own kit\nWilhelmina Okafor;ML;42;Maske und Computer\n");
        hands.press("Choose a file");
        let bad = hands.stage.app.global::<EnrolDoor>().get_bad_rows();
        assert_eq!(bad.row_count(), 1, "a word between them is no kit either");
        write("name;Anzuggröße;Flossen;own kit\nWilhelmina Okafor;ML;42;Maske, Computer\n");
        hands.press("Choose a file");
        let all = enrolled(&hands, &course);
        let (_, id) = all
            .iter()
            .find(|(name, _)| name == "Wilhelmina Okafor")
            .unwrap();
        let sizes = seen(hands.stage.desk().sizes(course.clone(), id.clone()));
        let sizes = sizes.sizes.unwrap();
        assert_eq!((sizes.suit.as_str(), sizes.fins.as_str()), ("ML", "42"));
        assert_eq!(sizes.own, [KitKind::Mask, KitKind::Computer]);
    });
}

#[test]
fn whoever_leaves_the_course_is_asked_for_first_and_comes_back_by_undo() {
    roomy(|| {
        let (mut hands, course) = with_a_course(PHONE, "de");
        let id = enrolled(&hands, &course)
            .into_iter()
            .find_map(|(name, id)| (name == STUDENTS[0]).then_some(id))
            .unwrap();
        let left = |hands: &Hands| {
            let desk = hands.stage.desk();
            let record = seen(desk.student_record(course.clone(), id.clone()));
            matches!(record.state, RecordState::Ended(Outcome::Left))
        };
        let asked = |hands: &Hands| {
            let ask = hands.stage.app.global::<AppDoor>().get_ask();
            ask.title.to_string()
        };
        // As records number it: 4 is left, and under 2 the course goes on.
        let shown = |hands: &Hands| hands.stage.app.global::<RecordDoor>().get_view().state;
        hands.press("More");
        hands.press_row("Records and completion");
        let line = format!("{} {}", hands.say("Record"), STUDENTS[0]);
        hands.press_like(&line, |said| said == line);

        println!("## No leaves everything as it was");
        hands.press("Left the course");
        assert!(asked(&hands).contains(STUDENTS[0]), "{}", asked(&hands));
        assert!(!left(&hands), "one press ends nothing");
        hands.stage.save("left-asked");
        hands.press("No, go back");
        assert_eq!(asked(&hands), "");
        assert!(!left(&hands) && shown(&hands) < 2);

        println!("## Yes ends it, and it is taken back");
        hands.press("Left the course");
        hands.press_over("Left the course");
        assert!(left(&hands));
        assert_eq!(asked(&hands), "");
        assert_eq!(shown(&hands), 4);
        let begins = format!("{} · ", hands.say("Left the course"));
        assert!(hands.reads(|said| said.starts_with(&begins)));
        hands.press("Undo");
        assert!(!left(&hands) && shown(&hands) < 2);
    });
}
