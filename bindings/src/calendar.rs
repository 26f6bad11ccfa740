//! Calendar: days and times beside one another, and as they are typed; the core reckons.

use tallywater_core::view;

use crate::cross::Asked as _;
use crate::{Day, Fault, Moment, Tallywater};

#[uniffi::export]
impl Tallywater {
    /// A day, or the one so many days after it (before it, when negative); today when none
    /// is given.
    pub fn day(&self, date: Option<String>, after: i32) -> Result<Day, Fault> {
        let day = self.desk.day(date.asked()?, after);
        day.ok_or_else(|| Fault::rule("bad_date"))
    }

    /// A moment, or the one so many minutes after it (before it, when negative); now when
    /// none is given.
    pub fn moment(&self, at: Option<String>, after: i32) -> Result<Moment, Fault> {
        let moment = self.desk.moment(at.asked()?, after);
        moment.ok_or_else(|| Fault::rule("bad_time"))
    }

    /// A moment by the clock of this place.
    pub fn moment_on(&self, date: String, hour: u32, minute: u32) -> Result<Moment, Fault> {
        let moment = self.desk.moment_on(date.asked()?, hour, minute);
        moment.ok_or_else(|| Fault::rule("bad_time"))
    }

    /// The moment on a day at a time of day as it was typed.
    pub fn read_clock(&self, date: String, text: String) -> Result<Moment, Fault> {
        let (hour, minute) = view::typed_clock(&text).ok_or_else(|| Fault::rule("bad_time"))?;
        self.moment_on(date, hour, minute)
    }

    /// A day as it was typed: day, month, year.
    pub fn read_day(&self, text: String) -> Result<Day, Fault> {
        let day = view::typed_day(&text).ok_or_else(|| Fault::rule("bad_date"))?;
        Ok(Day::of(day, self.desk.now().date_naive()))
    }
}
