//! Typed: figures that are typed in, outside a skill's own measures, and shown again: one
//! kind for each base unit that requests are written in.

use super::figure::{self, Of};
use super::{BadFigure, Figure, UnitOfMeasure, Units};

/// What a typed figure is, by the base unit it is kept in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum FigureKind {
    /// Depth and visibility of a dive, from centimetres.
    Depth,
    /// A way on or through the water, from decimetres.
    Way,
    /// A way in whole metres, as a swim is recorded.
    WayMetres,
    /// Height above the sea, from metres.
    Altitude,
    /// Pressure of a cylinder, from millibar.
    Pressure,
    /// Lead, from grams.
    Lead,
    /// A cylinder's water capacity, from decilitres.
    Cylinder,
    /// Temperature, from tenths of a degree Celsius.
    Temperature,
    /// Vertical rate, from centimetres a minute.
    Rate,
    /// Time as a stopwatch shows it, from seconds.
    Seconds,
    /// Whole minutes.
    Minutes,
    /// Whole per cent.
    Percent,
    /// How many.
    Count,
}

/// How a kind is worked out.
enum By {
    Scale(Of, i64),
    Clock,
    Whole(UnitOfMeasure),
}

impl FigureKind {
    const fn by(self) -> By {
        match self {
            Self::Depth => By::Scale(Of::Depth, 1),
            Self::Way => By::Scale(Of::Way, 1),
            Self::WayMetres => By::Scale(Of::Way, 10),
            Self::Altitude => By::Scale(Of::Altitude, 1),
            Self::Pressure => By::Scale(Of::Pressure, 1),
            Self::Lead => By::Scale(Of::Lead, 1),
            Self::Cylinder => By::Scale(Of::Cylinder, 1),
            Self::Temperature => By::Scale(Of::Temperature, 1),
            Self::Rate => By::Scale(Of::Rate, 1),
            Self::Seconds => By::Clock,
            Self::Minutes => By::Whole(UnitOfMeasure::Minute),
            Self::Percent => By::Whole(UnitOfMeasure::Percent),
            Self::Count => By::Whole(UnitOfMeasure::One),
        }
    }

    /// The unit it is typed and shown in.
    pub const fn unit(self, units: Units) -> UnitOfMeasure {
        match self.by() {
            By::Scale(of, _) => figure::unit(of, units),
            By::Clock => UnitOfMeasure::Clock,
            By::Whole(unit) => unit,
        }
    }

    /// A base figure as it is shown.
    pub fn show(self, base: i64, units: Units) -> Figure {
        match self.by() {
            By::Scale(of, each) => of.show(base.saturating_mul(each), units),
            By::Clock => figure::clock(u32::try_from(base).unwrap_or(0)),
            By::Whole(unit) => Figure {
                text: base.to_string(),
                unit,
            },
        }
    }

    /// The base figure behind what was typed.
    ///
    /// # Errors
    /// [`BadFigure`]; whether the figure can be meant is asked when it is recorded.
    pub fn read(self, typed: &str, units: Units) -> Result<i64, BadFigure> {
        let bad = BadFigure::NotANumber;
        match self.by() {
            By::Scale(of, each) => {
                let base = of.read(typed, units).ok_or(bad)?;
                let half = if base < 0 { -each / 2 } else { each / 2 };
                Ok((base + half) / each)
            }
            By::Clock => figure::read_clock(typed).map(i64::from).ok_or(bad),
            By::Whole(_) => {
                let typed = typed.trim();
                if typed.is_empty() || !typed.bytes().all(|b| b.is_ascii_digit()) {
                    return Err(bad);
                }
                typed.parse().map_err(|_| BadFigure::OutOfBounds)
            }
        }
    }
}

/// A typed number in the unit it was typed in, with no more than so many decimals (at most
/// three): digits, at most one comma or full stop, a minus. `None` for anything else.
///
/// ```
/// use tallywater_core::view::read_number;
/// assert_eq!(read_number("18,3", 1), Some(18.3));
/// assert_eq!(read_number("18.3", 0), None);
/// assert_eq!(read_number("NaN", 3), None);
/// ```
pub fn read_number(typed: &str, decimals: u32) -> Option<f64> {
    let thousandths = figure::thousandths(typed)?;
    let finest = 10_i64.checked_pow(3_u32.checked_sub(decimals)?)?;
    if thousandths % finest != 0 {
        return None;
    }
    #[expect(
        clippy::cast_precision_loss,
        reason = "at most seven digits before the point and three after it"
    )]
    let number = thousandths as f64 / 1_000.0;
    // Adding zero turns a negative zero into a plain one.
    Some(number + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_typed_is_shown_again_in_either_system() {
        let cases = [
            (FigureKind::Depth, Units::Metric, "12.5", 1_250),
            (FigureKind::Depth, Units::Imperial, "41", 1_250),
            (FigureKind::Altitude, Units::Metric, "1475", 1_475),
            (FigureKind::Altitude, Units::Imperial, "-30", -9),
            (FigureKind::Pressure, Units::Metric, "200", 200_000),
            (FigureKind::Lead, Units::Metric, "6.5", 6_500),
            (FigureKind::Temperature, Units::Metric, "-1.5", -15),
            (FigureKind::Seconds, Units::Metric, "1:05", 65),
            (FigureKind::WayMetres, Units::Metric, "200", 200),
            (FigureKind::Percent, Units::Metric, "80", 80),
        ];
        for (kind, units, typed, base) in cases {
            assert_eq!(kind.read(typed, units), Ok(base), "{kind:?} {typed}");
            assert_eq!(kind.show(base, units).text, typed, "{kind:?} {base}");
        }
    }

    #[test]
    fn nonsense_is_no_figure() {
        for nonsense in ["", "x", "1.2.3", "NaN", "1e3", "\u{661}\u{662}"] {
            for kind in [FigureKind::Depth, FigureKind::Seconds, FigureKind::Count] {
                assert!(
                    kind.read(nonsense, Units::Metric).is_err(),
                    "{kind:?} {nonsense:?}"
                );
            }
        }
    }
}
