//! Quantities as types, metric and imperial, with exact conversions.
//!
//! Conversion factors are the exact ones of the international yard and pound agreement
//! of 1959 (NIST Special Publication 811, 2008 edition, appendix B.8) unless a line
//! says otherwise. A conversion there and back returns the value to the last few bits.
//! A quantity may hold any number; the calculations check bounds, not the types.

mod length;
mod mass;
mod pressure;
mod rate;
mod share;
mod temperature;
mod time;
mod volume;

use std::fmt;

pub use length::{Centimetres, Feet, Inches, Metres, Millimetres};
pub use mass::{Kilograms, KilogramsPerCubicMetre, Pounds, PoundsPerCubicFoot};
pub use pressure::{Bar, FeetSeaWater, GaugeBar, GaugePsi, MetresSeaWater, Millibar, Psi};
pub use rate::{CubicFeetPerMinute, FeetPerMinute, LitresPerMinute, MetresPerMinute};
pub use share::{Coefficient, Percent, PracticalSalinity, Share};
pub use temperature::{Celsius, Celsius68, Fahrenheit};
pub use time::{Minutes, MinutesWhole, Seconds};
pub use volume::{CubicFeet, Litres};

/// The unit that an [`Amount`] is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(
    missing_docs,
    reason = "each name is the unit and nothing is added by a sentence"
)]
pub enum Unit {
    Bar,
    Celsius,
    Centimetre,
    Coefficient,
    Count,
    CubicFoot,
    CubicFootPerMinute,
    Fahrenheit,
    Foot,
    FootPerMinute,
    FootSeaWater,
    GaugeBar,
    GaugePsi,
    Inch,
    Kilogram,
    KilogramPerCubicMetre,
    Litre,
    LitrePerMinute,
    Metre,
    MetrePerMinute,
    MetreSeaWater,
    Millibar,
    Millimetre,
    Minute,
    Percent,
    Pound,
    PoundPerCubicFoot,
    PracticalSalinity,
    Psi,
    Second,
    Share,
}

impl Unit {
    /// The symbol as it is printed in a log; empty for a plain number.
    ///
    /// ```
    /// use tallywater_core::calc::unit::Unit;
    /// assert_eq!(Unit::GaugeBar.symbol(), "bar gauge");
    /// ```
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Bar => "bar",
            Self::Celsius => "C",
            Self::Centimetre => "cm",
            Self::Coefficient | Self::Count | Self::PracticalSalinity | Self::Share => "",
            Self::CubicFoot => "ft3",
            Self::CubicFootPerMinute => "ft3/min",
            Self::Fahrenheit => "F",
            Self::Foot => "ft",
            Self::FootPerMinute => "ft/min",
            Self::FootSeaWater => "fsw",
            Self::GaugeBar => "bar gauge",
            Self::GaugePsi => "psi gauge",
            Self::Inch => "in",
            Self::Kilogram => "kg",
            Self::KilogramPerCubicMetre => "kg/m3",
            Self::Litre => "L",
            Self::LitrePerMinute => "L/min",
            Self::Metre => "m",
            Self::MetrePerMinute => "m/min",
            Self::MetreSeaWater => "msw",
            Self::Millibar => "mbar",
            Self::Millimetre => "mm",
            Self::Minute => "min",
            Self::Percent => "%",
            Self::Pound => "lb",
            Self::PoundPerCubicFoot => "lb/ft3",
            Self::Psi => "psi",
            Self::Second => "s",
        }
    }
}

/// A number together with its unit, for a refusal that has to name both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
}

impl fmt::Display for Amount {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let symbol = self.unit.symbol();
        let space = if symbol.is_empty() { "" } else { " " };
        write!(out, "{}{space}{symbol}", self.value)
    }
}

/// Any quantity of this room.
pub trait Measured: Copy {
    /// The quantity as a number with its unit.
    fn amount(self) -> Amount;
}

/// Which way a figure is rounded before it is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// To the next step above: what must not be less.
    Up,
    /// To the next step below: what must not be more.
    Down,
    /// To the nearest step: where neither way is safer.
    Nearest,
}

