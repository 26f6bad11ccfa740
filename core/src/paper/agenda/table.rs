//! Table: the same from a spreadsheet saved as CSV. The first line names the columns: date,
//! start, end, and where they are wanted place, setting, price and id; in English or German.

use chrono::{DateTime, Days, FixedOffset, NaiveDate, NaiveTime};

use super::events::{Written, clock, of_table};
use super::{Agenda, AgendaEvent, AgendaReason, Here};
use crate::course::{Setting, folded};

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

pub(super) fn read(text: &str, here: Here<'_>) -> Agenda {
    let first = text.lines().next().unwrap_or_default();
    let delimiter = [b',', b';', b'\t']
        .into_iter()
        .max_by_key(|mark| first.bytes().filter(|one| one == mark).count());
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter.unwrap_or(b','))
        .from_reader(text.as_bytes());
    let mut columns: Option<Vec<Option<Column>>> = None;
    let mut agenda = Agenda::default();
    for record in reader.records() {
        let Ok(record) = record else {
            return Agenda::unreadable();
        };
        let line = record.position().map_or(1, csv::Position::line);
        let Some(heads) = &columns else {
            let heads: Vec<Option<Column>> = record.iter().map(Column::of).collect();
            if !heads.contains(&Some(Column::Date)) && !heads.contains(&Some(Column::Start)) {
                return Agenda::unreadable();
            }
            columns = Some(heads);
            continue;
        };
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        if record.len() != heads.len() {
            agenda.fault(line, AgendaReason::Fields);
            continue;
        }
        let cell = |wanted: Column| {
            let mut cells = heads.iter().zip(record.iter());
            let found = cells.find(|(head, _)| **head == Some(wanted));
            found.map_or("", |(_, cell)| cell.trim())
        };
        agenda.take(line, row(line, &cell, here));
    }
    agenda
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
