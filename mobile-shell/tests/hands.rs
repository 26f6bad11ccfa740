//! Hands: fingers and keys on a window, in the language that it speaks, and how many taps and
//! fields they needed.

use std::cell::Cell;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use i_slint_backend_testing::{AccessibleRole, ElementHandle};
use i_slint_core::accessibility::AccessibleStringProperty;
use i_slint_core::item_tree::ParentItemTraversalMode;
use i_slint_core::window::WindowInner;
use slint::platform::{Key, WindowEvent};
use slint::{ComponentHandle, LogicalPosition, SharedString};
use tallywater::system::{Chosen, System};
use tallywater::ui::{BoardDoor, PlanDoor};
use tempfile::TempDir;

use crate::support::{Stage, is_like, middle, settle, wait};
use crate::wording::german;

/// A system that chooses the file it was given, and remembers what it was asked to show.
pub(crate) struct Desktop {
    folder: TempDir,
    pub(crate) roster: Option<PathBuf>,
    pub(crate) shown: Cell<Option<PathBuf>>,
}

impl Desktop {
    pub(crate) fn new() -> Self {
        Self {
            folder: TempDir::new().unwrap(),
            roster: None,
            shown: Cell::new(None),
        }
    }
}

impl System for Desktop {
    fn choose_file(&self, _title: &str, endings: &[&str], then: Chosen) {
        assert!(endings.contains(&"csv"));
        if let Some(file) = self.roster.clone() {
            then(Ok(file));
        }
    }

    fn show(&self, file: &Path) -> bool {
        self.shown.set(Some(file.to_owned()));
        true
    }

    fn papers(&self) -> PathBuf {
        self.folder.path().to_owned()
    }
}

/// With what the window is worked.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum By {
    Touch,
    Keys,
}

/// Hands on a device that was never used.
pub(crate) struct Hands {
    pub(crate) stage: Stage,
    pub(crate) desktop: Rc<Desktop>,
    pub(crate) by: By,
    language: &'static str,
    /// How often something was pressed.
    pub(crate) taps: u32,
    /// How many fields were filled.
    pub(crate) fields: u32,
    /// How many keys were struck: what was typed, and by keys alone the way from one thing to
    /// the next.
    pub(crate) struck: Cell<u32>,
    /// How often the page was drawn up or down, to find what is pressed.
    pub(crate) strokes: Cell<u32>,
}

impl Drop for Hands {
    /// The language is the whole program's: the next test begins in English.
    fn drop(&mut self) {
        let _ = slint::select_bundled_translation("en");
    }
}

impl Hands {
    pub(crate) fn on(stage: Stage, desktop: Desktop, by: By) -> Self {
        slint::select_bundled_translation("en").unwrap();
        let desktop = Rc::new(desktop);
        stage
            .shell
            .use_system(Rc::<Desktop>::clone(&desktop) as Rc<dyn System>);
        Self {
            stage,
            desktop,
            by,
            language: "en",
            taps: 0,
            fields: 0,
            struck: Cell::new(0),
            strokes: Cell::new(0),
        }
    }

    /// The words of the screens in the language that they speak.
    pub(crate) fn say(&self, english: &str) -> String {
        if self.language == "en" {
            return english.to_owned();
        }
        let word = (None, english.to_owned(), None);
        let found = german().remove(&word);
        found
            .unwrap_or_else(|| panic!("no German for {english:?}"))
            .remove(0)
    }

    pub(crate) fn speaks(&mut self, language: &'static str) {
        self.language = language;
    }

    /// Presses the one thing that is called so.
    pub(crate) fn press(&mut self, english: &str) {
        let label = self.say(english);
        self.press_like(&label, |said| said == label);
    }

    /// Presses what is called so, with something behind it: a row with its detail.
    pub(crate) fn press_row(&mut self, english: &str) {
        let label = self.say(english);
        let begins = format!("{label}, ");
        self.press_like(&label, |said| said == label || said.starts_with(&begins));
    }

    /// Presses the first thing whose label is like that.
    pub(crate) fn press_like(&mut self, what: &str, like: impl Fn(&str) -> bool) {
        self.taps += 1;
        match self.by {
            By::Touch => {
                let found = self.scrolled_to(|| self.stage.find(&like));
                let found =
                    found.unwrap_or_else(|| panic!("no {what:?} among {:#?}", self.stage.labels()));
                let at = self.reach(&found, || self.stage.find(&like));
                self.stage.touch(at, 80);
            }
            By::Keys => {
                self.walk_to(what, &like);
                self.key(SharedString::from(Key::Return));
            }
        }
        self.stage.shell.take_news();
        settle();
    }

    /// Presses what stands over the others that are called so: an answer over its question.
    pub(crate) fn press_over(&mut self, english: &str) {
        let label = self.say(english);
        self.taps += 1;
        let all = self.stage.labelled(|said| said == label);
        let over = all
            .last()
            .unwrap_or_else(|| panic!("no {label:?} among {:#?}", self.stage.labels()));
        self.stage.touch(middle(over), 80);
        self.stage.shell.take_news();
        settle();
    }

