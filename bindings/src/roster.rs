//! Roster: a list of students from a spreadsheet, looked at before anyone is enrolled.

use tallywater_core::course::CourseId;
use tallywater_core::paper::roster;

use crate::cross::{Asked as _, Shown, mirror};
use crate::{
    Fault, PersonDetails, RosterField, RosterTaken, RowReason, StudentName, Tallywater, Twin, Twins,
};

mirror! {
    /// A column's head, and what it was matched to; unmatched columns are left alone.
    shown tuple RosterColumn = (String, Option<RosterField>) {
        head: String,
        field: Option<RosterField>,
    }

    /// A good row.
    shown private record RosterRow = roster::RosterRow {
        line: u32,
        details: PersonDetails,
        twin: Option<Twin>,
    }

    /// One bad row.
    shown record RowFault = roster::RowFault {
        line: u32,
        field: Option<RosterField>,
        reason: RowReason,
    }

    /// A roster as it was read; nothing has been taken yet.
    shown private record RosterPreview = roster::RosterPreview {
        encoding: String,
        delimiter: String,
        columns: Vec<RosterColumn>,
        rows: Vec<RosterRow>,
        faults: Vec<RowFault>,
    }
}

impl Shown<u32> for u64 {
    fn shown(self) -> u32 {
        u32::try_from(self).unwrap_or(u32::MAX)
    }
}

impl Shown<String> for char {
    fn shown(self) -> String {
        self.to_string()
    }
}

/// What a person may say of a file where looking at it is not enough.
#[derive(Debug, Clone, Default, PartialEq, uniffi::Record)]
pub struct RosterHints {
    /// The encoding, by any of its usual names: `windows-1251`, `shift_jis`.
    pub encoding: Option<String>,
    /// What stands between the fields: one character.
    pub delimiter: Option<String>,
}

impl RosterHints {
    pub(crate) fn hints(&self) -> Result<roster::Hints<'_>, Fault> {
        let delimiter = match self.delimiter.as_deref() {
            None => None,
            Some(text) => {
                let mut letters = text.chars();
                match (letters.next(), letters.next()) {
                    (Some(letter), None) if letter.is_ascii() => Some(letter),
                    _ => return Err(Fault::rule("bad_delimiter")),
                }
            }
        };
        Ok(roster::Hints {
            encoding: self.encoding.as_deref(),
            delimiter,
        })
    }
}

#[uniffi::export]
impl Tallywater {
    /// A roster (CSV) as it would be taken into a course: every bad row with its reason, every
    /// person who seems to be there already. Nothing is recorded.
    pub fn look_at_roster(
        &self,
        course: String,
        bytes: Vec<u8>,
        hints: RosterHints,
    ) -> Result<RosterPreview, Fault> {
        let course: CourseId = course.asked()?;
        let preview = self.desk.look_at_roster(&course, &bytes, hints.hints()?)?;
        Ok(preview.shown())
    }

    /// Enrols a roster: every row, or nobody while one row is bad.
    pub fn take_roster(
        &self,
        course: String,
        bytes: Vec<u8>,
        hints: RosterHints,
        twins: Twins,
    ) -> Result<RosterTaken, Fault> {
        let course: CourseId = course.asked()?;
        let taken = self
            .desk
            .take_roster(course, &bytes, hints.hints()?, twins)?;
        Ok(taken)
    }

    /// A pasted list of names, one a line, as it would be taken into a course. Nothing is
    /// recorded.
    pub fn look_at_names(&self, course: String, text: String) -> Result<RosterPreview, Fault> {
        let course: CourseId = course.asked()?;
        Ok(self.desk.look_at_names(&course, &text)?.shown())
    }

    /// Enrols everyone on a pasted list of names: every line, or nobody while one is bad.
    pub fn take_names(
        &self,
        course: String,
        text: String,
        twins: Twins,
    ) -> Result<RosterTaken, Fault> {
        let course: CourseId = course.asked()?;
        Ok(self.desk.take_names(course, &text, twins)?)
    }

    /// People this device knows who are not in a course and could come again, at most so many,
    /// in order of name; with a text, those whose name contains it.
    pub fn who_could_come(
        &self,
        course: String,
        text: String,
        most: u32,
    ) -> Result<Vec<StudentName>, Fault> {
        let course: CourseId = course.asked()?;
        let most = usize::try_from(most).unwrap_or(usize::MAX);
        Ok(self.desk.who_could_come(&course, &text, most)?)
    }

    /// The same, told on the way how far it is. Stopped, nobody is enrolled.
    pub fn take_roster_watched(
        &self,
        course: String,
        bytes: Vec<u8>,
        hints: RosterHints,
        twins: Twins,
        watch: std::sync::Arc<dyn Watch>,
    ) -> Result<RosterTaken, Fault> {
        use tallywater_core::paper::Go;
        let course: CourseId = course.asked()?;
        let mut told = |done: usize, of: usize| match watch.made(done.shown(), of.shown()) {
            Ok(true) => Go::On,
            // A watcher that fails is nobody who wants it to go on.
            Ok(false) | Err(_) => Go::Stop,
        };
        let taken =
            self.desk
                .take_roster_watched(course, &bytes, hints.hints()?, twins, &mut told)?;
        Ok(taken)
    }
}

/// Watches something long.
#[uniffi::export(with_foreign)]
pub trait Watch: Send + Sync {
    /// So much is made of so much. Answers whether it goes on.
    fn made(&self, done: u32, of: u32) -> Result<bool, Fault>;
}
