//! Post: a question to the desk that has a folder in use, from another program, and its
//! answer: the shop computer's host is asked for a code or for its state this way. It goes
//! through two settings in the store, so whoever may read the folder may ask, and no port
//! is opened for it.

use std::path::Path;

use super::{Desk, DeskError, STORE_FILE};
use crate::stamp::Stamps;
use crate::store::Store;

const ASKED: &str = "post.asked";
const SAID: &str = "post.said";

/// A question that has been put to the desk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Which: the answer names it.
    pub id: String,
    /// What is asked.
    pub text: String,
}

fn split(kept: Option<Vec<u8>>) -> Option<Question> {
    let kept = String::from_utf8(kept?).ok()?;
    let (id, text) = kept.split_once('\n')?;
    Some(Question {
        id: id.to_owned(),
        text: text.to_owned(),
    })
}

impl Desk {
    /// Puts a question to the desk that has this folder in use. Answers the question's id.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if the folder is no device's, [`DeskError::Store`].
    pub fn ask(folder: &Path, stamps: &dyn Stamps, text: &str) -> Result<String, DeskError> {
        let mut store = store_in(folder)?;
        let id = stamps.id()?.to_string();
        store.put_setting(ASKED, format!("{id}\n{text}").as_bytes())?;
        Ok(id)
    }

    /// What the desk that has this folder in use has said last to this question; `None` if
    /// nothing yet.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if the folder is no device's, [`DeskError::Store`].
    pub fn answer(folder: &Path, id: &str) -> Result<Option<String>, DeskError> {
        let said = split(store_in(folder)?.setting(SAID)?);
        Ok(said.filter(|said| said.id == id).map(|said| said.text))
    }

    /// The question that another program put last; it is taken away with this.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn asked(&self) -> Result<Option<Question>, DeskError> {
        let mut shelf = self.shelf();
        let asked = split(shelf.store.setting(ASKED)?);
        if asked.is_some() {
            shelf.store.put_setting(ASKED, b"")?;
        }
        Ok(asked)
    }

    /// Answers a question, in place of what was said before.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn say(&self, id: &str, text: &str) -> Result<(), DeskError> {
        let said = format!("{id}\n{text}");
        Ok(self.shelf().store.put_setting(SAID, said.as_bytes())?)
    }
}

fn store_in(folder: &Path) -> Result<Store, DeskError> {
    let file = folder.join(STORE_FILE);
    if !file.is_file() {
        return Err(DeskError::NotFound {
            what: "device folder",
            id: last_part(folder),
        });
    }
    Ok(Store::open(&file)?.store)
}

/// The folder's own name: the path before it can name a person.
fn last_part(folder: &Path) -> String {
    let last = folder.file_name().unwrap_or_default();
    last.to_string_lossy().into_owned()
}