    /// Whether the page says something like that, wherever on it that stands.
    pub(crate) fn reads(&self, like: impl Fn(&str) -> bool) -> bool {
        let found = self.scrolled_to(|| {
            let all = self.stage.all(AccessibleRole::Text).into_iter();
            let mut said = all.filter(|one| one.accessible_label().is_some_and(|said| like(&said)));
            said.next()
        });
        found.is_some()
    }

    /// The day of the plan on screen, as `2026-06-02`.
    pub(crate) fn planned_day(&self) -> String {
        let day = self.stage.app.global::<PlanDoor>().get_view().day;
        format!("{:04}-{:02}-{:02}", day.year, day.month, day.day)
    }

    /// Holds the bar that asks for it, where one does.
    pub(crate) fn hold_if_asked(&mut self) {
        let begins = self.say("Hold: {0}").replace("{0}", "");
        let Some(bar) = self.stage.find(|said| said.starts_with(&begins)) else {
            return;
        };
        self.taps += 1;
        match self.by {
            By::Touch => self.stage.touch(middle(&bar), 1_300),
            By::Keys => {
                let window = self.stage.app.window();
                let text = SharedString::from(Key::Return);
                window.dispatch_event(WindowEvent::KeyPressed { text: text.clone() });
                // The bar fills while it is held: a key that is held is pressed once.
                for _ in 0..50 {
                    wait(25);
                }
                window.dispatch_event(WindowEvent::KeyReleased { text });
            }
        }
        self.stage.shell.take_news();
        settle();
    }

    /// Opens a cell of the board: by a finger, or by the arrow keys.
    pub(crate) fn press_cell(&mut self, row: usize, column: usize, begins: &str) {
        if self.by == By::Touch {
            return self.press_like(begins, |said| said.starts_with(begins));
        }
        self.taps += 1;
        let board = self.stage.app.global::<BoardDoor>().get_view().title;
        self.walk_to("the board", &|said| board == said);
        self.key(Key::Home.into());
        // The board remembers the row that one was in.
        for _ in 0..30 {
            self.key(Key::UpArrow.into());
        }
        for _ in 0..row {
            self.key(Key::DownArrow.into());
        }
        for _ in 0..column {
            self.key(Key::RightArrow.into());
        }
        self.key(Key::Return.into());
        self.stage.shell.take_news();
        settle();
    }

    /// Opens the pad of the figure of this title, types on it, and closes it. A colon and a
    /// space are the pad's one mark.
    pub(crate) fn type_figure(&mut self, english: &str, text: &str) {
        self.fields += 1;
        let begins = format!("{}: ", self.say(english));
        self.press_like(&begins, |said| said.starts_with(&begins));
        if self.by == By::Keys {
            for letter in text.chars() {
                // What parts the figures of a date is typed as on a keyboard.
                let letter = if letter == ' ' { '.' } else { letter };
                self.key(SharedString::from(letter.to_string()));
            }
            return self.enter();
        }
        for letter in text.chars() {
            let key = match letter {
                ':' => self.say("Colon"),
                ' ' => self.say("Space"),
                digit => digit.to_string(),
            };
            self.press_like(&key, |said| said == key);
        }
        self.press("Done");
    }

    /// Scrolls until a finger reaches it: where it is then. It is looked for again after each
    /// stroke, and left where it was seen last once it is nowhere to be seen.
    fn reach(
        &self,
        element: &ElementHandle,
        again: impl Fn() -> Option<ElementHandle>,
    ) -> LogicalPosition {
        let size = self.stage.app.window().size();
        let (width, height) = (size.width as f32, size.height as f32);
        // Over the bar and the places at the foot; at a try its marks stand there as well.
        let screen = self
            .stage
            .app
            .global::<tallywater::ui::AppDoor>()
            .get_screen();
        let foot = if screen == tallywater::ui::Screen::Attempt {
            290.0
        } else {
            210.0
        };
        let mut at = middle(element);
        for _ in 0..40 {
            // Under the header as well.
            let move_by = if at.y > height - foot {
                -1.0
            } else if at.y < 110.0 {
                1.0
            } else {
                break;
            };
            // At the very edge nothing is pressed and nothing is written.
            let x = width - 5.0;
            let from = height * 0.5;
            self.strokes.set(self.strokes.get() + 1);
            self.stage.draw(
                LogicalPosition::new(x, from - move_by * height * 0.15),
                LogicalPosition::new(x, from + move_by * height * 0.15),
            );
            let Some(found) = again() else {
                break;
            };
            let now = middle(&found);
            if (now.y - at.y).abs() < 1.0 {
                break;
            }
            at = now;
        }
        at
    }