/// A sum of a few conversions is off in the sixteenth figure; a step is not lost to that.
const SLACK: f64 = 1e-9;

pub(crate) fn to_step(value: f64, rounding: Rounding, step: f64) -> f64 {
    let steps = value / step;
    let whole = match rounding {
        Rounding::Up => (steps - SLACK).ceil(),
        Rounding::Down => (steps + SLACK).floor(),
        Rounding::Nearest => steps.round(),
    };
    // Adding zero turns a negative zero into a plain one.
    if step > 0.0 && whole.is_finite() {
        whole * step + 0.0
    } else {
        value
    }
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl $crate::calc::unit::Measured for $name {
            fn amount(self) -> $crate::calc::unit::Amount {
                $crate::calc::unit::Amount { value: self.0, unit: $crate::calc::unit::Unit::$unit }
            }
        }

        impl $name {
            /// The value to a whole number of steps. A step that is not above zero leaves
            /// the value as it is.
            ///
            /// ```
            #[doc = concat!("use tallywater_core::calc::unit::{Rounding, ", stringify!($name), "};")]
            #[doc = concat!("let up = ", stringify!($name), "(2.3).rounded(Rounding::Up, ", stringify!($name), "(0.5));")]
            #[doc = concat!("assert_eq!(up, ", stringify!($name), "(2.5));")]
            /// ```
            #[must_use]
            pub fn rounded(self, rounding: $crate::calc::unit::Rounding, step: Self) -> Self {
                Self($crate::calc::unit::to_step(self.0, rounding, step.0))
            }
        }

        impl ::std::fmt::Display for $name {
            fn fmt(&self, out: &mut ::std::fmt::Formatter<'_>) -> ::std::fmt::Result {
                $crate::calc::unit::Measured::amount(*self).fmt(out)
            }
        }
    };
}

/// `1 $small` is `$factor $large`, both ways.
macro_rules! converts {
    ($small:ident, $large:ident, $factor:expr) => {
        impl From<$small> for $large {
            fn from(value: $small) -> Self {
                Self(value.0 * $factor)
            }
        }
        impl From<$large> for $small {
            fn from(value: $large) -> Self {
                Self(value.0 / $factor)
            }
        }
    };
}

pub(crate) use {converts, quantity};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_is_not_lost_to_the_sixteenth_figure() {
        assert_eq!(
            GaugeBar(56.000_000_000_01).rounded(Rounding::Up, GaugeBar(1.0)),
            GaugeBar(56.0)
        );
        assert_eq!(
            GaugeBar(56.01).rounded(Rounding::Up, GaugeBar(1.0)),
            GaugeBar(57.0)
        );
        assert_eq!(
            Minutes(27.999_999_999_99).rounded(Rounding::Down, Minutes(1.0)),
            Minutes(28.0)
        );
        assert_eq!(
            Kilograms(4.74).rounded(Rounding::Nearest, Kilograms(0.5)),
            Kilograms(4.5)
        );
        assert_eq!(
            Kilograms(4.74).rounded(Rounding::Up, Kilograms(0.0)),
            Kilograms(4.74)
        );
    }

    #[test]
    fn conversions_are_the_published_exact_ones() {
        // NIST SP 811 (2008), appendix B.8: foot 0.3048 m, pound 0.453 592 37 kg.
        assert_eq!(Metres::from(Feet(60.0)), Metres(60.0 * 0.3048));
        assert_eq!(Kilograms::from(Pounds(2.0)), Kilograms(0.907_184_74));
        // NIST SP 811 (2008), appendix B.8: psi 6.894 757 kPa, cubic foot 28.316 85 L.
        assert!((Bar::from(Psi(3000.0)).0 - 206.842_71).abs() < 1e-5);
        assert!((Litres::from(CubicFeet(80.0)).0 - 2265.348).abs() < 1e-3);
        assert_eq!(Celsius::from(Fahrenheit(212.0)), Celsius(100.0));
    }

    #[test]
    fn an_amount_prints_with_its_unit() {
        assert_eq!(Metres(18.3).to_string(), "18.3 m");
        assert_eq!(PracticalSalinity(35.0).to_string(), "35");
    }
}
