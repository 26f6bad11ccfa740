//! Kept: what has been kept long enough, for a person who then asks for what shall go.

use tallywater_core::course::StudentId;
use tallywater_core::paper::retention;

use crate::cross::{Asked as _, Shown, mirror};
use crate::{Day, Fault, Hold, KeptWhat, Tallywater, TextRead};

mirror! {
    /// What is kept, and until when.
    shown private record KeptRow = retention::Kept {
        what: KeptWhat,
        name: Option<String>,
        until: Option<String>,
        rules: Vec<String>,
        held: Option<Hold>,
    }
}

/// What is kept, and whether it is due.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct KeptLine {
    /// What, until when, by which rules, held by what.
    pub row: KeptRow,
    /// The last day of keeping, seen from today.
    pub until: Option<Day>,
    /// Whether its time is over and nothing holds it.
    pub due: bool,
}

#[uniffi::export]
impl Tallywater {
    /// Everything this device keeps, with its time by the shop's confirmed policy, in the order
    /// in which it ends. Nothing is deleted: `Request::Forget` and `Request::DropCourse` are
    /// for a person to ask.
    pub fn kept(&self) -> Result<Vec<KeptLine>, Fault> {
        let today = self.desk.now().date_naive();
        let kept = self.desk.kept()?;
        let line = |row: retention::Kept| KeptLine {
            until: row.until.map(|day| Day::of(day, today)),
            due: row.is_due(today),
            row: row.shown(),
        };
        Ok(kept.into_iter().map(line).collect())
    }

    /// Every free text that may hold this person's name or is about the person.
    pub fn texts_to_read(&self, student: String) -> Result<Vec<TextRead>, Fault> {
        let student: StudentId = student.asked()?;
        Ok(self.desk.texts_to_read(student)?)
    }
}
