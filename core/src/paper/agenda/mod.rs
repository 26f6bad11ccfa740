//! Agenda: hours of a pool and times when somebody is away, from a calendar (iCalendar, RFC
//! 5545) or a spreadsheet saved as CSV, read as a preview before anything is recorded.
//!
//! A line that cannot be read is named with its number and what is wrong, and never guessed: a
//! day in the wrong month puts a class before a locked door. No fault quotes what stands in the
//! file: it may be somebody's name.

mod events;
mod ics;
mod table;
#[cfg(test)]
mod tests;
mod zone;

use chrono::{DateTime, FixedOffset, NaiveDateTime};

use crate::course::Setting;
use crate::paper::roster::{Hints, text};

/// The most that is read of one file.
pub const MOST_EVENTS: usize = 5_000;

/// What a file says: events in their order, and every line that cannot be read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Agenda {
    /// What was read.
    pub events: Vec<AgendaEvent>,
    /// What was not.
    pub faults: Vec<AgendaFault>,
}

/// One event of a calendar, or one row of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AgendaEvent {
    /// On which line it begins.
    pub line: u64,
    /// Its id for good; empty for a row that has none.
    pub uid: String,
    /// From when.
    pub starts: DateTime<FixedOffset>,
    /// Until when; of whole days the midnight after the last.
    pub ends: DateTime<FixedOffset>,
    /// Where, or what it is called where no place is given.
    pub place: String,
    /// What is held there, where a table says so.
    pub setting: Option<Setting>,
    /// What it costs, where a table says so.
    pub price: Option<String>,
    /// Whether it was called off.
    pub cancelled: bool,
}

/// One line that cannot be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AgendaFault {
    /// Which, from 1.
    pub line: u64,
    /// Why.
    pub reason: AgendaReason,
}

/// Why a line cannot be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AgendaReason {
    /// The file is no text, or neither a calendar nor a table with a column for the start.
    NoCalendar,
    /// An event is opened and not closed, or closed and not open.
    Unclosed,
    /// It has no id (UID).
    NoId,
    /// It has no start.
    NoStart,
    /// It has no end.
    NoEnd,
    /// A day or time that cannot be read: write it as year-month-day and hour:minute.
    BadTime,
    /// Its time zone is named and not described in the file.
    UnknownZone,
    /// It ends before it begins, or when it begins.
    EndsBeforeItBegins,
    /// It comes again and again by a rule: export single events.
    Repeats,
    /// It has more or fewer fields than the first line.
    Fields,
    /// A field of it goes on over the end of the line: a quote may not be closed.
    Quotes,
    /// A setting that is none of classroom, surface, confined and open.
    BadSetting,
    /// More events than are read of one file.
    TooMany,
}

/// By the clock of this place: when a day and time without a zone is; `None` in the hour that
/// a clock leaves out.
pub type Here<'a> = &'a dyn Fn(NaiveDateTime) -> Option<DateTime<FixedOffset>>;

/// Reads a calendar or a table in any usual encoding; which it is, is seen from its beginning.
pub fn read_agenda(bytes: &[u8], here: Here<'_>) -> Agenda {
    let Ok(text) = text::decode(bytes, Hints::default()) else {
        return Agenda::unreadable();
    };
    let begins = text.text.trim_start().get(..15).unwrap_or_default();
    if begins.eq_ignore_ascii_case("BEGIN:VCALENDAR") {
        ics::read(&text.text, here)
    } else {
        table::read(text, here)
    }
}

impl Agenda {
    fn unreadable() -> Self {
        let mut agenda = Self::default();
        agenda.fault(1, AgendaReason::NoCalendar);
        agenda
    }

    fn fault(&mut self, line: u64, reason: AgendaReason) {
        self.faults.push(AgendaFault { line, reason });
    }

    /// Takes an event in, or names what is wrong with it.
    fn take(&mut self, line: u64, event: Result<AgendaEvent, AgendaReason>) {
        match event {
            Ok(_) if self.events.len() >= MOST_EVENTS => self.fault(line, AgendaReason::TooMany),
            Ok(event) if event.ends <= event.starts => {
                self.fault(line, AgendaReason::EndsBeforeItBegins);
            }
            Ok(event) => self.events.push(event),
            Err(reason) => self.fault(line, reason),
        }
    }
}
