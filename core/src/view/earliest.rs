//! Earliest: of all that ends a dive the first, and which it is.
//!
//! Gas, no-stop time, cold and the planned length are worked out each on its own; a headline that
//! shows one of them alone promises what another takes away. What is not known is named beside
//! it: a figure that rests on less is never shown as if it rested on all.

use super::{ExposureView, GasView, WhoName};
use crate::calc::no_stop::Limit as NoStopLimit;
use crate::calc::outside::{OutsideTable, Quantity, counted};
use crate::calc::unit::MinutesWhole;

/// What ends a dive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum LimitedBy {
    /// The gas of whoever has the least of it at depth, by the turn rule.
    Gas,
    /// The no-stop time of whoever has the least left.
    NoStop,
    /// The minutes that the instructor takes this class to stay warm enough.
    Cold,
    /// The session's planned length.
    Plan,
}

/// One of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Ends {
    /// Minutes at the planned depth until the ascent begins.
    pub minutes: MinutesWhole,
    /// Which it is.
    pub by: LimitedBy,
    /// Whose, where it is one person's.
    pub whose: Option<WhoName>,
}

/// What ends a session's dive first.
#[derive(Debug, Clone, PartialEq)]
pub struct EarliestView {
    /// The first of them; `None` where none is known.
    pub first: Option<Ends>,
    /// The others, in order of time.
    pub then: Vec<Ends>,
    /// What could not be worked out or was not said, and so is not among them.
    pub without: Vec<LimitedBy>,
}

impl EarliestView {
    /// The fewest and the most minutes that may be typed for the cold.
    pub const COLD: [u32; 2] = [5, 180];

    /// Of a session's gas and everybody's day, with the planned minutes and, where the instructor
    /// has said so, the minutes that this water is warm enough for this class.
    ///
    /// # Errors
    /// Minutes for the cold outside [`Self::COLD`].
    pub fn of(
        gas: &GasView,
        day: Option<&ExposureView>,
        planned: MinutesWhole,
        cold: Option<MinutesWhole>,
    ) -> Result<Self, OutsideTable> {
        let [least, most] = Self::COLD;
        let cold = cold
            .map(|cold| counted(Quantity::DiveTime, cold.0, least, most))
            .transpose()?;
        let mut all = Vec::with_capacity(4);
        let mut without = Vec::new();
        match gas_ends(gas) {
            Some(ends) => all.push(ends),
            None => without.push(LimitedBy::Gas),
        }
        match day {
            None => without.push(LimitedBy::NoStop),
            Some(day) => all.extend(no_stop_ends(day)),
        }
        match cold {
            None => without.push(LimitedBy::Cold),
            Some(minutes) => all.push(Ends {
                minutes: MinutesWhole(minutes),
                by: LimitedBy::Cold,
                whose: None,
            }),
        }
        all.push(Ends {
            minutes: planned,
            by: LimitedBy::Plan,
            whose: None,
        });
        all.sort_by_key(|ends| (ends.minutes, ends.by));
        let mut all = all.into_iter();
        Ok(Self {
            first: all.next(),
            then: all.collect(),
            without,
        })
    }
}

/// Whoever has the fewest minutes of gas at depth, staff too; `None` where it was not worked out.
fn gas_ends(gas: &GasView) -> Option<Ends> {
    if gas.open.is_some() {
        return None;
    }
    let all = gas.students.iter().chain(&gas.staff);
    let known = all.filter_map(|row| Some((row, row.reserve.as_ref()?.at_depth)));
    known
        .min_by_key(|(_, minutes)| *minutes)
        .map(|(row, minutes)| Ends {
            minutes,
            by: LimitedBy::Gas,
            whose: Some(row.who.clone()),
        })
}

/// Nothing where the sources set no limit for anybody.
fn no_stop_ends(day: &ExposureView) -> Option<Ends> {
    let minutes = match day.limit {
        Some(NoStopLimit::Unlimited) => return None,
        Some(NoStopLimit::Minutes(minutes)) => minutes,
        // It cannot be said for somebody: then nothing is left.
        None => MinutesWhole(0),
    };
    Some(Ends {
        minutes,
        by: LimitedBy::NoStop,
        whose: day.shortest.clone(),
    })
}
