//! Figure: a number ready to be shown, in the reader's units, and back again from what was
//! typed. Figures are kept in integer base units; this is the only place that turns them
//! into others for the screen, and it rounds to what a gauge shows.

mod free;

use std::fmt;

/// Which units the reader works in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Units {
    /// Metres, bar, kilograms, degrees Celsius.
    #[default]
    Metric,
    /// Feet, psi, pounds, degrees Fahrenheit.
    Imperial,
}

/// A unit as it is written behind a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum UnitOfMeasure {
    /// A bare number.
    One,
    /// Metres.
    Metre,
    /// Feet.
    Foot,
    /// Bar.
    Bar,
    /// Pounds a square inch.
    Psi,
    /// Kilograms.
    Kilogram,
    /// Pounds.
    Pound,
    /// Litres.
    Litre,
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
    /// Metres a minute.
    MetreMinute,
    /// Feet a minute.
    FootMinute,
    /// Minutes.
    Minute,
    /// Minutes and seconds, as a stopwatch shows them: "1:05".
    Clock,
    /// Hours and minutes: "15:35".
    Hour,
    /// Per cent.
    Percent,
    /// Seconds.
    Second,
    /// Millimetres.
    Millimetre,
    /// Centimetres.
    Centimetre,
    /// Inches.
    Inch,
    /// Millibar.
    Millibar,
    /// Cubic feet.
    CubicFoot,
    /// Litres a minute.
    LitreMinute,
    /// Cubic feet a minute.
    CubicFootMinute,
    /// Kilograms a cubic metre.
    KilogramCubicMetre,
    /// Pounds a cubic foot.
    PoundCubicFoot,
    /// Feet of sea water, a row of a table.
    FootSeaWater,
}

impl UnitOfMeasure {
    /// The symbol, the same in every language; empty where none is written.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::One | Self::Clock => "",
            Self::Metre => "m",
            Self::Foot => "ft",
            Self::Bar => "bar",
            Self::Psi => "psi",
            Self::Kilogram => "kg",
            Self::Pound => "lb",
            Self::Litre => "L",
            Self::Celsius => "°C",
            Self::Fahrenheit => "°F",
            Self::MetreMinute => "m/min",
            Self::FootMinute => "ft/min",
            Self::Minute => "min",
            Self::Hour => "h",
            Self::Percent => "%",
            Self::Second => "s",
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Inch => "in",
            Self::Millibar => "mbar",
            Self::CubicFoot => "ft³",
            Self::LitreMinute => "L/min",
            Self::CubicFootMinute => "ft³/min",
            Self::KilogramCubicMetre => "kg/m³",
            Self::PoundCubicFoot => "lb/ft³",
            Self::FootSeaWater => "fsw",
        }
    }
}

/// A figure and its unit. It prints as "12.5 m".
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Figure {
    /// The figure, with a full stop where it has decimals.
    pub text: String,
    /// Its unit.
    pub unit: UnitOfMeasure,
}

impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.unit.symbol() {
            "" => f.write_str(&self.text),
            symbol => write!(f, "{} {symbol}", self.text),
        }
    }
}

/// A kind of figure: how its base unit is shown in either system. `base * per / of` gives
/// tenths of the shown unit.
struct Scale {
    unit: UnitOfMeasure,
    per: i64,
    of: i64,
    decimals: Decimals,
}

#[derive(PartialEq, Eq)]
enum Decimals {
    /// To the next ten: no pressure gauge in psi is read finer.
    Tens,
    Whole,
    Tenths,
    /// Tenths where there are any.
    IfAny,
}

/// What is measured, by its base unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Of {
    /// Depth, from centimetres.
    Depth,
    /// A small difference in depth, from centimetres.
    Band,
    /// A way, from decimetres.
    Way,
    /// Height above the sea, from metres.
    Altitude,
    /// Pressure, from millibar.
    Pressure,
    /// Lead, from grams.
    Lead,
    /// A cylinder, from decilitres of water: in litres, and where cubic feet are read by its
    /// free volume too, if its working pressure is known.
    Cylinder,
    /// Temperature, from tenths of a degree Celsius.
    Temperature,
    /// Vertical rate, from centimetres a minute.
    Rate,
}

