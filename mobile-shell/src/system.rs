//! System: what the machine's own system does for a person: it lets them choose a file, keeps
//! their papers in a folder, and shows a paper in whatever shows papers there.

use std::path::{Path, PathBuf};
use std::rc::Rc;

use crate::microphone::Microphone;

/// What is asked of the machine's own system; a test puts another in its place.
pub trait System {
    /// Lets a person choose a file with one of these endings; `None` where they chose none, or
    /// the system offers no way.
    fn choose_file(&self, title: &str, endings: &[&str]) -> Option<PathBuf>;
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
    /// The folder that papers and files are written into.
    fn papers(&self) -> PathBuf;
    /// Keeps the glass lit from now on, or lets it go dark again. A desk's screen is left alone.
    fn stay_lit(&self, _lit: bool) {}
    /// Hears what devices nearby say to all, or saves that power. A desk's computer always
    /// hears it.
    fn hear_nearby(&self, _hears: bool) {}
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
    fn choose_file(&self, title: &str, endings: &[&str]) -> Option<PathBuf> {
        rfd::FileDialog::new()
            .set_title(title)
            .add_filter(endings.join(", "), endings)
            .pick_file()
    }

    /// Phones and tablets hand files over by their own sharing, which the shell does not have.
    #[cfg(any(target_os = "android", target_os = "ios"))]
    fn choose_file(&self, _title: &str, _endings: &[&str]) -> Option<PathBuf> {
        None
    }

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
