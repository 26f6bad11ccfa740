//! The pool evening, played by touches alone: from first start to marks at the border.

use std::path::PathBuf;
use std::time::{Duration, Instant};

use i_slint_backend_testing::AccessibleRole;
use slint::ComponentHandle;
use tallywater::ui::{AppDoor, Screen};
use tallywater_bindings::{Columns, Mark};

use crate::support::{Stage, middle, roomy, seen};

#[test]
fn from_first_start_to_marks_and_a_headcount() {
    roomy(|| {
        let stage = Stage::new(1280, 800);
        let door = stage.app.global::<AppDoor>();
        assert_eq!(door.get_screen(), Screen::FirstStart);
        // What an earlier look at the demo left behind: its days are over.
        let own = PathBuf::from(stage.desk().folder());
        let old = own.join("demo").join("shop");
        std::fs::create_dir_all(&old).unwrap();
        std::fs::write(old.join("tallywater.db"), "yesterday's").unwrap();
        let demo = stage.find(|label| label.starts_with("Look at the demo school"));
        stage.touch(middle(&demo.unwrap()), 80);
        // The school is built on a thread of its own.
        let start = Instant::now();
        while door.get_screen() == Screen::FirstStart {
            std::thread::sleep(Duration::from_millis(50));
            stage.shell.take_news();
            assert!(start.elapsed() < Duration::from_secs(240), "no demo school");
        }
        assert_eq!(door.get_screen(), Screen::Today);
        let demo = PathBuf::from(stage.desk().folder());
        assert!(demo.starts_with(own.join("demo")), "{}", demo.display());
        stage.tap("Board");
        assert_eq!(door.get_screen(), Screen::Board);
        let route = stage.hand(Screen::Board);
        let board = || {
            seen(stage.desk().board(
                route.course.clone().unwrap(),
                route.session.clone(),
                Columns::Session,
            ))
        };
        // A student after whom another comes.
        let skill = board().columns[0].clone();
        let sheet = |student: &str| {
            seen(stage.desk().attempt_sheet(
                route.course.clone().unwrap(),
                student.to_owned(),
                skill.skill.to_string(),
                route.session.clone(),
            ))
        };
        let row = board()
            .rows
            .iter()
            .position(|row| sheet(&row.name.student.to_string()).next.is_some());
        let row = row.unwrap();
        let student = board().rows[row].name.clone();
        let begins = format!("{}, {}: ", student.short, skill.name);
        let cell = stage.find(|label| label.starts_with(&begins)).unwrap();
        stage.touch(middle(&cell), 80);
        stage.tap(&format!("{}: Sat out", student.short));
        assert_eq!(board().rows[row].cells[0].last, Some(Mark::SatOut));
        // The next student is already there.
        let next = stage.find(|label| label.starts_with("Next: ")).unwrap();
        stage.touch(middle(&next), 80);
        let second = sheet(&student.student.to_string()).next.unwrap().short;
        assert!(
            stage
                .find(|label| label == format!("{second}: Met"))
                .is_some()
        );
        stage.tap("Close");
        stage.tap("Water");
        assert_eq!(door.get_screen(), Screen::Water);
        let heads = || {
            seen(stage.desk().headcount(
                route.course.clone().unwrap(),
                route.session.clone().unwrap(),
            ))
        };
        let before = heads().in_water;
        let open = |end: &str| {
            let all = stage.labelled(|label| label.ends_with(end));
            all.into_iter()
                .find(|one| one.accessible_enabled() != Some(false))
        };
        let (pass, expected) = match open(": Out") {
            Some(out) => (out, before - 1),
            None => (open(": In").unwrap(), before + 1),
        };
        stage.touch(middle(&pass), 80);
        assert_eq!(heads().in_water, expected);
        stage.tap("Undo");
        assert_eq!(heads().in_water, before);
        println!("## That it is the demo is said with large names too");
        let says = || {
            let all = stage.all(AccessibleRole::Text).into_iter();
            let mut said = all.filter_map(|one| one.accessible_label());
            said.any(|one| one == "Demo: everybody here is invented")
        };
        stage.open(stage.hand(Screen::LineUp).skill(skill.skill.to_string()));
        assert!(says());
        stage.tap("Large names");
        assert_eq!(door.get_screen(), Screen::Bare);
        assert!(says());
        stage.tap("Back");
        println!("## And it is left for the device that it was looked at from");
        stage.tap("More");
        let leave = stage.button("Leave the demo, Back to your own device");
        stage.touch(middle(&leave), 80);
        assert_eq!(door.get_screen(), Screen::FirstStart);
        assert_eq!(PathBuf::from(stage.desk().folder()), own);
        assert!(!says());
    });
}
