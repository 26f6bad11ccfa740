//! The demo school's hours of pool and lake in the days to come, and somebody who is away.

use chrono::{DateTime, Days, FixedOffset};

use super::DemoError;
use super::held::at_hour;
use super::school::{School, Telling};
use crate::course::{Away, Setting, Slot};
use crate::desk::Request;
use crate::entry::Who;

impl School {
    /// Two evenings in the pool and a morning at the lake that nobody holds yet; one of a class
    /// is away on the first of the evenings, the assistant on the second.
    pub(super) fn describe_agenda(
        &self,
        telling: &Telling,
        now: DateTime<FixedOffset>,
    ) -> Result<(), DemoError> {
        let day = |days| now.checked_add_days(Days::new(days)).unwrap_or(now);
        for (days, hour, setting, minutes) in [
            (5, 18, Setting::Confined, 120),
            (6, 9, Setting::Open, 240),
            (8, 18, Setting::Confined, 120),
        ] {
            let pool = setting == Setting::Confined;
            let slot = Slot {
                uid: String::new(),
                setting,
                site: if pool {
                    self.cast.pool.clone()
                } else {
                    self.cast.lake.clone()
                },
                starts: at_hour(day(days), hour),
                minutes,
                price: pool.then(|| "40 EUR".to_owned()),
            };
            self.shop.desk.record(Request::SetSlot {
                slot,
                dropped: false,
            })?;
        }
        let student = telling.students.get(2).ok_or(DemoError::NothingMade)?;
        let assistant = self.actor(telling.assistant)?.staff;
        // Whoever works for the school is away for every course.
        for (course, who, days) in [
            (Some(telling.course), Who::Student(*student), 5),
            (None, Who::Staff(assistant), 8),
        ] {
            let away = Away {
                uid: String::new(),
                from: at_hour(day(days), 0),
                until: at_hour(day(days + 1), 0),
            };
            self.shop.desk.record(Request::SetAway {
                course,
                who,
                away,
                dropped: false,
            })?;
        }
        Ok(())
    }
}