impl Of {
    /// A foot is 0.3048 m, a pound 453.59237 g and a bar 14.5037738 psi: NIST Special
    /// Publication 811 (2008), appendix B.
    const fn scale(self, units: Units) -> Scale {
        use Decimals::{IfAny, Tens, Tenths, Whole};
        let (unit, per, of, decimals) = match (self, units) {
            (Self::Depth | Self::Band, Units::Metric) => (UnitOfMeasure::Metre, 1, 10, Tenths),
            (Self::Depth, Units::Imperial) => (UnitOfMeasure::Foot, 1_000, 3_048, Whole),
            (Self::Band, Units::Imperial) => (UnitOfMeasure::Foot, 1_000, 3_048, Tenths),
            (Self::Way, Units::Metric) => (UnitOfMeasure::Metre, 1, 1, IfAny),
            (Self::Way, Units::Imperial) => (UnitOfMeasure::Foot, 10_000, 3_048, Whole),
            (Self::Altitude, Units::Metric) => (UnitOfMeasure::Metre, 10, 1, Whole),
            (Self::Altitude, Units::Imperial) => (UnitOfMeasure::Foot, 100_000, 3_048, Whole),
            (Self::Pressure, Units::Metric) => (UnitOfMeasure::Bar, 1, 100, Whole),
            (Self::Pressure, Units::Imperial) => {
                (UnitOfMeasure::Psi, 145_037_738, 1_000_000_000, Tens)
            }
            (Self::Lead, Units::Metric) => (UnitOfMeasure::Kilogram, 1, 100, Tenths),
            (Self::Lead, Units::Imperial) => (UnitOfMeasure::Pound, 1_000_000, 45_359_237, Tenths),
            (Self::Cylinder, Units::Metric | Units::Imperial) => {
                (UnitOfMeasure::Litre, 1, 1, IfAny)
            }
            (Self::Temperature, Units::Metric) => (UnitOfMeasure::Celsius, 1, 1, IfAny),
            (Self::Temperature, Units::Imperial) => (UnitOfMeasure::Fahrenheit, 9, 5, Whole),
            (Self::Rate, Units::Metric) => (UnitOfMeasure::MetreMinute, 1, 10, Tenths),
            (Self::Rate, Units::Imperial) => (UnitOfMeasure::FootMinute, 1_000, 3_048, Whole),
        };
        Scale {
            unit,
            per,
            of,
            decimals,
        }
    }

    /// Tenths of the shown unit that its zero lies above that of the base unit.
    const fn offset(self, units: Units) -> i64 {
        match (self, units) {
            (Self::Temperature, Units::Imperial) => 320,
            _ => 0,
        }
    }

    /// The figure as it is shown.
    pub(crate) fn show(self, base: impl Into<i64>, units: Units) -> Figure {
        let scale = self.scale(units);
        let base: i64 = base.into();
        let tenths = rounded(base * scale.per, scale.of) + self.offset(units);
        let value = match scale.decimals {
            Decimals::Tens => (rounded(tenths, 100) * 10).to_string(),
            Decimals::Whole => rounded(tenths, 10).to_string(),
            Decimals::IfAny if tenths % 10 == 0 => (tenths / 10).to_string(),
            Decimals::Tenths | Decimals::IfAny => {
                let sign = if tenths < 0 { "-" } else { "" };
                let tenths = tenths.abs();
                format!("{sign}{}.{}", tenths / 10, tenths % 10)
            }
        };
        let named = if self == Self::Cylinder && units == Units::Imperial {
            free::name(base, &value)
        } else {
            None
        };
        match named {
            // It holds its units already.
            Some(text) => Figure {
                text,
                unit: UnitOfMeasure::One,
            },
            None => Figure {
                text: value,
                unit: scale.unit,
            },
        }
    }

