//! The volume keys of a tablet: learned as any other key, taken from the system only where they
//! do something, and left to it everywhere else.

use std::cell::{Cell, RefCell};
use std::path::{Path, PathBuf};
use std::rc::Rc;

use slint::platform::Key;
use slint::{ComponentHandle, Model as _, SharedString};
use tallywater::shell::Route;
use tallywater::system::{Chosen, System, VolumeKey};
use tallywater::ui::{Keys, MoreDoor, Screen};
use tallywater_bindings::Mark;

use crate::support::{roomy, seen, settle};
use crate::surface::Class;

/// A tablet whose volume keys go to the program while it takes them.
#[derive(Default)]
struct Tablet {
    taken: RefCell<Vec<VolumeKey>>,
    /// How often it was asked to take others.
    asked: Cell<u32>,
    /// How often its sound was made louder or softer.
    volume: Cell<u32>,
}

impl System for Tablet {
    fn choose_file(&self, _: &str, _: &[&str], _: Chosen) {}

    fn show(&self, _: &Path) -> bool {
        false
    }

    fn papers(&self) -> PathBuf {
        std::env::temp_dir()
    }

    fn take_keys(&self, taken: &[VolumeKey]) {
        self.taken.replace(taken.to_vec());
        self.asked.set(self.asked.get() + 1);
    }
}

impl Tablet {
    fn of(class: &Class) -> Rc<Self> {
        let tablet = Rc::new(Self::default());
        class
            .stage
            .shell
            .use_system(Rc::<Self>::clone(&tablet) as Rc<dyn System>);
        tablet
    }

    /// A press, as the system hands it over or keeps it.
    fn press(&self, class: &Class, key: VolumeKey) {
        if self.taken.borrow().contains(&key) {
            class.stage.shell.volume_key(key);
        } else {
            self.volume.set(self.volume.get() + 1);
        }
        settle();
        class.stage.shell.take_news();
        settle();
    }

    fn taken(&self) -> Vec<VolumeKey> {
        self.taken.borrow().clone()
    }
}

fn more(class: &Class) {
    class.stage.open(Route::to(Screen::More));
}

/// The row is pressed by which a key is learned for this.
fn wait_for(class: &Class, act: &str) {
    let begins = format!("{act}, ");
    class.reach(|label| label.starts_with(&begins));
}

fn named(class: &Class) -> Vec<SharedString> {
    let names = class.stage.app.global::<MoreDoor>().get_keys();
    names.iter().collect()
}

#[test]
fn a_volume_key_that_was_learned_marks_in_a_line_up_and_changes_the_volume_elsewhere() {
    roomy(|| {
        let class = Class::of(2, (800, 1280));
        class.dived(0..8);
        let tablet = Tablet::of(&class);
        println!("## Nothing was learned: the volume is the system's, in a line-up as well");
        class.to(Screen::LineUp);
        tablet.press(&class, VolumeKey::Up);
        assert_eq!(class.marks(0), vec![None; 8]);
        assert_eq!((tablet.volume.get(), tablet.asked.get()), (1, 0));
        println!("## While a key is waited for both are taken, and no longer");
        more(&class);
        assert!(tablet.taken().is_empty());
        wait_for(&class, "Met");
        assert_eq!(tablet.taken(), VolumeKey::ALL);
        tablet.press(&class, VolumeKey::Up);
        assert_eq!(named(&class)[1], "Volume up");
        assert!(tablet.taken().is_empty());
        tablet.press(&class, VolumeKey::Up);
        assert_eq!(tablet.volume.get(), 2);
        println!("## In a line-up it marks, here and with large names; the other one is not ours");
        class.to(Screen::LineUp);
        assert_eq!(tablet.taken(), [VolumeKey::Up]);
        tablet.press(&class, VolumeKey::Up);
        tablet.press(&class, VolumeKey::Down);
        class.tap("Large names");
        assert_eq!(class.stage.shell.route().screen, Screen::Bare);
        tablet.press(&class, VolumeKey::Up);
        let met = Some(Mark::Met);
        assert_eq!(class.marks(0)[..3], [met, met, None]);
        assert_eq!(tablet.volume.get(), 3);
        println!("## Nowhere else");
        let before = class.marks(0);
        for screen in [Screen::Board, Screen::Water, Screen::Today, Screen::Cards] {
            class.to(screen);
            assert!(tablet.taken().is_empty(), "{screen:?}");
            tablet.press(&class, VolumeKey::Up);
        }
        assert_eq!(class.marks(0), before);
        assert_eq!(tablet.volume.get(), 7);
        println!("## Forgotten, they are the system's again");
        more(&class);
        class.reach(|label| label == "Forget learned keys");
        class.to(Screen::LineUp);
        assert!(tablet.taken().is_empty());
    });
}

#[test]
fn waiting_for_a_key_ends_with_the_page_and_with_escape() {
    roomy(|| {
        let class = Class::of(2, (800, 1280));
        let tablet = Tablet::of(&class);
        more(&class);
        wait_for(&class, "Undo");
        assert_eq!(tablet.taken(), VolumeKey::ALL);
        class.stage.open(Route::to(Screen::Today));
        assert!(tablet.taken().is_empty());
        assert_eq!(class.stage.app.global::<Keys>().get_learning(), 0);
        class.press("z");
        more(&class);
        assert_eq!(named(&class)[3], "none learned");
        wait_for(&class, "Undo");
        class.press(Key::Escape);
        assert!(tablet.taken().is_empty());
    });
}

#[test]
fn the_keys_have_names_in_both_languages_and_a_device_keeps_them() {
    roomy(|| {
        let class = Class::of(2, (800, 1280));
        let tablet = Tablet::of(&class);
        for (act, key) in [("Next student", VolumeKey::Down), ("Met", VolumeKey::Up)] {
            more(&class);
            wait_for(&class, act);
            tablet.press(&class, key);
        }
        assert_eq!(named(&class)[..2], ["Volume down", "Volume up"]);
        slint::select_bundled_translation("de").unwrap();
        more(&class);
        let german = named(&class);
        slint::select_bundled_translation("en").unwrap();
        assert_eq!(german[..2], ["Leiser", "Lauter"]);
        let kept = |word: &str| seen(class.stage.desk().preference(word.into()));
        // Devices have these from now on: never others.
        assert_eq!(kept("key-next").as_deref(), Some("\u{e0f2}"));
        assert_eq!(kept("key-met").as_deref(), Some("\u{e0f1}"));
        println!("## Another machine is asked anew");
        class.to(Screen::LineUp);
        assert_eq!(tablet.taken(), VolumeKey::ALL);
        let other = Tablet::of(&class);
        assert_eq!(other.taken(), VolumeKey::ALL);
        assert_eq!(other.asked.get(), 1);
    });
}
