//! Moment: days, times and spans ready to be shown, so that no screen does date maths.
//! Shown in the offset they were written in, which is the place's own time.

use chrono::{DateTime, Datelike, FixedOffset, NaiveDate, Timelike, Weekday};

/// A day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Day {
    /// The day itself; it prints as 2026-06-02.
    pub date: NaiveDate,
    /// Its year.
    pub year: i32,
    /// Its month, 1 to 12.
    pub month: u32,
    /// Its day of the month, from 1.
    pub day: u32,
    /// Its day of the week.
    pub weekday: Weekday,
    /// What a person would call it.
    #[cfg_attr(feature = "border", uniffi(name = "day_is"))]
    pub is: DayIs,
    /// Days from today: 0 is today, 1 tomorrow, -1 yesterday.
    pub from_today: i64,
}

/// What a person would call a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum DayIs {
    /// The day before today.
    Yesterday,
    /// Today.
    Today,
    /// The day after.
    Tomorrow,
    /// Any other: by its date.
    Other,
}

impl Day {
    /// A day, seen from today.
    pub fn of(date: NaiveDate, today: NaiveDate) -> Self {
        let from_today = (date - today).num_days();
        Self {
            date,
            year: date.year(),
            month: date.month(),
            day: date.day(),
            weekday: date.weekday(),
            is: match from_today {
                -1 => DayIs::Yesterday,
                0 => DayIs::Today,
                1 => DayIs::Tomorrow,
                _ => DayIs::Other,
            },
            from_today,
        }
    }
}

/// A moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Moment {
    /// The moment itself.
    pub at: DateTime<FixedOffset>,
    /// Its day.
    pub day: Day,
    /// Hour by the clock of the place, 0 to 23.
    pub hour: u32,
    /// Minute.
    pub minute: u32,
}

impl Moment {
    /// A moment, seen from now.
    pub fn of(at: DateTime<FixedOffset>, now: DateTime<FixedOffset>) -> Self {
        Self {
            at,
            day: Day::of(at.date_naive(), now.date_naive()),
            hour: at.hour(),
            minute: at.minute(),
        }
    }
}

/// How long something lasted or lasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Record), uniffi(name = "TimeSpan"))]
pub struct Span {
    /// Whole hours.
    pub hours: u32,
    /// Minutes beside them, 0 to 59.
    pub minutes: u32,
    /// Seconds beside those, 0 to 59.
    pub seconds: u32,
    /// All of it in whole minutes, as a headcount counts.
    pub all_minutes: u32,
}

impl Span {
    /// From one moment to another; nought when the second lies before the first, which only
    /// a clock that was put right brings about.
    pub(super) fn between(from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> Self {
        Self::of_seconds(u32::try_from((to - from).num_seconds()).unwrap_or(0))
    }

    /// So many seconds.
    pub const fn of_seconds(all: u32) -> Self {
        Self {
            hours: all / 3600,
            minutes: all / 60 % 60,
            seconds: all % 60,
            all_minutes: all / 60,
        }
    }
}
