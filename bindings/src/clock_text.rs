//! Times of day and days as they are typed, read by the core.

use tallywater_core::view;

use crate::cross::Shown as _;
use crate::{Day, Fault, Moment, Tallywater};

#[uniffi::export]
impl Tallywater {
    /// The moment on a day at a time of day as it was typed.
    pub fn read_clock(&self, date: String, text: String) -> Result<Moment, Fault> {
        let (hour, minute) = view::typed_clock(&text).ok_or_else(|| Fault::rule("bad_time"))?;
        self.moment_on(date, hour, minute)
    }

    /// A day as it was typed: day, month, year.
    pub fn read_day(&self, text: String) -> Result<Day, Fault> {
        let day = view::typed_day(&text).ok_or_else(|| Fault::rule("bad_date"))?;
        Ok(view::Day::of(day, self.desk.now().date_naive()).shown())
    }
}
