//! Generations: which of the scheduled backups are kept. Days in, an answer out.
//!
//! The latest of each of the last seven days that have one, of the five last weeks and of the
//! twelve last months: what was lost unnoticed is found again for a year, and there are never more
//! than 24 files. Common practice, no published source.

use std::collections::BTreeSet;

use chrono::{Datelike as _, NaiveDate};

const DAYS: usize = 7;
const WEEKS: usize = 5;
const MONTHS: usize = 12;

/// Those days whose backup may go.
pub(super) fn superfluous(days: &BTreeSet<NaiveDate>) -> BTreeSet<NaiveDate> {
    let mut kept: BTreeSet<NaiveDate> = days.iter().rev().take(DAYS).copied().collect();
    kept.extend(latest_of_each(days, WEEKS, |day| {
        (day.iso_week().year(), day.iso_week().week())
    }));
    kept.extend(latest_of_each(days, MONTHS, |day| {
        (day.year(), day.month())
    }));
    days.difference(&kept).copied().collect()
}

/// The latest day of each of the last so many spans.
fn latest_of_each<K: Ord>(
    days: &BTreeSet<NaiveDate>,
    spans: usize,
    of: impl Fn(&NaiveDate) -> K,
) -> Vec<NaiveDate> {
    let mut seen = BTreeSet::new();
    let latest = days.iter().rev().filter(|day| seen.insert(of(day)));
    latest.take(spans).copied().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn a_year_of_daily_backups_leaves_days_weeks_and_months() {
        let mut days = BTreeSet::new();
        let mut at = day("2026-01-01");
        while at <= day("2027-06-15") {
            days.insert(at);
            for gone in superfluous(&days) {
                days.remove(&gone);
            }
            assert!(days.contains(&at) && days.len() <= DAYS + WEEKS + MONTHS);
            at = at.succ_opt().unwrap();
        }
        let kept: Vec<String> = days.iter().map(ToString::to_string).collect();
        // The last day of each month, the last Sunday of each week, the last seven days.
        assert_eq!(kept.first().unwrap(), "2026-07-31");
        assert!(kept.contains(&"2027-01-31".to_owned()));
        assert!(kept.contains(&"2027-05-23".to_owned()), "{kept:?}");
        assert_eq!(
            kept.iter().filter(|day| day.starts_with("2027-06")).count(),
            8
        );
    }

    #[test]
    fn nothing_goes_while_there_are_few() {
        let days = [day("2026-01-01"), day("2026-05-07")].into();
        assert!(superfluous(&days).is_empty());
        assert!(superfluous(&BTreeSet::new()).is_empty());
    }
}
