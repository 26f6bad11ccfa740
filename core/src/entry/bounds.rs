//! Bounds: what a text, figure or date may be before it can be an entry. Wide enough for
//! every real course, narrow enough that a slip of the finger is caught.

mod person;
mod planned;
mod said;
mod seen;

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::{Body, Refusal, within};
use crate::course::is_blank;

pub(super) use person::{details, kit};
pub(super) use planned::{away, emergency, plan, site, slot, teams};
pub(super) use said::{debrief, exemption, incident, moment, person, rule_text};
pub(super) use seen::{attachment, dive, origin, passage, weight};

/// Longest name of a person, site, title or device.
pub(super) const NAME: usize = 200;
/// Longest remark.
pub(super) const NOTE: usize = within::REMARK;

pub(super) fn text(field: &'static str, text: &str, most: usize) -> Result<(), Refusal> {
    if is_blank(text) {
        return Err(Refusal::TextEmpty { field });
    }
    let found = text.chars().count();
    if found > most {
        Err(Refusal::TextTooLong { field, found, most })
    } else {
        Ok(())
    }
}

pub(super) fn optional(
    field: &'static str,
    given: Option<&String>,
    most: usize,
) -> Result<(), Refusal> {
    given.map_or(Ok(()), |given| text(field, given, most))
}

pub(super) fn figure(
    field: &'static str,
    value: i64,
    least: i64,
    most: i64,
) -> Result<(), Refusal> {
    if (least..=most).contains(&value) {
        Ok(())
    } else {
        Err(Refusal::OutOfBounds {
            field,
            value,
            least,
            most,
        })
    }
}

/// The same, between two bounds that are known beyond this room.
fn inside(field: &'static str, value: i64, [least, most]: [i64; 2]) -> Result<(), Refusal> {
    figure(field, value, least, most)
}

/// From 2000 to 2199, whatever the device's clock says: a wrong clock must not stop a mark.
pub(super) fn date(field: &'static str, date: NaiveDate) -> Result<(), Refusal> {
    between(
        field,
        date,
        NaiveDate::from_ymd_opt(2000, 1, 1),
        NaiveDate::from_ymd_opt(2199, 12, 31),
    )
}

/// From this day to 2199.
pub(super) fn from_day(
    field: &'static str,
    date: NaiveDate,
    from: NaiveDate,
) -> Result<(), Refusal> {
    between(
        field,
        date,
        Some(from),
        NaiveDate::from_ymd_opt(2199, 12, 31),
    )
}

pub(super) fn time(field: &'static str, when: DateTime<FixedOffset>) -> Result<(), Refusal> {
    date(field, when.date_naive())
}

/// What a device's own clock said: any time that can be reckoned with. A clock that stands at
/// 1970 or runs beyond 2199 must not stop a headcount.
pub(super) fn clock(field: &'static str, date: NaiveDate) -> Result<(), Refusal> {
    between(field, date, FIRST_DAY, LAST_DAY)
}

/// Years are written in four digits; beyond them a sum of days may leave the calendar.
const FIRST_DAY: Option<NaiveDate> = NaiveDate::from_ymd_opt(1, 1, 1);
const LAST_DAY: Option<NaiveDate> = NaiveDate::from_ymd_opt(9999, 12, 31);

/// The longest text of an entry, in bytes: a remark of 4,000 characters of any script.
const LONGEST_TEXT: usize = 16_384;

/// Whether an entry from anywhere can be reckoned with and printed: its times lie in the
/// calendar, its texts are no longer than any that is written here. Rules are asked of what
/// is recorded here; this is asked of everything.
pub(super) fn bears_reading(at: DateTime<FixedOffset>, body: &Body, payload: &str) -> bool {
    let dates = std::iter::once(at.date_naive()).chain(body.dates());
    dates.into_iter().all(|date| clock("time", date).is_ok())
        && (payload.len() <= LONGEST_TEXT || has_short_texts(payload))
}

fn has_short_texts(payload: &str) -> bool {
    fn short(value: &serde_json::Value) -> bool {
        match value {
            serde_json::Value::String(text) => text.len() <= LONGEST_TEXT,
            serde_json::Value::Array(values) => values.iter().all(short),
            serde_json::Value::Object(fields) => fields.values().all(short),
            serde_json::Value::Null | serde_json::Value::Bool(_) | serde_json::Value::Number(_) => {
                true
            }
        }
    }
    serde_json::from_str(payload).is_ok_and(|value| short(&value))
}

fn between(
    field: &'static str,
    date: NaiveDate,
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
) -> Result<(), Refusal> {
    let (from, to) = (from.unwrap_or(NaiveDate::MIN), to.unwrap_or(NaiveDate::MAX));
    if (from..=to).contains(&date) {
        Ok(())
    } else {
        Err(Refusal::DateOutOfBounds {
            field,
            date,
            from,
            to,
        })
    }
}

/// A length as a figure; far above any bound when it does not fit.
pub(super) fn count(length: usize) -> i64 {
    i64::try_from(length).unwrap_or(i64::MAX)
}

/// A text that may be empty.
fn longest(field: &'static str, given: &str, most: usize) -> Result<(), Refusal> {
    if is_blank(given) {
        Ok(())
    } else {
        text(field, given, most)
    }
}

/// Whether a name may be kept: not empty, not longer than can be shown.
///
/// # Errors
/// [`Refusal::TextEmpty`] or [`Refusal::TextTooLong`].
pub fn check_name(field: &'static str, name: &str) -> Result<(), Refusal> {
    text(field, name, NAME)
}
