//! Preferences: what a shell keeps on this device: units, a running stopwatch, which hand.
//! Words of the shell's own under a head of their own, so that none can be taken for a
//! setting of the desk.

use super::{Desk, DeskError};
use crate::entry::Refusal;

/// What every preference's key begins with in the store.
const HEAD: &str = "shell.";
/// The word under which a device keeps the language it is read in: `en` or `de`.
pub const LANGUAGE: &str = "language";
/// The longest word, and the longest text in bytes.
const WORD: usize = 48;
const TEXT: usize = 64 * 1024;

/// Under what a preference of this word is kept in the store.
pub(super) fn key(word: &str) -> String {
    format!("{HEAD}{word}")
}

impl Desk {
    /// What was kept under this word; `None` before anything was, and after it was dropped.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn preference(&self, word: &str) -> Result<Option<String>, DeskError> {
        let kept = self.shelf().store.setting(&key(word))?;
        Ok(kept
            .and_then(|bytes| String::from_utf8(bytes).ok())
            .filter(|text| !text.is_empty()))
    }

    /// Keeps a text under this word; an empty one drops it.
    ///
    /// # Errors
    /// [`DeskError::Refused`] for a word or text that is too long, [`DeskError::Store`].
    pub fn keep_preference(&self, word: &str, text: &str) -> Result<(), DeskError> {
        for (field, given, most) in [("word", word, WORD), ("text", text, TEXT)] {
            if given.len() > most {
                let found = given.len();
                return Err(Refusal::TextTooLong { field, found, most }.into());
            }
        }
        let mut shelf = self.shelf();
        shelf.store.put_setting(&key(word), text.as_bytes())?;
        if word == LANGUAGE {
            let tongue = shelf.tongue()?;
            for course in shelf.courses.values_mut() {
                course.standing.speak(tongue);
            }
        }
        Ok(())
    }
}