    /// What is found where one is, or after drawing the page down and up again: only what is
    /// to be seen is found.
    fn scrolled_to<T>(&self, find: impl Fn() -> Option<T>) -> Option<T> {
        let size = self.stage.app.window().size();
        let (width, height) = (size.width as f32, size.height as f32);
        for (way, strokes) in [(0.0, 1), (-1.0, 30), (1.0, 60)] {
            for _ in 0..strokes {
                if let Some(found) = find() {
                    return Some(found);
                }
                if way == 0.0 {
                    break;
                }
                let (x, from) = (width - 5.0, height * 0.5);
                self.strokes.set(self.strokes.get() + 1);
                self.stage.draw(
                    LogicalPosition::new(x, from - way * height * 0.1),
                    LogicalPosition::new(x, from + way * height * 0.1),
                );
                settle();
            }
        }
        None
    }

    fn input(&self, title: &str) -> ElementHandle {
        let named = || {
            let all = self.stage.all(AccessibleRole::TextInput).into_iter();
            let mut named =
                all.filter(|one| one.accessible_label().is_some_and(|said| said == title));
            named.next()
        };
        let found = self.scrolled_to(named);
        found.unwrap_or_else(|| {
            let all = self.stage.all(AccessibleRole::TextInput);
            let titles: Vec<_> = all.iter().map(ElementHandle::accessible_label).collect();
            panic!("no field {title:?} among {titles:#?}")
        })
    }

    /// Fills the field of this title.
    pub(crate) fn write(&mut self, english: &str, text: &str) {
        let title = self.say(english);
        self.write_titled(&title, text);
    }

    /// Fills the field that is called so in the language that the screens speak.
    pub(crate) fn write_titled(&mut self, title: &str, text: &str) {
        self.fields += 1;
        self.to_field(title);
        for letter in text.chars() {
            self.key(SharedString::from(letter.to_string()));
        }
    }

    /// Fills the field of this title anew, which says `before`: that is taken out from its end.
    pub(crate) fn rewrite(&mut self, english: &str, before: &str, text: &str) {
        let title = self.say(english);
        self.to_field(&title);
        self.key(Key::End.into());
        for _ in before.chars() {
            self.key(Key::Backspace.into());
        }
        self.write_titled(&title, text);
    }

    /// Puts the cursor into the field that is called so.
    fn to_field(&self, title: &str) {
        if self.focused().as_deref() != Some(title) {
            match self.by {
                By::Touch => {
                    let field = self.input(title);
                    let at = self.reach(&field, || Some(self.input(title)));
                    self.stage.touch(at, 80);
                }
                By::Keys => self.walk_to(title, &|said: &str| said == title),
            }
            assert_eq!(self.focused().as_deref(), Some(title), "the cursor");
        }
    }

    /// Enter, as the keyboard of a phone has it too: it counts as a press.
    pub(crate) fn enter(&mut self) {
        self.taps += 1;
        self.key(SharedString::from(Key::Return));
        self.stage.shell.take_news();
        settle();
    }

    fn key(&self, text: SharedString) {
        self.struck.set(self.struck.get() + 1);
        let window = self.stage.app.window();
        window.dispatch_event(WindowEvent::KeyPressed { text: text.clone() });
        window.dispatch_event(WindowEvent::KeyReleased { text });
        settle();
    }

    /// Leaves what is open by Escape.
    pub(crate) fn leave(&self) {
        self.key(Key::Escape.into());
        self.stage.shell.take_news();
        settle();
    }

    /// What the keys go to, by its label.
    pub(crate) fn focused(&self) -> Option<String> {
        let inner = WindowInner::from_pub(self.stage.app.window());
        let mut at = inner.focus_item.borrow().upgrade();
        while let Some(item) = at {
            let said = item.accessible_string_property(AccessibleStringProperty::Label);
            if let Some(said) = said.filter(|said| !said.is_empty()) {
                return Some(said.into());
            }
            at = item.parent_item(ParentItemTraversalMode::FindAllParents);
        }
        None
    }

    /// What the keys go to is to be seen: a page follows them.
    fn in_sight(&self, what: &str) {
        settle();
        let inner = WindowInner::from_pub(self.stage.app.window());
        let Some(item) = inner.focus_item.borrow().upgrade() else {
            return;
        };
        let geometry = item.geometry();
        let at = item.map_to_window(geometry.origin);
        let (from, to) = (at.y, at.y + geometry.height());
        let height = self.stage.app.window().size().height as f32;
        assert!(
            from >= -1.0 && to <= height + 1.0,
            "{what} has the keys and stands at {from} to {to} of {height}"
        );
    }

    /// Goes from one thing to the next with the tabulator until the keys are there.
    fn walk_to(&self, what: &str, like: &dyn Fn(&str) -> bool) {
        let mut met = Vec::new();
        for _ in 0..160 {
            if let Some(here) = self.focused() {
                if is_like(&here, like) {
                    return self.in_sight(&here);
                }
                met.push(here);
            }
            self.key(SharedString::from(Key::Tab));
        }
        panic!("the keys never came to {what:?}; they were at {met:#?}");
    }
}
