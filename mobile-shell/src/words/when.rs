//! When: days and times of day.

use slint::SharedString;
use tallywater_bindings::{Day, DayIs, Moment, TimeSaid, TimeSpan, Weekday};

use super::count;
use crate::ui;

/// A day as the screens word it.
pub(crate) fn day(day: &Day) -> ui::Day {
    ui::Day {
        year: day.year,
        month: count(day.month),
        day: count(day.day),
        weekday: match day.weekday {
            Weekday::Mon => 1,
            Weekday::Tue => 2,
            Weekday::Wed => 3,
            Weekday::Thu => 4,
            Weekday::Fri => 5,
            Weekday::Sat => 6,
            Weekday::Sun => 7,
        },
        near: match day.is {
            DayIs::Other => 0,
            DayIs::Today => 1,
            DayIs::Tomorrow => 2,
            DayIs::Yesterday => 3,
        },
    }
}

/// A time of day: "09:05".
pub(crate) fn clock(at: &Moment) -> SharedString {
    slint::format!("{:02}:{:02}", at.hour, at.minute)
}

/// When a time was written, where that was not then: with its day where that is another.
pub(crate) fn written(said: &TimeSaid) -> Option<SharedString> {
    let written = said.written.as_ref()?;
    Some(if written.day.date == said.at.day.date {
        clock(written)
    } else {
        slint::format!("{} {}", written.day.date, clock(written))
    })
}

/// A moment as the screens word it.
pub(crate) fn moment(at: &Moment) -> ui::Moment {
    ui::Moment {
        day: day(&at.day),
        clock: clock(at),
    }
}

/// How long: "1:05 h" or "12 min".
pub(crate) fn span(span: &TimeSpan) -> SharedString {
    if span.hours > 0 {
        slint::format!("{}:{:02} h", span.hours, span.minutes)
    } else {
        slint::format!("{} min", span.minutes)
    }
}
