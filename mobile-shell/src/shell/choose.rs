//! Choose: a file that a person chooses by the system's own way, which may answer long after the
//! press, or never.
//!
//! An answer counts only while what it is about is what is on screen: a file that comes later is
//! taken in nowhere, and that is said.

use std::path::PathBuf;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};

use super::Shell;
use crate::system::{Chosen, NoFile};
use crate::ui::CourseWords;

/// A file that was chosen, read whole.
pub(crate) struct File {
    /// Where it was. It may be gone from there by now.
    pub(crate) path: PathBuf,
    pub(crate) bytes: Vec<u8>,
}

impl Shell {
    /// Lets a person choose a file with one of these endings, and hands it on, or in words why it
    /// is not to be had. Whatever `then` is about is fixed at the press. Of two presses the
    /// later counts.
    pub(crate) fn choose_file(
        self: &Rc<Self>,
        title: &str,
        endings: &[&str],
        then: impl FnOnce(&Rc<Self>, Result<File, SharedString>) + 'static,
    ) {
        self.forget_choice();
        let (shell, route, choice) = (Rc::downgrade(self), self.route(), self.choice.get());
        let answer: Chosen = Box::new(move |chosen| {
            let Some(shell) = shell.upgrade() else { return };
            // Another file is being chosen, or another desk stands behind the window.
            if shell.choice.get() != choice {
                return;
            }
            // Nothing is put over a question that somebody is about to answer.
            if shell.route() != route || shell.asked.borrow().is_some() {
                return shell.came_too_late();
            }
            let Some(ui) = shell.ui() else { return };
            let read = chosen.and_then(|path| {
                let read = std::fs::read(&path).map(|bytes| File { path, bytes });
                read.map_err(|_| NoFile::Unreadable)
            });
            let says = ui.global::<CourseWords>();
            then(
                &shell,
                read.map_err(|why| match why {
                    NoFile::Unreadable => says.invoke_no_file(),
                    NoFile::TooLarge => says.invoke_too_large(),
                }),
            );
        });
        self.system().choose_file(title, endings, answer);
    }

    /// An answer to what was asked before counts no longer.
    pub(super) fn forget_choice(&self) {
        self.choice.set(self.choice.get().wrapping_add(1));
    }

    /// Says that a file was taken in nowhere.
    fn came_too_late(&self) {
        let Some(ui) = self.ui() else { return };
        let says = ui.global::<CourseWords>();
        self.say(says.invoke_too_late(), says.invoke_too_late_says());
    }
}
