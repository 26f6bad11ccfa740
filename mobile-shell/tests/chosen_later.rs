//! A file that is chosen on a tablet comes later than the press, in the form of a copy that is
//! gone once it was read: to what it was chosen for and to nothing else, or never.

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use slint::{ComponentHandle, Model as _, SharedString};
use tallywater::shell::Route;
use tallywater::system::{Chosen, NoFile, System};
use tallywater::ui::{
    AgendaDoor, AppDoor, CourseDoor, DivesDoor, EnrolDoor, FilesDoor, KitDoor, RecordDoor, Screen,
};
use tallywater_bindings::{Columns, Tallywater};
use tempfile::TempDir;

use crate::kept_files::{files, png, wav};
use crate::own_dives::log;
use crate::support::{roomy, seen, settle};
use crate::surface::Class;

/// A tablet whose system answers a press for a file when the test says so.
struct Tablet {
    folder: TempDir,
    waiting: RefCell<Vec<Chosen>>,
}

impl System for Tablet {
    fn choose_file(&self, _: &str, endings: &[&str], then: Chosen) {
        assert!(!endings.is_empty());
        self.waiting.borrow_mut().push(then);
    }

    fn show(&self, _: &Path) -> bool {
        true
    }

    fn papers(&self) -> PathBuf {
        self.folder.path().join("papers")
    }
}

impl Tablet {
    fn of(class: &Class) -> Rc<Self> {
        let tablet = Rc::new(Self {
            folder: TempDir::new().unwrap(),
            waiting: RefCell::default(),
        });
        class
            .stage
            .shell
            .use_system(Rc::<Self>::clone(&tablet) as Rc<dyn System>);
        tablet
    }

    /// Answers the first press that waits, with a copy that is gone afterwards.
    fn answers(&self, name: &str, bytes: &[u8]) {
        let then = self.waiting.borrow_mut().remove(0);
        let copy = self.folder.path().join(name);
        std::fs::write(&copy, bytes).unwrap();
        then(Ok(copy.clone()));
        std::fs::remove_file(copy).unwrap();
        settle();
    }

    /// Answers it that there is nothing to read.
    fn refuses(&self, why: NoFile) {
        let then = self.waiting.borrow_mut().remove(0);
        then(Err(why));
        settle();
    }
}

/// The title of what is said over the screen; it is read, and gone.
fn noticed(class: &Class) -> SharedString {
    let door = class.stage.app.global::<AppDoor>();
    let said = door.get_notice_title();
    door.invoke_notice();
    assert_eq!(door.get_notice_title(), "");
    said
}

/// A press that asks for a file, what a person chooses then, and what comes of it in number.
struct Press {
    screen: Screen,
    asks: fn(&Class),
    name: &'static str,
    bytes: Vec<u8>,
    many: fn(&Class) -> usize,
}

fn own_dives(class: &Class) -> usize {
    let (course, student) = (class.course.clone(), class.students[0].clone());
    seen(class.stage.desk().student_record(course, student))
        .own_dives
        .len()
}

/// Whether it is asked if a course file is to be taken in.
fn asked(class: &Class) -> usize {
    let title = class.stage.app.global::<AppDoor>().get_ask().title;
    usize::from(!title.is_empty())
}

/// The log of the first student alone is meant.
fn of_the_first(class: &Class) {
    let door = class.stage.app.global::<DivesDoor>();
    door.invoke_choose_form(3);
    settle();
    for chip in door.get_people().iter() {
        if chip.on != (chip.id == class.students[0].as_str()) {
            door.invoke_toggle(chip.id);
        }
    }
    settle();
    door.invoke_choose_file();
}

fn press(
    screen: Screen,
    asks: fn(&Class),
    name: &'static str,
    bytes: Vec<u8>,
    many: fn(&Class) -> usize,
) -> Press {
    Press {
        screen,
        asks,
        name,
        bytes,
        many,
    }
}

