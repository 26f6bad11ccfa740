//! Days and times as calendars and tables write them.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime};

/// A day or a time, as it was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Written {
    /// A whole day.
    Day(NaiveDate),
    /// A time of a day.
    At(NaiveDateTime),
}

/// Of RFC 5545: `20260602`, `20260602T180000`, with a `Z` behind it where it is UTC.
pub(super) fn of_calendar(text: &str) -> Option<(Written, bool)> {
    let (text, utc) = text
        .strip_suffix('Z')
        .map_or((text, false), |rest| (rest, true));
    if text.contains('T') {
        let at = NaiveDateTime::parse_from_str(text, "%Y%m%dT%H%M%S").ok()?;
        Some((Written::At(at), utc))
    } else if text.len() == 8 && !utc {
        let day = NaiveDate::parse_from_str(text, "%Y%m%d").ok()?;
        Some((Written::Day(day), false))
    } else {
        None
    }
}

/// Of a table: `2026-06-02` or `2.6.2026`, with `18:00` behind it where it is a time.
pub(super) fn of_table(text: &str) -> Option<Written> {
    let text = text.trim();
    match text.split_once([' ', 'T']) {
        Some((date, time)) => Some(Written::At(day(date)?.and_time(clock(time)?))),
        None => day(text).map(Written::Day),
    }
}

/// A time of day: `18:00`.
pub(super) fn clock(text: &str) -> Option<NaiveTime> {
    let text = text.trim();
    ["%H:%M", "%H:%M:%S"]
        .iter()
        .find_map(|form| NaiveTime::parse_from_str(text, form).ok())
}

/// A day with the year first, or with dots and the day first. With strokes it could be two
/// days, and is not read.
fn day(text: &str) -> Option<NaiveDate> {
    let text = text.trim();
    ["%Y-%m-%d", "%d.%m.%Y"]
        .iter()
        .find_map(|form| NaiveDate::parse_from_str(text, form).ok())
}