    /// The base figure behind a typed one: digits, at most one comma or full stop and
    /// decimals after it, a minus where it makes sense; a cylinder also by the whole text that
    /// it is shown by. `None` for anything else.
    pub(super) fn read(self, typed: &str, units: Units) -> Option<i64> {
        let named = free::litres(typed.trim()).filter(|_| self == Self::Cylinder);
        if let Some(litres) = named {
            let base = self.read(litres, units)?;
            let same = self.show(base, Units::Imperial).text == typed.trim();
            return same.then_some(base);
        }
        let scale = self.scale(units);
        let thousandths = thousandths(typed)? - self.offset(units) * 100;
        Some(rounded(thousandths.checked_mul(scale.of)?, scale.per * 100))
    }
}

/// The unit that a typed figure is read in.
pub(super) const fn unit(of: Of, units: Units) -> UnitOfMeasure {
    of.scale(units).unit
}

/// Thousandths of a typed decimal number.
pub(super) fn thousandths(typed: &str) -> Option<i64> {
    let typed = typed.trim();
    let (sign, digits) = match typed.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1, rest),
        None => (1, typed),
    };
    let (whole, part) = digits.split_once(['.', ',']).unwrap_or((digits, "0"));
    let plain = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !plain(whole) || !plain(part) || whole.len() > 7 || part.len() > 3 {
        return None;
    }
    let whole: i64 = whole.parse().ok()?;
    let part: i64 = format!("{part:0<3}").parse().ok()?;
    Some(sign * (whole * 1_000 + part))
}

/// Division rounded to the nearest, halves away from nought, as a gauge reads.
const fn rounded(number: i64, by: i64) -> i64 {
    let half = by / 2;
    if number < 0 {
        (number - half) / by
    } else {
        (number + half) / by
    }
}

/// A bare number.
pub(super) fn bare(number: impl fmt::Display) -> Figure {
    Figure {
        text: number.to_string(),
        unit: UnitOfMeasure::One,
    }
}

/// Seconds as a stopwatch shows them: "0:45", "12:05", "1:02:05".
pub(super) fn clock(seconds: u32) -> Figure {
    let (minutes, rest) = (seconds / 60, seconds % 60);
    let value = if minutes < 60 {
        format!("{minutes}:{rest:02}")
    } else {
        format!("{}:{:02}:{rest:02}", minutes / 60, minutes % 60)
    };
    Figure {
        text: value,
        unit: UnitOfMeasure::Clock,
    }
}

impl Figure {
    /// Minutes as hours and minutes: "15:35".
    ///
    /// ```
    /// use tallywater_core::view::Figure;
    /// assert_eq!(Figure::hours(935).to_string(), "15:35 h");
    /// ```
    pub fn hours(minutes: u32) -> Self {
        Self {
            text: format!("{}:{:02}", minutes / 60, minutes % 60),
            unit: UnitOfMeasure::Hour,
        }
    }
}

/// Seconds from what was typed: "65", "1:05" or "1:02:05". `None` for anything else.
pub(super) fn read_clock(typed: &str) -> Option<u32> {
    let mut seconds: u32 = 0;
    let parts: Vec<&str> = typed.trim().split(':').collect();
    if parts.len() > 3 {
        return None;
    }
    for (place, part) in parts.iter().enumerate() {
        if part.is_empty() || !part.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        let figure: u32 = part.parse().ok()?;
        if place > 0 && figure > 59 {
            return None;
        }
        seconds = seconds.checked_mul(60)?.checked_add(figure)?;
    }
    Some(seconds)
}

/// Minutes.
pub(super) fn minutes(minutes: i64) -> Figure {
    Figure {
        text: minutes.to_string(),
        unit: UnitOfMeasure::Minute,
    }
}
