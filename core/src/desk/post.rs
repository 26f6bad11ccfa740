//! Post: questions to the desk that has a folder in use, from other programs, and their
//! answers. They go through settings in the store, one row a question and one an answer, so
//! whoever may read the folder may ask, no port is opened for it, and nobody's question takes
//! the place of another's.

use std::path::Path;

use super::{Desk, DeskError, STORE_FILE};
use crate::entry::Refusal;
use crate::stamp::Stamps;
use crate::store::{Beside, Store, StoreError};

const ASKED: &str = "post.asked.";
const SAID: &str = "post.said.";
/// Set by a desk that answers; whoever opens the folder after it takes it away.
const ANSWERS: &str = "post.answers";
/// Answers that nobody fetched are kept up to so many.
const UNFETCHED: usize = 64;
/// So often an id is drawn again that would stand before one that waits: some millisecond's worth,
/// where the clock has not been put back.
const MOST_DRAWS: usize = 10_000;
/// The longest question in bytes: a command line with what was typed into it.
const LONGEST: usize = 4 * 1024 * 1024;

/// A question that has been put to the desk.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Question {
    /// Which: the answer names it.
    pub id: String,
    /// What is asked.
    pub text: String,
}

impl Desk {
    /// Puts a question to the desk that has this folder in use. Answers the question's id.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if the folder is no device's, [`DeskError::Store`], as locked
    /// where whoever has the folder answers no questions.
    pub fn ask(folder: &Path, stamps: &dyn Stamps, text: &str) -> Result<String, DeskError> {
        if text.len() > LONGEST {
            return Err(Refusal::TextTooLong {
                field: "text",
                found: text.len(),
                most: LONGEST,
            }
            .into());
        }
        let mut store = store_in(folder)?;
        if store.setting(ANSWERS)?.is_none() {
            let during = "ask the program that has the folder";
            return Err(StoreError::Locked { during }.into());
        }
        let mut id = stamps.id()?.to_string();
        // Within one millisecond ids have no order, and a question waits behind those before it.
        let waiting = store.setting_words(ASKED)?.pop();
        if let Some(last) = waiting.as_ref().and_then(|key| key.strip_prefix(ASKED)) {
            for _ in 0..MOST_DRAWS {
                if last < id.as_str() {
                    break;
                }
                id = stamps.id()?.to_string();
            }
        }
        store.put_setting(&format!("{ASKED}{id}"), text.as_bytes())?;
        Ok(id)
    }

    /// What the desk that has this folder in use has said to this question, taken away with
    /// this; `None` if nothing yet.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if the folder is no device's, [`DeskError::Store`].
    pub fn answer(folder: &Path, id: &str) -> Result<Option<String>, DeskError> {
        let mut store = store_in(folder)?;
        let key = format!("{SAID}{id}");
        let said = store.setting(&key)?;
        if said.is_some() {
            store.drop_setting(&key)?;
        }
        Ok(said.and_then(|bytes| String::from_utf8(bytes).ok()))
    }

    /// Takes a question back; whether nobody had taken it yet.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if the folder is no device's, [`DeskError::Store`].
    pub fn ask_no_more(folder: &Path, id: &str) -> Result<bool, DeskError> {
        let mut store = store_in(folder)?;
        Ok(store.drop_setting(&format!("{ASKED}{id}"))?)
    }

    /// Says that this desk answers questions, or that it does no longer.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn answers_post(&self, answers: bool) -> Result<(), DeskError> {
        let mut shelf = self.shelf();
        if answers {
            Ok(shelf.store.put_setting(ANSWERS, b"1")?)
        } else {
            shelf.store.drop_setting(ANSWERS)?;
            Ok(())
        }
    }

    /// The question that has waited longest; it is taken away with this.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn asked(&self) -> Result<Option<Question>, DeskError> {
        let mut shelf = self.shelf();
        // Ids are of version 7: they stand in the order of their making.
        let Some(key) = shelf.store.setting_words(ASKED)?.into_iter().next() else {
            return Ok(None);
        };
        let text = shelf.store.setting(&key)?;
        if !shelf.store.drop_setting(&key)? {
            // Whoever asked has just taken it back.
            return Ok(None);
        }
        let text = text.and_then(|bytes| String::from_utf8(bytes).ok());
        Ok(text.map(|text| Question {
            id: key.strip_prefix(ASKED).unwrap_or(&key).to_owned(),
            text,
        }))
    }

    /// Answers a question.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn say(&self, id: &str, text: &str) -> Result<(), DeskError> {
        let mut shelf = self.shelf();
        let kept = shelf.store.setting_words(SAID)?;
        let many = kept.len().saturating_sub(UNFETCHED);
        for key in kept.iter().take(many) {
            shelf.store.drop_setting(key)?;
        }
        let key = format!("{SAID}{id}");
        Ok(shelf.store.put_setting(&key, text.as_bytes())?)
    }
}

/// Takes away what an earlier desk in this folder left of its post: it was killed, and whoever
/// asked it has asked in vain.
pub(super) fn clear(store: &mut Store) -> Result<(), StoreError> {
    for key in store.setting_words("post.")? {
        store.drop_setting(&key)?;
    }
    Ok(())
}

fn store_in(folder: &Path) -> Result<Store, DeskError> {
    let file = folder.join(STORE_FILE);
    if !file.is_file() {
        return Err(DeskError::NotFound {
            what: "device folder",
            id: last_part(folder),
        });
    }
    Ok(Store::open_beside(&file, Beside::Post)?)
}

/// The folder's own name: the path before it can name a person.
pub(super) fn last_part(folder: &Path) -> String {
    let last = folder.file_name().unwrap_or_default();
    last.to_string_lossy().into_owned()
}
