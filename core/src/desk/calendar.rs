//! Calendar: days and times beside one another, so that a screen that picks a day or an hour
//! reckons with neither.

use chrono::{DateTime, Days, FixedOffset, Local, NaiveDate, NaiveTime, Offset as _, TimeDelta};

use super::Desk;
use crate::view::{Day, Moment};

impl Desk {
    /// The day so many after one, or before it where the number is negative; after today where
    /// none is given. `None` beyond the calendar.
    pub fn day(&self, date: Option<NaiveDate>, after: i32) -> Option<Day> {
        let today = self.now().date_naive();
        let date = date.unwrap_or(today);
        let by = Days::new(u64::from(after.unsigned_abs()));
        let day = if after < 0 {
            date.checked_sub_days(by)
        } else {
            date.checked_add_days(by)
        };
        day.map(|day| Day::of(day, today))
    }

    /// The moment so many minutes after one, or before it; after now where none is given. `None`
    /// beyond the calendar.
    pub fn moment(&self, at: Option<DateTime<FixedOffset>>, after: i32) -> Option<Moment> {
        let now = self.now();
        let at = at.unwrap_or(now);
        let at = at.checked_add_signed(TimeDelta::minutes(i64::from(after)));
        at.map(|at| Moment::of(at, now))
    }

    /// A time of day on a day, by the clock of the place; `None` where there is no such time.
    pub fn moment_on(&self, date: NaiveDate, hour: u32, minute: u32) -> Option<Moment> {
        let time = NaiveTime::from_hms_opt(hour, minute, 0)?;
        let (now, naive) = (self.now(), date.and_time(time));
        // The place's own offset on that day, which summer time may have moved since; the
        // clock's offset where the clock is not this place's.
        let here = now.with_timezone(&Local).offset().fix() == *now.offset();
        let at = if here {
            naive
                .and_local_timezone(Local)
                .earliest()
                .map(|at| at.fixed_offset())
        } else {
            naive.and_local_timezone(*now.offset()).single()
        };
        at.map(|at| Moment::of(at, now))
    }
}
