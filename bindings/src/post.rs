//! Post: questions to the program that has a folder in use, and their answers.

use std::path::Path;

use tallywater_core::desk::Desk;
use tallywater_core::stamp::DeviceStamps;

use crate::cross::{Shown as _, mirror};
use crate::{Fault, Tallywater};

mirror! {
    /// A question from another program.
    shown record Question = tallywater_core::desk::Question {
        id: String,
        text: String,
    }
}

/// Puts a question to the program that has this folder in use. Answers the question's id.
#[uniffi::export]
pub fn ask(folder: String, text: String) -> Result<String, Fault> {
    Ok(Desk::ask(Path::new(&folder), &DeviceStamps, &text)?)
}

/// What that program has said last to this question; `None` if nothing yet.
#[uniffi::export]
pub fn answer(folder: String, id: String) -> Result<Option<String>, Fault> {
    Ok(Desk::answer(Path::new(&folder), &id)?)
}

#[uniffi::export]
impl Tallywater {
    /// The question that another program put last; it is taken away with this.
    pub fn asked(&self) -> Result<Option<Question>, Fault> {
        Ok(self.desk.asked()?.shown())
    }

    /// Answers a question, in place of what was said before.
    pub fn say(&self, id: String, text: String) -> Result<(), Fault> {
        Ok(self.desk.say(&id, &text)?)
    }
}
