//! Zone: the time zones that a calendar file describes itself (RFC 5545, 3.6.5), as far as they
//! go by one yearly rule. A zone that is only named is not known here: its hours would be a
//! guess.

use chrono::{
    DateTime, Datelike as _, Days, FixedOffset, Months, NaiveDate, NaiveDateTime, Weekday,
};

/// When an offset begins to hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Onset {
    /// Once, and from then on.
    Once,
    /// Each year on a weekday of a month, counted from its beginning, or from its end where
    /// below nought.
    Yearly(u32, i8, Weekday),
}

/// Standard time or summer time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Part {
    /// By the clock that it ends: the first time that it holds.
    first: NaiveDateTime,
    onset: Onset,
    offset: FixedOffset,
}

/// A zone by its name in the file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Zone {
    parts: Vec<Part>,
    /// A part that goes by a rule which is not read: then nothing is.
    unread: bool,
}

impl Zone {
    /// Takes in one part; `rule` is its RRULE.
    pub(super) fn part(&mut self, first: &str, offset: &str, rule: Option<&str>) {
        let read = || {
            let onset = match rule {
                None => Onset::Once,
                Some(rule) => yearly(rule)?,
            };
            Some(Part {
                first: NaiveDateTime::parse_from_str(first, "%Y%m%dT%H%M%S").ok()?,
                onset,
                offset: offset_of(offset)?,
            })
        };
        match read() {
            Some(part) => self.parts.push(part),
            None => self.unread = true,
        }
    }

    /// When a time by the zone's clock is; `None` where the zone does not say.
    pub(super) fn at(&self, local: NaiveDateTime) -> Option<DateTime<FixedOffset>> {
        if self.unread {
            return None;
        }
        let began = |part: &Part| Some((part.latest(local)?, part.offset));
        let (_, offset) = self
            .parts
            .iter()
            .filter_map(began)
            .max_by_key(|one| one.0)?;
        local.and_local_timezone(offset).single()
    }
}

impl Part {
    /// The last time at or before this that it began.
    fn latest(&self, local: NaiveDateTime) -> Option<NaiveDateTime> {
        let began = match self.onset {
            Onset::Once => Some(self.first),
            Onset::Yearly(month, nth, weekday) => [local.year(), local.year() - 1]
                .into_iter()
                .filter_map(|year| nth_weekday(year, month, nth, weekday))
                .map(|day| day.and_time(self.first.time()))
                .find(|at| *at <= local),
        };
        began.filter(|at| *at <= local && *at >= self.first)
    }
}

/// The n-th such weekday of a month.
fn nth_weekday(year: i32, month: u32, nth: i8, weekday: Weekday) -> Option<NaiveDate> {
    if nth > 0 {
        return NaiveDate::from_weekday_of_month_opt(year, month, weekday, nth.unsigned_abs());
    }
    let after = NaiveDate::from_ymd_opt(year, month, 1)?.checked_add_months(Months::new(1))?;
    let last = after.checked_sub_days(Days::new(1))?;
    let back = last.weekday().days_since(weekday);
    let weeks = u32::from(nth.unsigned_abs()).checked_sub(1)?;
    last.checked_sub_days(Days::new(u64::from(back + 7 * weeks)))
}

/// `FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU`, in any order, and nothing else: a rule with an end
/// speaks of years that are past.
fn yearly(rule: &str) -> Option<Onset> {
    let (mut yearly, mut month, mut day) = (false, None, None);
    for part in rule.split(';') {
        match part.split_once('=')? {
            ("FREQ", "YEARLY") => yearly = true,
            ("BYMONTH", n) => month = n.parse().ok(),
            ("BYDAY", text) => {
                let (nth, weekday) = text.split_at_checked(text.len().checked_sub(2)?)?;
                day = Some((nth.parse().ok()?, weekday_of(weekday)?));
            }
            ("WKST", _) | ("INTERVAL", "1") => {}
            _ => return None,
        }
    }
    let (nth, weekday) = day?;
    yearly.then_some(Onset::Yearly(month?, nth, weekday))
}

fn weekday_of(text: &str) -> Option<Weekday> {
    Some(match text {
        "MO" => Weekday::Mon,
        "TU" => Weekday::Tue,
        "WE" => Weekday::Wed,
        "TH" => Weekday::Thu,
        "FR" => Weekday::Fri,
        "SA" => Weekday::Sat,
        "SU" => Weekday::Sun,
        _ => return None,
    })
}

/// `+0200` or `-033000`.
fn offset_of(text: &str) -> Option<FixedOffset> {
    let (sign, digits) = match text.split_at_checked(1)? {
        ("+", rest) => (1, rest),
        ("-", rest) => (-1, rest),
        _ => return None,
    };
    let part = |from: usize| -> Option<i32> { digits.get(from..from + 2)?.parse().ok() };
    let seconds = match digits.len() {
        4 => 0,
        6 => part(4)?,
        _ => return None,
    };
    FixedOffset::east_opt(sign * (part(0)? * 3_600 + part(2)? * 60 + seconds))
}
