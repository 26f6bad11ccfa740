//! Moment typed: times of day and days as they are typed: `9`, `9:30`, `09.30`, `0930`;
//! `08062011`, `8.6.2011`.

use chrono::NaiveDate;

/// A day, month and year in this order; `None` for what is no day, and for a year of two digits.
pub fn typed_day(text: &str) -> Option<NaiveDate> {
    let digits: String = text.chars().filter(char::is_ascii_digit).collect();
    let parts: Vec<&str> = text
        .split(|one: char| !one.is_ascii_digit())
        .filter(|part| !part.is_empty())
        .collect();
    let (day, month, year) = match parts.as_slice() {
        [day, month, year] => (*day, *month, *year),
        [_] if digits.len() == 8 => (digits.get(..2)?, digits.get(2..4)?, digits.get(4..)?),
        _ => return None,
    };
    if year.len() != 4 {
        return None;
    }
    NaiveDate::from_ymd_opt(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?)
}

/// Hour and minute; `None` for what is no time. Whether the hour exists is asked by the day.
pub fn typed_clock(text: &str) -> Option<(u32, u32)> {
    let text = text.trim();
    let (hour, minute) = match text.split_once([':', '.']) {
        Some(parts) => parts,
        None if text.len() > 2 => text.split_at_checked(text.len().checked_sub(2)?)?,
        None => (text, "0"),
    };
    Some((hour.parse().ok()?, minute.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::{NaiveDate, typed_clock, typed_day};

    #[test]
    fn a_time_reads_with_a_mark_and_without_one() {
        for (text, read) in [
            ("9", (9, 0)),
            ("9:30", (9, 30)),
            ("09.30", (9, 30)),
            ("0930", (9, 30)),
            ("930", (9, 30)),
            (" 17:05 ", (17, 5)),
        ] {
            assert_eq!(typed_clock(text), Some(read), "{text}");
        }
        for text in ["", "x", "9:", ":30", "9:x", "é9"] {
            assert_eq!(typed_clock(text), None, "{text}");
        }
    }

    #[test]
    fn a_day_reads_as_day_month_year_and_never_with_a_year_of_two_digits() {
        let june = NaiveDate::from_ymd_opt(2011, 6, 8);
        for text in ["08062011", "8.6.2011", "8 6 2011", "08/06/2011"] {
            assert_eq!(typed_day(text), june, "{text}");
        }
        for text in ["", "8611", "8.6.11", "31022011", "2011", "x"] {
            assert_eq!(typed_day(text), None, "{text}");
        }
    }
}
