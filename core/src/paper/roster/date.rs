//! Birth dates as people write them. Which of day and month comes first is read from the
//! whole column, and where that says nothing the row is refused: a guess would make someone
//! a minor, or not one.

use chrono::NaiveDate;

/// Which comes first where both could.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::paper) enum Order {
    DayFirst,
    MonthFirst,
    Unknown,
}

/// Why a text is no date that can be meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::paper) enum NoDay {
    /// Not a date.
    Unreadable,
    /// Day and month could be either.
    OneOfTwo,
    /// Before or after what can be meant.
    Outside,
}

/// A date in three numbers, before it is known which is which.
enum Written {
    Certain(NaiveDate),
    /// First, second, year; and whether the separator is a point, which no country puts
    /// after a month.
    Either(u32, u32, i32, bool),
}

/// What a column's dates say about the order of day and month.
pub(in crate::paper) fn order<'a>(dates: impl Iterator<Item = &'a str>) -> Order {
    let (mut day_first, mut month_first) = (false, false);
    for date in dates {
        if let Some(Written::Either(first, second, _, _)) = written(date) {
            day_first |= first > 12;
            month_first |= second > 12;
        }
    }
    match (day_first, month_first) {
        (true, false) => Order::DayFirst,
        (false, true) => Order::MonthFirst,
        (true, true) | (false, false) => Order::Unknown,
    }
}

/// Reads one date that has been: from 1900 to today.
pub(super) fn read(text: &str, order: Order, today: NaiveDate) -> Result<NaiveDate, NoDay> {
    let date = day(text, order)?;
    let earliest = NaiveDate::from_ymd_opt(1900, 1, 1).unwrap_or(NaiveDate::MIN);
    if date < earliest || date > today {
        return Err(NoDay::Outside);
    }
    Ok(date)
}

/// Reads one date, whenever it is.
pub(in crate::paper) fn day(text: &str, order: Order) -> Result<NaiveDate, NoDay> {
    Ok(match written(text).ok_or(NoDay::Unreadable)? {
        Written::Certain(date) => date,
        Written::Either(first, second, year, point) => {
            let day_first = NaiveDate::from_ymd_opt(year, second, first);
            let month_first = NaiveDate::from_ymd_opt(year, first, second);
            match (day_first, month_first, order) {
                (Some(date), None, _) | (None, Some(date), _) => date,
                (Some(date), Some(_), _) if point || first == second => date,
                (Some(date), Some(_), Order::DayFirst) => date,
                (Some(_), Some(date), Order::MonthFirst) => date,
                (Some(_), Some(_), Order::Unknown) => return Err(NoDay::OneOfTwo),
                (None, None, _) => return Err(NoDay::Unreadable),
            }
        }
    })
}

fn written(text: &str) -> Option<Written> {
    let parts: Vec<&str> = text
        .trim()
        .trim_end_matches('.')
        .split(['-', '/', '.', ' ', '年', '月', '日'])
        .filter(|part| !part.is_empty())
        .collect();
    let [first, second, third] = parts.as_slice() else {
        return None;
    };
    let number = |part: &str| part.parse::<u32>().ok();
    if first.len() == 4 {
        let year = i32::try_from(number(first)?).ok()?;
        let date = NaiveDate::from_ymd_opt(year, number(second)?, number(third)?)?;
        return Some(Written::Certain(date));
    }
    // Two digits of a year would be a guess at the century.
    if third.len() != 4 {
        return None;
    }
    let year = i32::try_from(number(third)?).ok()?;
    Some(Written::Either(
        number(first)?,
        number(second)?,
        year,
        text.contains('.'),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(y: i32, m: u32, d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(y, m, d).unwrap()
    }

    #[test]
    fn a_date_that_could_be_two_days_is_refused_unless_the_column_tells() {
        let today = day(2026, 6, 1);
        assert_eq!(
            read("1999-04-03", Order::Unknown, today),
            Ok(day(1999, 4, 3))
        );
        assert_eq!(
            read("03.04.1999", Order::Unknown, today),
            Ok(day(1999, 4, 3))
        );
        assert_eq!(
            read("3/4/1999", Order::Unknown, today),
            Err(NoDay::OneOfTwo)
        );
        assert_eq!(
            read("3/4/1999", Order::MonthFirst, today),
            Ok(day(1999, 3, 4))
        );
        assert_eq!(
            read("23/4/1999", Order::Unknown, today),
            Ok(day(1999, 4, 23))
        );
        assert_eq!(read("4/4/1999", Order::Unknown, today), Ok(day(1999, 4, 4)));
        assert_eq!(
            order(["3/4/1999", "25/1/2001"].into_iter()),
            Order::DayFirst
        );
        assert_eq!(
            order(["3/4/1999", "1/25/2001"].into_iter()),
            Order::MonthFirst
        );
        assert_eq!(
            order(["25/1/1999", "1/25/2001"].into_iter()),
            Order::Unknown
        );
        assert_eq!(
            read("03.04.99", Order::DayFirst, today),
            Err(NoDay::Unreadable)
        );
        assert_eq!(
            read("31/31/1999", Order::DayFirst, today),
            Err(NoDay::Unreadable)
        );
        assert_eq!(
            read("2026-06-02", Order::Unknown, today),
            Err(NoDay::Outside)
        );
        assert_eq!(
            read("1899-12-31", Order::Unknown, today),
            Err(NoDay::Outside)
        );
    }
}
