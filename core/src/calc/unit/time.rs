//! Times: whole minutes, as a table counts them, and exact ones.

use std::fmt;

use super::{Amount, Measured, Rounding, Unit, converts, quantity, to_step};

quantity!(
    /// Minutes, exact.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Minutes, Seconds};
    /// assert_eq!(Minutes::from(Seconds(90.0)), Minutes(1.5));
    /// ```
    Minutes, Minute
);
quantity!(
    /// Seconds.
    Seconds, Second
);
converts!(Minutes, Seconds, 60.0); // s, by definition

/// Whole minutes, as every table counts them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MinutesWhole(pub u32);

impl MinutesWhole {
    /// An exact time to whole minutes, rounded as told; `None` for what is not a time
    /// (negative, `NaN`, longer than a century).
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Minutes, MinutesWhole, Rounding};
    /// assert_eq!(MinutesWhole::of(Minutes(35.2), Rounding::Up), Some(MinutesWhole(36)));
    /// assert_eq!(MinutesWhole::of(Minutes(f64::NAN), Rounding::Up), None);
    /// ```
    #[must_use]
    pub fn of(exact: Minutes, rounding: Rounding) -> Option<Self> {
        let whole = to_step(exact.0, rounding, 1.0);
        // About a century; far below where the conversion could lose anything.
        if !(0.0..=52_594_920.0).contains(&whole) {
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole, not negative and below 2^32 as just checked"
        )]
        Some(Self(whole as u32))
    }

    /// The same time as an exact one.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Minutes, MinutesWhole};
    /// assert_eq!(MinutesWhole(63).exact(), Minutes(63.0));
    /// ```
    #[must_use]
    pub fn exact(self) -> Minutes {
        Minutes(f64::from(self.0))
    }
}

impl Measured for MinutesWhole {
    fn amount(self) -> Amount {
        Amount {
            value: f64::from(self.0),
            unit: Unit::Minute,
        }
    }
}

impl fmt::Display for MinutesWhole {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.amount().fmt(out)
    }
}