/// Every press of the screens that asks for a file.
fn presses(class: &Class) -> Vec<Press> {
    let desk = class.stage.desk();
    let day = seen(desk.day(None, 5)).date;
    let slots = format!("date,start,end,place\n{day},18:00,20:00,Hollow Lane pool\n");
    let log = |day: &str| log("Baldo", "Cantavento", &format!("{day}T12:00:00+02:00"));
    vec![
        press(
            Screen::Enrol,
            |class| class.stage.app.global::<EnrolDoor>().invoke_import(),
            "roster.csv",
            b"name,born\nTove Lind,1990-02-03\n".to_vec(),
            |class| {
                let board = class
                    .stage
                    .desk()
                    .board(class.course.clone(), None, Columns::All);
                seen(board).rows.len()
            },
        ),
        press(
            Screen::Kit,
            |class| class.stage.app.global::<KitDoor>().invoke_import(),
            "kit.csv",
            b"kind,number,size\nfins,1,42\n".to_vec(),
            |class| seen(class.stage.desk().kit()).rows.len(),
        ),
        press(
            Screen::Agenda,
            |class| class.stage.app.global::<AgendaDoor>().invoke_read_slots(),
            "pool.csv",
            slots.into_bytes(),
            |class| {
                let take = class.stage.app.global::<AgendaDoor>().get_to_take();
                usize::try_from(take).unwrap()
            },
        ),
        press(
            Screen::Slate,
            |class| {
                let door = class.stage.app.global::<FilesDoor>();
                door.invoke_keep_photograph();
            },
            "slate.png",
            png(None),
            |class| files(class).len(),
        ),
        press(
            Screen::Record,
            |class| class.stage.app.global::<RecordDoor>().invoke_take_own(),
            "own.uddf",
            log("2020-06-06").into_bytes(),
            own_dives,
        ),
        press(
            Screen::Dives,
            of_the_first,
            "dives.uddf",
            log("2020-06-08").into_bytes(),
            |class| {
                let new = class.stage.app.global::<DivesDoor>().get_new_in_file();
                usize::try_from(new).unwrap()
            },
        ),
        // A question stands over what comes after it: the last.
        press(
            Screen::Courses,
            |class| class.stage.app.global::<CourseDoor>().invoke_take_file(),
            "course.tally",
            seen(desk.export_bundle(class.course.clone(), Vec::new())),
            asked,
        ),
    ]
}

fn to(class: &Class, screen: Screen) {
    let route = Route::to(screen).course(class.course.clone());
    let route = route.session(class.session.clone());
    class.stage.open(route.student(class.students[0].clone()));
}

#[test]
fn a_file_that_comes_later_goes_where_it_was_asked_for_and_nowhere_once_that_was_left() {
    roomy(|| {
        let class = Class::of(2, (1280, 800));
        let tablet = Tablet::of(&class);
        let presses = presses(&class);
        for left in [true, false] {
            for one in &presses {
                to(&class, one.screen);
                let before = (one.many)(&class);
                (one.asks)(&class);
                settle();
                assert_eq!((one.many)(&class), before, "{:?}", one.screen);
                if left {
                    class.stage.open(Route::to(Screen::Today));
                }
                tablet.answers(one.name, &one.bytes);
                let after = (one.many)(&class);
                let says = noticed(&class);
                if left {
                    assert_eq!(after, before, "{:?} was left", one.screen);
                    assert_eq!(says, "The file was not taken in", "{:?}", one.screen);
                } else {
                    assert_eq!(after, before + 1, "{:?}", one.screen);
                    assert_eq!(says, "", "{:?}", one.screen);
                }
            }
        }
    });
}

#[test]
fn a_sound_for_one_student_never_goes_to_the_next_one_whose_page_is_shown() {
    roomy(|| {
        let class = Class::of(9, (800, 1280));
        class.dived(0..8);
        let tablet = Tablet::of(&class);
        let page = |student: usize| {
            let route = Route::to(Screen::Student).course(class.course.clone());
            class
                .stage
                .open(route.student(class.students[student].clone()));
        };
        let door = class.stage.app.global::<FilesDoor>();
        page(0);
        door.invoke_keep_sound();
        page(1);
        tablet.answers("note.wav", &wav());
        assert!(files(&class).is_empty());
        assert_eq!(noticed(&class), "The file was not taken in");
        println!("## A page that was left and come back to is the same page");
        page(0);
        door.invoke_keep_sound();
        page(1);
        page(0);
        tablet.answers("note.wav", &wav());
        let kept = files(&class);
        assert_eq!(kept.len(), 1);
        assert_eq!(kept[0].student.as_ref().unwrap().student, class.students[0]);
    });
}

