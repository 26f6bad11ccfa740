//! Table: the same from a spreadsheet saved as CSV. The first line names the columns: date,
//! start, end, and where they are wanted place, setting, price and id; in English or German.

use chrono::{DateTime, Days, FixedOffset, NaiveDate, NaiveTime};

use super::events::{Written, clock, of_table};
use super::{Agenda, AgendaEvent, AgendaReason, Here};
use crate::course::{Setting, folded};
use crate::paper::data::unguard;
use crate::paper::roster::sheet::Sheet;
use crate::paper::roster::text::Text;
use crate::paper::roster::{Hints, SheetFault};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Column {
    Date,
    Start,
    End,
    Place,
    Setting,
    Price,
    Id,
}

impl Column {
    fn of(head: &str) -> Option<Self> {
        Some(match folded(head.trim()).as_str() {
            "date" | "day" | "datum" | "tag" => Self::Date,
            "start" | "starts" | "from" | "begin" | "begins" | "beginn" | "von" => Self::Start,
            "end" | "ends" | "until" | "to" | "ende" | "bis" => Self::End,
            "place" | "site" | "location" | "pool" | "ort" | "platz" => Self::Place,
            "setting" | "kind" | "art" => Self::Setting,
            "price" | "cost" | "preis" => Self::Price,
            "id" | "uid" => Self::Id,
            _ => return None,
        })
    }
}

pub(super) fn read(text: Text, here: Here<'_>) -> Agenda {
    let mut agenda = Agenda::default();
    let sheet = match Sheet::of(text, Hints::default()) {
        Ok(sheet) => sheet,
        Err(SheetFault::TooManyRows { .. }) => {
            agenda.fault(1, AgendaReason::TooMany);
            return agenda;
        }
        Err(_) => return Agenda::unreadable(),
    };
    let heads: Vec<Option<Column>> = sheet.heads.iter().map(Column::of).collect();
    if !heads.contains(&Some(Column::Date)) && !heads.contains(&Some(Column::Start)) {
        return Agenda::unreadable();
    }
    for (line, record) in &sheet.records {
        agenda.take(*line, event(*line, record, &heads, here));
    }
    agenda
}

fn event(
    line: u64,
    record: &csv::StringRecord,
    heads: &[Option<Column>],
    here: Here<'_>,
) -> Result<AgendaEvent, AgendaReason> {
    let matched = || heads.iter().zip(record).filter(|(head, _)| head.is_some());
    // A quote that is never closed swallows the lines below it.
    if matched().any(|(_, cell)| cell.trim().contains(['\n', '\r'])) {
        return Err(AgendaReason::Quotes);
    }
    if record.len() != heads.len() {
        return Err(AgendaReason::Fields);
    }
    let cell = |wanted: Column| {
        let found = matched().find(|(head, _)| **head == Some(wanted));
        found.map_or("", |(_, cell)| unguard(cell.trim()).trim())
    };
    row(line, &cell, here)
}

fn row<'a>(
    line: u64,
    cell: &dyn Fn(Column) -> &'a str,
    here: Here<'_>,
) -> Result<AgendaEvent, AgendaReason> {
    let date = match cell(Column::Date) {
        "" => None,
        text => match of_table(text) {
            Some(Written::Day(day)) => Some(day),
            Some(Written::At(_)) | None => return Err(AgendaReason::BadTime),
        },
    };
    let first = written(cell(Column::Start), date)?.or(date.map(Written::Day));
    let first = first.ok_or(AgendaReason::NoStart)?;
    let (starts, on) = match first {
        Written::Day(day) => (at(day, NaiveTime::MIN, here)?, day),
        Written::At(time) => (at(time.date(), time.time(), here)?, time.date()),
    };
    let ends = match (written(cell(Column::End), Some(on))?, first) {
        (Some(Written::At(time)), _) => at(time.date(), time.time(), here)?,
        (Some(Written::Day(day)), _) => after(day, here)?,
        (None, Written::Day(day)) => after(day, here)?,
        (None, Written::At(_)) => return Err(AgendaReason::NoEnd),
    };
    let place = cell(Column::Place).to_owned();
    let setting = match folded(cell(Column::Setting)).as_str() {
        "" => None,
        "classroom" | "unterricht" => Some(Setting::Classroom),
        "surface" => Some(Setting::Surface),
        "confined" | "pool" | "becken" | "bad" => Some(Setting::Confined),
        "open" | "open water" | "site" | "freiwasser" => Some(Setting::Open),
        _ => return Err(AgendaReason::BadSetting),
    };
    let price = cell(Column::Price);
    Ok(AgendaEvent {
        line,
        uid: cell(Column::Id).to_owned(),
        starts,
        ends,
        place,
        setting,
        price: (!price.is_empty()).then(|| price.to_owned()),
        cancelled: false,
    })
}

/// A cell as a day or a time; a time of day alone is on this day.
fn written(text: &str, on: Option<NaiveDate>) -> Result<Option<Written>, AgendaReason> {
    if text.is_empty() {
        return Ok(None);
    }
    if let Some((day, time)) = on.zip(clock(text)) {
        return Ok(Some(Written::At(day.and_time(time))));
    }
    of_table(text).map(Some).ok_or(AgendaReason::BadTime)
}

fn at(
    day: NaiveDate,
    time: NaiveTime,
    here: Here<'_>,
) -> Result<DateTime<FixedOffset>, AgendaReason> {
    here(day.and_time(time)).ok_or(AgendaReason::BadTime)
}

fn after(day: NaiveDate, here: Here<'_>) -> Result<DateTime<FixedOffset>, AgendaReason> {
    let next = day.checked_add_days(Days::new(1));
    at(next.ok_or(AgendaReason::BadTime)?, NaiveTime::MIN, here)
}
