//! Calendar: days and times beside one another, so that a screen that picks a day or an
//! hour reckons with neither.

use chrono::{DateTime, Days, FixedOffset, Local, NaiveDate, NaiveTime, Offset as _, TimeDelta};
use tallywater_core::view;

use crate::cross::{Asked as _, Shown as _};
use crate::{Day, Fault, Moment, Tallywater};

#[uniffi::export]
impl Tallywater {
    /// A day, or the one so many days after it (before it, when negative); today when none
    /// is given.
    pub fn day(&self, date: Option<String>, after: i32) -> Result<Day, Fault> {
        let today = self.desk.now().date_naive();
        let date: NaiveDate = date.asked()?.unwrap_or(today);
        let by = Days::new(u64::from(after.unsigned_abs()));
        let day = if after < 0 {
            date.checked_sub_days(by)
        } else {
            date.checked_add_days(by)
        };
        let day = day.ok_or_else(|| Fault::rule("bad_date"))?;
        Ok(view::Day::of(day, today).shown())
    }

    /// A moment, or the one so many minutes after it (before it, when negative); now when
    /// none is given.
    pub fn moment(&self, at: Option<String>, after: i32) -> Result<Moment, Fault> {
        let now = self.desk.now();
        let at: DateTime<FixedOffset> = at.asked()?.unwrap_or(now);
        let at = at
            .checked_add_signed(TimeDelta::minutes(i64::from(after)))
            .ok_or_else(|| Fault::rule("bad_time"))?;
        Ok(view::Moment::of(at, now).shown())
    }

    /// A moment by the clock of this place.
    pub fn moment_on(&self, date: String, hour: u32, minute: u32) -> Result<Moment, Fault> {
        let date: NaiveDate = date.asked()?;
        let bad = || Fault::rule("bad_time");
        let time = NaiveTime::from_hms_opt(hour, minute, 0).ok_or_else(bad)?;
        let (now, naive) = (self.desk.now(), date.and_time(time));
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
        Ok(view::Moment::of(at.ok_or_else(bad)?, now).shown())
    }
}
