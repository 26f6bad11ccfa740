//! System: what the machine's own system does for a person: it lets them choose a file, keeps
//! their papers in a folder, shows a paper in whatever shows papers there, and prints it.

pub mod kind;

use std::path::{Path, PathBuf};
use std::rc::Rc;

use crate::microphone::Microphone;

/// What is done with the file that a person chose, or about there being none to read.
pub type Chosen = Box<dyn FnOnce(Result<PathBuf, NoFile>)>;

/// Why a file that was chosen is not to be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoFile {
    /// The system does not hand it over.
    Unreadable,
    /// It is larger than this device takes in.
    TooLarge,
}

/// A key that a device has for the volume of its sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VolumeKey {
    /// More.
    Up,
    /// Less.
    Down,
}

impl VolumeKey {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Up, Self::Down];

    /// The text that the window is given for it, and by which a device keeps it once it was
    /// learned: never another. No keyboard writes it, and the toolkit has none of it.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Up => "\u{e0f1}",
            Self::Down => "\u{e0f2}",
        }
    }
}

/// What is asked of the machine's own system; a test puts another in its place.
pub trait System {
    /// Lets a person choose a file with one of these endings. `then` is called on this thread, at
    /// once or later, and never where they chose none; the file is there until it returns.
    fn choose_file(&self, title: &str, endings: &[&str], then: Chosen);
    /// Whether a person can be shown their files at all, to choose one of them.
    fn shows_files(&self) -> bool {
        true
    }
    /// Whether this is worked with a mouse and a keyboard, as a desk's computer is.
    fn has_mouse(&self) -> bool {
        false
    }
    /// Shows a file in whatever the system shows such files with; whether it could.
    fn show(&self, file: &Path) -> bool;
    /// Whether the system has a dialog of its own that prints.
    fn prints(&self) -> bool {
        false
    }
    /// Hands a sheet to that dialog; whether it could. Elsewhere what shows it prints it.
    fn print(&self, sheet: &Path) -> bool {
        self.show(sheet)
    }
    /// The folder that papers and files are written into.
    fn papers(&self) -> PathBuf;
    /// Keeps the glass lit from now on, or lets it go dark again. A desk's screen is left alone.
    fn stay_lit(&self, _lit: bool) {}
    /// Hears what devices nearby say to all, or saves that power. A desk's computer always
    /// hears it.
    fn hear_nearby(&self, _hears: bool) {}
    /// Hands over these keys from now on; the others change the volume.
    fn take_keys(&self, _taken: &[VolumeKey]) {}
    /// The microphone, where there is one that this program may use.
    fn microphone(&self) -> Option<Rc<dyn Microphone>> {
        None
    }
}

/// The machine that this runs on.
#[derive(Debug, Clone, Copy, Default)]
pub struct ThisMachine;

impl System for ThisMachine {
    #[cfg(not(any(target_os = "android", target_os = "ios")))]
    fn choose_file(&self, title: &str, endings: &[&str], then: Chosen) {
        let chosen = rfd::FileDialog::new()
            .set_title(title)
            .add_filter(endings.join(", "), endings)
            .pick_file();
        if let Some(file) = chosen {
            then(Ok(file));
        }
    }

    /// Phones and tablets have a system of their own for this, or none.
    #[cfg(any(target_os = "android", target_os = "ios"))]
    fn choose_file(&self, _title: &str, _endings: &[&str], _then: Chosen) {}

    fn shows_files(&self) -> bool {
        !cfg!(any(target_os = "android", target_os = "ios"))
    }

    fn has_mouse(&self) -> bool {
        !cfg!(any(target_os = "android", target_os = "ios"))
    }

    fn show(&self, file: &Path) -> bool {
        opener::open(file).is_ok()
    }

    /// A folder of our own beside the person's other folders.
    fn papers(&self) -> PathBuf {
        let home = std::env::home_dir().unwrap_or_else(std::env::temp_dir);
        home.join("Tallywater")
    }

    #[cfg(any(
        target_os = "windows",
        target_os = "macos",
        all(target_os = "linux", feature = "microphone")
    ))]
    fn microphone(&self) -> Option<Rc<dyn Microphone>> {
        crate::microphone::of_this_machine()
    }
}
