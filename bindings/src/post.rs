//! Post: questions to the program that has a folder in use, and their answers.

use std::path::Path;

use tallywater_core::desk::Desk;
use tallywater_core::stamp::DeviceStamps;

use crate::{Fault, Question, Tallywater};

/// Puts a question to the program that has this folder in use. Answers the question's id.
#[uniffi::export]
pub fn ask(folder: String, text: String) -> Result<String, Fault> {
    Ok(Desk::ask(Path::new(&folder), &DeviceStamps, &text)?)
}

/// What that program has said to this question, taken away with this; `None` if nothing yet.
#[uniffi::export]
pub fn answer(folder: String, id: String) -> Result<Option<String>, Fault> {
    Ok(Desk::answer(Path::new(&folder), &id)?)
}

/// Takes a question back; whether nobody had taken it yet.
#[uniffi::export]
pub fn ask_no_more(folder: String, id: String) -> Result<bool, Fault> {
    Ok(Desk::ask_no_more(Path::new(&folder), &id)?)
}

#[uniffi::export]
impl Tallywater {
    /// Says that this program answers questions, or that it does no longer.
    pub fn answers_post(&self, answers: bool) -> Result<(), Fault> {
        Ok(self.desk.answers_post(answers)?)
    }

    /// The question that has waited longest; it is taken away with this.
    pub fn asked(&self) -> Result<Option<Question>, Fault> {
        Ok(self.desk.asked()?)
    }

    /// Answers a question.
    pub fn say(&self, id: String, text: String) -> Result<(), Fault> {
        Ok(self.desk.say(&id, &text)?)
    }
}