#[test]
fn of_two_presses_the_later_one_counts_and_one_that_is_never_answered_holds_nothing_up() {
    roomy(|| {
        let class = Class::of(2, (1280, 800));
        let tablet = Tablet::of(&class);
        let door = class.stage.app.global::<FilesDoor>();
        to(&class, Screen::Slate);
        door.invoke_keep_photograph();
        door.invoke_keep_photograph();
        tablet.answers("first.png", b"no picture at all");
        assert_eq!(door.get_refused(), "", "nobody waits for the first");
        assert_eq!(noticed(&class), "");
        tablet.answers("second.png", &png(None));
        assert_eq!(files(&class).len(), 1);
        println!("## Nothing was chosen: the system says nothing more, and the press works again");
        door.invoke_keep_photograph();
        tablet.waiting.borrow_mut().clear();
        settle();
        class.tap("In, all of them");
        assert_eq!(door.get_refused(), "");
        assert_eq!(noticed(&class), "");
        door.invoke_keep_photograph();
        tablet.answers("third.png", &png(None));
        assert_eq!(files(&class).len(), 2);
        println!("## An answer that comes when another desk stands behind the window");
        let (first, other) = (class.stage.desk(), TempDir::new().unwrap());
        door.invoke_keep_photograph();
        let desk = Tallywater::open(other.path().display().to_string()).unwrap();
        class.stage.shell.stand_behind(desk);
        settle();
        tablet.answers("late.png", &png(None));
        assert_eq!(noticed(&class), "");
        let kept = first.attachments(class.course.clone(), class.session.clone());
        assert_eq!(seen(kept).rows.len(), 2);
    });
}

#[test]
fn a_file_never_puts_a_question_over_one_that_is_about_to_be_answered() {
    roomy(|| {
        let class = Class::of(2, (1280, 800));
        let tablet = Tablet::of(&class);
        to(&class, Screen::Record);
        let (app, door) = (
            class.stage.app.global::<AppDoor>(),
            class.stage.app.global::<RecordDoor>(),
        );
        door.invoke_take_own();
        door.invoke_leave();
        settle();
        let question = app.get_ask();
        assert_ne!(question.title, "");
        // The log of somebody else would be asked about.
        let other = log("Bo", "Li", "2020-06-07T12:00:00+02:00");
        tablet.answers("own.uddf", other.as_bytes());
        assert_eq!(app.get_ask(), question);
        assert_eq!(noticed(&class), "The file was not taken in");
        class.stage.tap("No, go back");
        assert_eq!(own_dives(&class), 0);
    });
}

#[test]
fn what_cannot_be_read_or_is_too_large_is_said_where_it_was_asked_for() {
    roomy(|| {
        let class = Class::of(2, (1280, 800));
        let tablet = Tablet::of(&class);
        let door = class.stage.app.global::<EnrolDoor>();
        class
            .stage
            .open(Route::to(Screen::Enrol).course(class.course.clone()));
        for (why, says) in [
            (NoFile::Unreadable, "This file cannot be read."),
            (
                NoFile::TooLarge,
                "This file is too large for this device. A desk’s computer takes it in.",
            ),
        ] {
            door.invoke_import();
            tablet.refuses(why);
            let said: Vec<SharedString> = door.get_bad_rows().iter().collect();
            assert_eq!(said, [says]);
        }
    });
}

#[test]
fn dives_are_taken_from_a_copy_that_is_gone_by_then() {
    roomy(|| {
        let class = Class::of(2, (1280, 800));
        let tablet = Tablet::of(&class);
        class
            .stage
            .open(Route::to(Screen::Dives).course(class.course.clone()));
        of_the_first(&class);
        let day = seen(class.stage.desk().day(None, -1)).date;
        let at = class
            .stage
            .desk()
            .read_clock(day.to_string(), "10:20".into());
        let log = log("Baldo", "Cantavento", &seen(at).at.to_rfc3339());
        tablet.answers("baldo.uddf", log.as_bytes());
        let door = class.stage.app.global::<DivesDoor>();
        assert_eq!(door.get_file(), "baldo.uddf", "its name, and no path");
        assert_eq!(door.get_new_in_file(), 1, "{}", door.get_file_fault());
        door.invoke_take_file();
        settle();
        assert_eq!(door.get_file_fault(), "");
        let dives = class.stage.desk().water(class.course.clone(), None);
        assert_eq!(seen(dives).dives.len(), 1);
    });
}
