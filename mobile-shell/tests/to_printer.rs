//! A sheet that was written goes to the system's own print dialog by one press more, where the
//! system has one; where it has none there is no such press.

use std::cell::{Cell, RefCell};
use std::path::{Path, PathBuf};
use std::rc::Rc;

use slint::ComponentHandle;
use tallywater::shell::Route;
use tallywater::system::{Chosen, System};
use tallywater::ui::{
    AppDoor, DebriefDoor, FormsDoor, IssueDoor, KitDoor, PaperDoor, RecordDoor, Screen,
};
use tempfile::TempDir;

use crate::support::{roomy, settle};
use crate::surface::Class;

const PRESS: &str = "Send to a printer";

/// A system that writes down what it was asked to print and to show.
struct Tablet {
    folder: TempDir,
    folders: Cell<u32>,
    prints: bool,
    /// Whether its dialog opens.
    opens: Cell<bool>,
    chosen: PathBuf,
    printed: RefCell<Vec<PathBuf>>,
    shown: RefCell<Vec<PathBuf>>,
}

impl System for Tablet {
    fn choose_file(&self, _: &str, _: &[&str], then: Chosen) {
        then(Ok(self.chosen.clone()));
    }

    fn show(&self, file: &Path) -> bool {
        self.shown.borrow_mut().push(file.to_owned());
        true
    }

    fn prints(&self) -> bool {
        self.prints
    }

    fn print(&self, sheet: &Path) -> bool {
        self.printed.borrow_mut().push(sheet.to_owned());
        self.opens.get()
    }

    /// A folder for each: two sheets of one second would have one name.
    fn papers(&self) -> PathBuf {
        self.folders.set(self.folders.get() + 1);
        let name = format!("papers-{}", self.folders.get());
        self.folder.path().join(name)
    }
}

fn on_tablet(prints: bool, size: (u32, u32)) -> (Class, Rc<Tablet>) {
    let class = Class::of(2, size);
    class.dived(0..8);
    let folder = TempDir::new().unwrap();
    let chosen = folder.path().join("kit.csv");
    std::fs::write(&chosen, "kind,number,size\nfins,1,42\n").unwrap();
    let tablet = Rc::new(Tablet {
        folder,
        folders: Cell::new(0),
        prints,
        opens: Cell::new(true),
        chosen,
        printed: RefCell::default(),
        shown: RefCell::default(),
    });
    class
        .stage
        .shell
        .use_system(Rc::<Tablet>::clone(&tablet) as Rc<dyn System>);
    // What was recorded before is no news any more.
    class.stage.shell.take_news();
    (class, tablet)
}

fn to(class: &Class, screen: Screen) {
    let route = Route::to(screen).course(class.course.clone());
    let route = route.session(class.session.clone());
    class.stage.open(route.student(class.students[0].clone()));
}

fn offered(class: &Class) -> bool {
    settle();
    class.stage.find(|label| label == PRESS).is_some()
}

/// A screen, and what writes its paper.
type Written = (Screen, fn(&Class));

/// Screens whose press writes a sheet, each with that press.
const WRITES: [Written; 6] = [
    (Screen::Record, |class| {
        class.stage.app.global::<RecordDoor>().invoke_print();
    }),
    (Screen::Record, |class| {
        let door = class.stage.app.global::<RecordDoor>();
        door.invoke_take_home(false);
    }),
    (Screen::Forms, |class| {
        class.stage.app.global::<FormsDoor>().invoke_print();
    }),
    (Screen::Debrief, |class| {
        class.stage.app.global::<DebriefDoor>().invoke_print();
    }),
    (Screen::Kit, |class| {
        class.stage.app.global::<KitDoor>().invoke_print();
    }),
    (Screen::Issue, |class| {
        class.stage.app.global::<IssueDoor>().invoke_print();
    }),
];

#[test]
fn a_sheet_that_was_written_goes_to_a_printer_by_one_press_until_the_screen_is_left() {
    roomy(|| {
        let (class, tablet) = on_tablet(true, (1280, 3200));
        for (screen, write) in WRITES {
            to(&class, screen);
            assert!(!offered(&class), "nothing was written: {screen:?}");
            write(&class);
            assert!(offered(&class), "{screen:?}");
            assert!(tablet.printed.borrow().is_empty(), "it is pressed for");
            class.stage.tap(PRESS);
            let printed = tablet.printed.take();
            assert_eq!(printed.len(), 1, "{screen:?}");
            assert!(std::fs::read(&printed[0]).unwrap().starts_with(b"%PDF"));
            class.stage.open(Route::to(Screen::Today));
            to(&class, screen);
            assert!(!offered(&class), "{screen:?} was left");
        }
        println!("## What is taken home opens as a page, and is printed as its sheet");
        let shown = tablet.shown.borrow();
        let ends = |file: &PathBuf| file.extension().is_some_and(|ending| ending == "html");
        assert_eq!(shown.iter().filter(|file| ends(file)).count(), 1);
    });
}

#[test]
fn where_the_system_does_not_print_there_is_no_such_press() {
    roomy(|| {
        let (class, tablet) = on_tablet(false, (1280, 3200));
        for (screen, write) in WRITES {
            to(&class, screen);
            write(&class);
            assert!(!offered(&class), "{screen:?}");
        }
        assert_eq!(tablet.shown.borrow().len(), WRITES.len(), "each is shown");
    });
}

#[test]
fn a_list_that_is_true_no_longer_and_a_table_go_to_no_printer() {
    roomy(|| {
        let (class, _tablet) = on_tablet(true, (1280, 3200));
        let door = class.stage.app.global::<KitDoor>();
        to(&class, Screen::Kit);
        door.invoke_print();
        assert!(offered(&class));
        door.invoke_write();
        assert!(!offered(&class), "a table");
        door.invoke_print();
        assert!(offered(&class));
        door.invoke_import();
        assert!(!offered(&class), "there is a piece more than on the sheet");
        assert_ne!(door.get_done(), "");
    });
}

#[test]
fn a_dialog_that_does_not_open_is_said() {
    roomy(|| {
        let (class, tablet) = on_tablet(true, (1280, 3200));
        let door = class.stage.app.global::<AppDoor>();
        to(&class, Screen::Record);
        class.stage.app.global::<RecordDoor>().invoke_print();
        settle();
        class.stage.tap(PRESS);
        assert_eq!(door.get_notice_title(), "");
        tablet.opens.set(false);
        class.stage.tap(PRESS);
        assert_eq!(door.get_notice_title(), "It was not printed");
    });
}

#[test]
fn the_press_stands_on_a_narrow_phone_in_german() {
    roomy(|| {
        let (class, _tablet) = on_tablet(true, (320, 4800));
        slint::select_bundled_translation("de").unwrap();
        to(&class, Screen::Record);
        class.stage.app.global::<RecordDoor>().invoke_print();
        settle();
        assert!(class.stage.app.global::<PaperDoor>().get_sheet());
        class.stage.save("to-printer-phone-de");
        let press = class.stage.button("Zum Drucker");
        let (at, size) = (press.absolute_position(), press.size());
        slint::select_bundled_translation("en").unwrap();
        assert!(
            at.x >= 0.0 && at.x + size.width <= 321.0,
            "{at:?}, {size:?}"
        );
        assert!(size.height >= 64.0, "a finger's height: {size:?}");
    });
}
