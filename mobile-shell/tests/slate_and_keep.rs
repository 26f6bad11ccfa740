//! A marked sheet is typed in by touch; what is kept is shown, and deleted by the shop alone.

use slint::{ComponentHandle, Model as _};
use tallywater::shell::Route;
use tallywater::ui::{KeepDoor, Load, Mark, Screen, SlateDoor};
use tallywater_bindings::{Columns, PaperLanguage};

use crate::support::{Stage, middle, roomy, seen, settle};

#[test]
fn a_marked_slate_is_typed_in_by_taps_and_recorded_with_its_own_time() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let hand = stage.hand(Screen::Slate);
        let course = hand.course.clone().unwrap();
        let session = hand.session.clone().unwrap();
        stage.open(hand);
        let door = stage.app.global::<SlateDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        let tries = || -> u32 {
            let board = seen(stage.desk().board(course.clone(), None, Columns::All));
            let cells = board.rows.iter().flat_map(|row| &row.cells);
            cells.map(|cell| u32::from(cell.tries)).sum()
        };
        let before = tries();
        let empty = |label: &str| label.ends_with(": Empty");
        let first = stage.find(empty).unwrap();
        let label = String::from(first.accessible_label().unwrap());
        stage.touch(middle(&first), 80);
        assert_eq!(door.get_marked(), 1);
        let about = label.trim_end_matches("Empty");
        for word in ["Met", "Nearly", "Not yet", "Sat out"] {
            stage.tap(&format!("{about}{word}"));
        }
        assert_eq!(door.get_marked(), 0, "and empty again");
        for _ in 0..2 {
            let next = stage.find(empty).unwrap();
            stage.touch(middle(&next), 80);
        }
        assert_eq!(door.get_marked(), 2);
        assert_eq!(tries(), before, "nothing is recorded before all of it is");

        println!("## The time it was seen");
        door.invoke_edit();
        for key in ["2", "5", ":", "0", "0"] {
            door.invoke_key(key.into());
        }
        door.invoke_done();
        assert_ne!(door.get_fault(), "", "no such time");
        for _ in 0..5 {
            door.invoke_erase();
        }
        // A minute beside the beginning, which is over.
        let starts = seen(stage.desk().session(course.clone(), session)).starts;
        let minute = if starts.minute == 59 {
            58
        } else {
            starts.minute + 1
        };
        let type_in = |hour: u32, minute: u32| {
            for key in format!("{hour:02}:{minute:02}").chars() {
                door.invoke_key(slint::format!("{key}"));
            }
            door.invoke_done();
            settle();
        };
        type_in(starts.hour, minute);
        let said = door.get_seen();
        assert!(
            said.contains(&format!("{}:{minute:02}", starts.hour)),
            "{said}"
        );
        stage.save("slate-typed");
        stage.tap("Record 2 marks");
        assert_eq!((door.get_marked(), door.get_recorded()), (0, true));
        assert_eq!(tries(), before + 2);

        println!("## One undo takes the slate back");
        stage.shell.take_news();
        stage.tap("Undo");
        assert_eq!(tries(), before);
        let row = door.get_rows().row_data(0).unwrap();
        let boxes = row.boxes.iter();
        assert!(
            boxes
                .filter(|one| one.marked && one.mark == Mark::Met)
                .count()
                == 0
        );
    });
}

#[test]
fn another_session_has_its_own_rows_and_nothing_marked_for_the_first() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let first = stage.hand(Screen::Slate);
        let course = first.course.clone().unwrap();
        let sessions = seen(stage.desk().session_list(course.clone())).rows;
        // One student's, so that all of its boxes are to be seen.
        let other = sessions
            .iter()
            .find(|row| row.students == 1)
            .map(|row| row.session.to_string())
            .unwrap();
        let door = stage.app.global::<SlateDoor>();
        stage.open(first.clone());
        let before: Vec<String> = skills(&door);
        stage.touch(
            middle(&stage.find(|label| label.ends_with(": Empty")).unwrap()),
            80,
        );
        assert_eq!(door.get_marked(), 1);

        stage.open(first.clone().session(other.clone()));
        settle();
        assert_eq!(
            door.get_marked(),
            0,
            "the first sheet's mark is not this one's"
        );
        let slate = seen(stage.desk().slate(course, other, PaperLanguage::English));
        let asked: Vec<String> = slate
            .skills
            .iter()
            .map(|skill| skill.skill.to_string())
            .collect();
        assert_eq!(skills(&door), asked);
        assert_ne!(asked, before, "two sessions that ask for different skills");
        // What a finger comes down on is what is recorded: the label is that of the box.
        let boxes = stage.labelled(|label| label.ends_with(": Empty"));
        for row in door.get_rows().iter() {
            for one in row.boxes.iter().filter(|one| one.asked && !one.done) {
                let named = |label: &str| {
                    label.contains(row.called.as_str()) && label.contains(one.name.as_str())
                };
                let found = boxes
                    .iter()
                    .filter(|found| found.accessible_label().is_some_and(|label| named(&label)));
                assert!(found.count() >= 1, "no box {} for {}", one.name, row.called);
            }
        }

        stage.open(first);
        settle();
        assert_eq!((skills(&door), door.get_marked()), (before, 0));
    });
}

/// The skills of the sheet's first row.
fn skills(door: &SlateDoor<'_>) -> Vec<String> {
    let row = door.get_rows().row_data(0).unwrap();
    row.boxes.iter().map(|one| one.skill.into()).collect()
}

#[test]
fn what_is_kept_is_shown_and_an_instructor_deletes_nothing() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(Route::to(Screen::Keep));
        let door = stage.app.global::<KeepDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        let kept = seen(stage.desk().kept());
        assert_eq!(door.get_rows().row_count(), kept.len());
        assert!(!door.get_may());
        let person = door.get_rows().iter().position(|row| !row.course).unwrap();
        door.invoke_choose(i32::try_from(person).unwrap());
        settle();
        assert!(stage.find(|label| label.starts_with("Forget")).is_none());
        door.invoke_delete();
        assert_eq!(seen(stage.desk().kept()).len(), kept.len());
        stage.save("keep-open");
    });
}

#[test]
fn the_shop_forgets_a_person_with_two_taps_and_keeps_who_is_held_back() {
    roomy(|| {
        let stage = Stage::shop(1280, 800);
        stage.open(Route::to(Screen::Keep));
        let door = stage.app.global::<KeepDoor>();
        assert!(door.get_may());
        let free = || {
            let rows = door.get_rows();
            let place = rows
                .iter()
                .position(|row| !row.course && !row.running && row.held.is_empty());
            place.map(|place| (i32::try_from(place).unwrap(), rows.row_data(place).unwrap()))
        };
        let (place, held) = free().unwrap();
        door.invoke_choose(place);
        door.set_hold_why("an inquiry".into());
        settle();
        door.invoke_hold();
        settle();
        let now = door
            .get_rows()
            .iter()
            .find(|row| row.id == held.id)
            .unwrap();
        assert_eq!(now.held, "an inquiry");
        assert_eq!(door.get_open(), -1);

        let many = door.get_rows().row_count();
        if let Some((place, gone)) = free() {
            door.invoke_choose(place);
            door.set_why("kept long enough".into());
            settle();
            stage.save("keep-shop");
            stage.tap("Forget the person");
            assert_eq!(door.get_rows().row_count(), many, "one tap deletes nothing");
            stage.tap("Delete on every device");
            assert_eq!(door.get_rows().row_count(), many - 1);
            assert!(door.get_rows().iter().all(|row| row.id != gone.id));
        }
    });
}
