//! What is said at once and what a sign says; and a desk: the tabulator within a question, a file
//! that is chosen, a device that shows no files.

use std::path::{Path, PathBuf};
use std::rc::Rc;

use i_slint_backend_testing::AccessibleRole;
use slint::platform::{Key, WindowEvent};
use slint::{ComponentHandle, Model as _, SharedString};
use tallywater::shell::Route;
use tallywater::system::{Chosen, System};
use tallywater::ui::{
    AppDoor, Ask, AttemptDoor, CourseDoor, EnrolDoor, Look, Mark, Marks, Screen, Setup, Taken,
};
use tallywater_bindings::{CellState, Columns, MeasureKind};
use tempfile::TempDir;

use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, roomy, seen, settle};

/// A desk's system that chooses this file, or a tablet's that shows none.
struct Files(Option<PathBuf>);

impl System for Files {
    fn choose_file(&self, _: &str, _: &[&str], then: Chosen) {
        if let Some(file) = self.0.clone() {
            then(Ok(file));
        }
    }

    fn shows_files(&self) -> bool {
        self.0.is_some()
    }

    fn has_mouse(&self) -> bool {
        self.0.is_some()
    }

    fn show(&self, _: &Path) -> bool {
        false
    }

    fn papers(&self) -> PathBuf {
        PathBuf::new()
    }
}

fn key(stage: &Stage, key: Key) {
    let text = SharedString::from(key);
    let window = stage.app.window();
    window.dispatch_event(WindowEvent::KeyPressed { text: text.clone() });
    window.dispatch_event(WindowEvent::KeyReleased { text });
    settle();
}

/// A try that is timed, by somebody who was not judged in it yet.
fn timed(stage: &Stage) -> Route {
    let hand = stage.hand(Screen::Attempt);
    let course = hand.course.clone().unwrap();
    let board = seen(stage.desk().board(course, None, Columns::All));
    let mut columns = board.columns.iter();
    let skill = columns
        .find(|one| one.measure == Some(MeasureKind::Hold))
        .unwrap();
    let open = |row: &&tallywater_bindings::BoardRow| {
        let mut cells = row.cells.iter();
        cells.any(|cell| cell.skill == skill.skill && cell.state == CellState::Open)
    };
    let row = board.rows.iter().find(open).unwrap();
    hand.student(row.name.student.to_string())
        .skill(skill.skill.to_string())
}

#[test]
fn a_watch_that_stops_short_is_asked_about_at_once_with_both_figures() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(timed(&stage));
        let door = stage.app.global::<AttemptDoor>();
        assert_eq!(door.get_shorts().row_count(), 0);
        stage.tap("Start the watch");
        assert_eq!(door.get_shorts().row_count(), 0, "it runs still");
        stage.tap("Stop the watch");
        let taken = stage.desk().stopwatch(None).time.text;
        let measures = door.get_measures();
        let watched = measures.iter().find(|one| one.taken == Taken::Watch);
        let goal = watched.unwrap().goal;
        let asked = format!("{taken} of {goal}: met anyway?");
        let says: Vec<SharedString> = door.get_shorts().iter().collect();
        assert_eq!(says, [asked.as_str()]);
        let texts = stage.all(AccessibleRole::Text);
        assert!(
            texts
                .iter()
                .any(|one| one.accessible_label().is_some_and(|said| said == asked)),
            "it is to be seen"
        );

        println!("## Met without a reason records nothing, with one it does");
        let tries = door.get_tries().row_count();
        door.invoke_mark(Mark::Met);
        settle();
        assert_eq!(door.get_tries().row_count(), tries);
        door.set_despite("Held it twice before".into());
        door.invoke_mark(Mark::Met);
        stage.shell.take_news();
        settle();
        assert_eq!(door.get_tries().row_count(), tries + 1);
        assert_eq!(door.get_shorts().row_count(), 0);
    });
}

#[test]
fn a_watch_that_goes_on_is_asked_about_no_longer() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(timed(&stage));
        let door = stage.app.global::<AttemptDoor>();
        stage.tap("Start the watch");
        stage.tap("Stop the watch");
        assert_eq!(door.get_shorts().row_count(), 1);
        stage.tap("Start the watch");
        assert_eq!(door.get_shorts().row_count(), 0);
    });
}

/// Every look has its word there, and every sign.
fn legend_stands_on(hands: &Hands, what: &str) {
    let marks = hands.stage.app.global::<Marks>();
    for look in [
        Look::Open,
        Look::Part,
        Look::Nearly,
        Look::NotYet,
        Look::SatOut,
        Look::Shown,
        Look::Met,
        Look::TwoViews,
        Look::Slipped,
        Look::Exempt,
        Look::Unverified,
    ] {
        let word = marks.invoke_look_word(look);
        assert!(hands.reads(|said| word == said), "{word} on {what}");
    }
    for sign in [
        "Something is missing, or can hurt",
        "In the water",
        "By the stopwatch",
        "All, except",
        "Marks to settle",
    ] {
        assert!(hands.reads(|said| said == sign), "{sign} on {what}");
    }
}

