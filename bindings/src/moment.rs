//! Moment: days, times and spans, split so that a screen only words them.

use chrono::Datelike as _;
use tallywater_core::view;

use crate::cross::{Shown, mirror};

mirror! {
    /// What a person would call a day.
    shown enum DayIs = view::DayIs {
        Yesterday,
        Today,
        Tomorrow,
        Other,
    }

    /// A moment, by the clock of its place.
    shown record Moment = view::Moment {
        at: String,
        day: Day,
        hour: u32,
        minute: u32,
    }

    /// How long something lasted or lasts.
    shown record TimeSpan = view::Span {
        hours: u32,
        minutes: u32,
        seconds: u32,
        all_minutes: u32,
    }

    /// A day of the week.
    shown enum Weekday = chrono::Weekday {
        Mon,
        Tue,
        Wed,
        Thu,
        Fri,
        Sat,
        Sun,
    }
}

/// A day.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Day {
    /// The day itself, as 2026-06-02.
    pub date: String,
    /// Its year.
    pub year: i32,
    /// Its month, 1 to 12.
    pub month: u32,
    /// Its day of the month, from 1.
    pub day: u32,
    /// Its day of the week.
    pub weekday: Weekday,
    /// What a person would call it.
    pub day_is: DayIs,
    /// Days from today: 0 is today, 1 tomorrow, -1 yesterday.
    pub from_today: i64,
}

impl Shown<Day> for view::Day {
    fn shown(self) -> Day {
        let Self {
            date,
            weekday,
            is,
            from_today,
        } = self;
        Day {
            date: date.shown(),
            year: date.year(),
            month: date.month(),
            day: date.day(),
            weekday: weekday.shown(),
            day_is: is.shown(),
            from_today,
        }
    }
}