#[test]
fn the_whole_legend_stands_wherever_marks_are_read() {
    roomy(|| {
        for (width, height) in [(390, 844), (1280, 800), (1920, 1080)] {
            let stage = Stage::demo(width, height);
            let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
            let at = timed(&hands.stage);
            for screen in [Screen::LineUp, Screen::Student, Screen::Attempt] {
                hands.stage.open(Route {
                    screen,
                    ..at.clone()
                });
                legend_stands_on(&hands, &format!("{screen:?} at {width}"));
            }
            hands.press("More");
            hands.press_row("Signs");
            legend_stands_on(&hands, &format!("More at {width}"));
            hands.press("Board");
            if height < 1000 {
                hands.press("Signs");
            }
            legend_stands_on(&hands, &format!("Board at {width}"));
        }
    });
}

#[test]
fn the_tabulator_stays_within_a_question_and_escape_ends_it() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let hands = Hands::on(stage, Desktop::new(), By::Keys);
        let stage = &hands.stage;
        let door = stage.app.global::<AppDoor>();
        let ask = || {
            door.set_ask(Ask {
                title: "Do it?".into(),
                says: "It would be done.".into(),
                first: "Do it".into(),
                second: "Do another thing".into(),
                hold: false,
            });
            settle();
        };
        ask();
        let answers = ["Do it", "Do another thing", "No, go back"];
        for answer in answers {
            key(stage, Key::Tab);
            assert_eq!(hands.focused().as_deref(), Some(answer));
        }
        // Behind the last answer comes the first again, by way of the sheet itself.
        key(stage, Key::Tab);
        key(stage, Key::Tab);
        assert_eq!(hands.focused().as_deref(), Some("Do it"));
        key(stage, Key::Backtab);
        key(stage, Key::Backtab);
        key(stage, Key::Tab);
        assert_eq!(hands.focused().as_deref(), Some("Do it"));
        let screen = door.get_screen();
        key(stage, Key::Escape);
        assert_eq!(door.get_ask().title, "", "the question is over");
        assert_eq!(door.get_screen(), screen, "and nothing behind it moved");
    });
}

#[test]
fn a_course_file_that_was_chosen_is_taken_in_after_a_question() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let course = stage.hand(Screen::Courses).course.unwrap();
        let bytes = seen(stage.desk().export_bundle(course.clone(), Vec::new()));
        let folder = TempDir::new().unwrap();
        let file = folder.path().join("course.tally");
        std::fs::write(&file, bytes).unwrap();
        stage.shell.use_system(Rc::new(Files(Some(file.clone()))));
        stage.open(Route::to(Screen::Courses));
        stage.tap("Take in a course file");
        let (app, door) = (
            stage.app.global::<AppDoor>(),
            stage.app.global::<CourseDoor>(),
        );
        let title = seen(stage.desk().course(course.clone())).title;
        assert_eq!(app.get_ask().title, format!("Take in {title}?"));
        stage.tap("Take it in");
        assert_eq!(app.get_screen(), Screen::Course);
        assert_eq!(stage.shell.route().course, Some(course));
        assert_eq!(door.get_done(), "Taken in: 0 entries were new.");

        println!("## What is no course file says so, and nothing is asked");
        std::fs::write(&file, b"no course").unwrap();
        stage.open(Route::to(Screen::Courses));
        stage.tap("Take in a course file");
        assert_eq!(app.get_ask().title, "");
        assert!(!door.get_file_fault().is_empty());
    });
}

#[test]
fn a_device_that_shows_no_files_has_no_button_for_one_and_says_what_works() {
    roomy(|| {
        let stage = Stage::demo(1280, 2600);
        let chooses = |stage: &Stage| stage.find(|said| said == "Choose a file").is_some();
        let says = |stage: &Stage| {
            let all = stage.all(AccessibleRole::Text);
            all.iter().any(|one| {
                one.accessible_label()
                    .is_some_and(|said| said.starts_with("This device shows its files to no"))
            })
        };
        stage
            .shell
            .use_system(Rc::new(Files(Some(PathBuf::from("none")))));
        stage.open(stage.hand(Screen::Enrol));
        assert!(!stage.app.global::<EnrolDoor>().get_course().is_empty());
        assert!(chooses(&stage) && !says(&stage));
        stage.shell.use_system(Rc::new(Files(None)));
        settle();
        assert!(!stage.app.global::<Setup>().get_desktop());
        assert!(!chooses(&stage) && says(&stage));
        let log = "Take dives from a log file (UDDF)";
        stage.open(stage.hand(Screen::Dives));
        assert!(stage.find(|said| said == log).is_none() && says(&stage));
        stage.open(Route::to(Screen::Courses));
        let file = "Take in a course file";
        assert!(stage.find(|said| said == file).is_none() && says(&stage));
    });
}
