//! The one refusal of this room: the value lies outside what the source covers.
//!
//! It names the quantity, the value that was asked and the nearest bounds, in the unit
//! it was asked in. It knows no words for a screen; its `Display` is for a log and a test.

use std::fmt;

use super::unit::{Amount, Measured, Unit};

/// Which quantity was outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(
    missing_docs,
    reason = "each name says the quantity and nothing is added by a sentence"
)]
pub enum Quantity {
    Age,
    Altitude,
    AmbientPressure,
    AscentLimit,
    Ascents,
    Attempt,
    BodyHeight,
    BodyMass,
    BottomTime,
    BreathingRate,
    Categories,
    Confidence,
    CylinderPressure,
    Density,
    Depth,
    Dives,
    DiveTime,
    Divers,
    EmptyMass,
    GasTemperature,
    GasVolume,
    GradientFactor,
    Headcount,
    Instructors,
    KitBuoyancy,
    KitMass,
    Lead,
    Met,
    OxygenShare,
    Probability,
    ReactionTime,
    Resolution,
    Salinity,
    SampleCount,
    SampleSpacing,
    SampleTime,
    ScoredItems,
    StopDepth,
    StopTime,
    SuitThickness,
    SurfaceInterval,
    SurfacePressure,
    Temperature,
    Tries,
    ValveMass,
    Visibility,
    WaterCapacity,
    WorkingPressure,
}

impl Quantity {
    /// A word that stays the same across versions, for the border.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Age => "age",
            Self::Altitude => "altitude",
            Self::AmbientPressure => "ambient_pressure",
            Self::AscentLimit => "ascent_limit",
            Self::Ascents => "ascents",
            Self::Attempt => "attempt",
            Self::BodyHeight => "body_height",
            Self::BodyMass => "body_mass",
            Self::BottomTime => "bottom_time",
            Self::BreathingRate => "breathing_rate",
            Self::Categories => "categories",
            Self::Confidence => "confidence",
            Self::CylinderPressure => "cylinder_pressure",
            Self::Density => "density",
            Self::Depth => "depth",
            Self::Dives => "dives",
            Self::DiveTime => "dive_time",
            Self::Divers => "divers",
            Self::EmptyMass => "empty_mass",
            Self::GasTemperature => "gas_temperature",
            Self::GasVolume => "gas_volume",
            Self::GradientFactor => "gradient_factor",
            Self::Headcount => "headcount",
            Self::Instructors => "instructors",
            Self::KitBuoyancy => "kit_buoyancy",
            Self::KitMass => "kit_mass",
            Self::Lead => "lead",
            Self::Met => "met",
            Self::OxygenShare => "oxygen_share",
            Self::Probability => "probability",
            Self::ReactionTime => "reaction_time",
            Self::Resolution => "resolution",
            Self::Salinity => "salinity",
            Self::SampleCount => "sample_count",
            Self::SampleSpacing => "sample_spacing",
            Self::SampleTime => "sample_time",
            Self::ScoredItems => "scored_items",
            Self::StopDepth => "stop_depth",
            Self::StopTime => "stop_time",
            Self::SuitThickness => "suit_thickness",
            Self::SurfaceInterval => "surface_interval",
            Self::SurfacePressure => "surface_pressure",
            Self::Temperature => "temperature",
            Self::Tries => "tries",
            Self::ValveMass => "valve_mass",
            Self::Visibility => "visibility",
            Self::WaterCapacity => "water_capacity",
            Self::WorkingPressure => "working_pressure",
        }
    }
}

/// A value that the calculation does not cover, with the bounds it does cover.
///
/// ```
/// use tallywater_core::calc::{unit::Metres, water};
/// let refused = water::surface_pressure(Metres(9000.0)).unwrap_err();
/// assert_eq!(refused.highest.value, 6000.0);
/// assert_eq!(refused.to_string(), "Altitude 9000 m is outside -500 m to 6000 m");
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutsideTable {
    /// The quantity that was asked for.
    pub what: Quantity,
    /// The value that was asked.
    pub asked: Amount,
    /// The lowest value that is covered.
    pub lowest: Amount,
    /// The highest value that is covered.
    pub highest: Amount,
}

impl fmt::Display for OutsideTable {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            out,
            "{:?} {} is outside {} to {}",
            self.what, self.asked, self.lowest, self.highest
        )
    }
}

impl std::error::Error for OutsideTable {}

/// The bare number of a quantity that lies within its bounds (both included). `NaN` and
/// infinities lie within nothing.
pub(crate) fn within<M: Measured>(
    what: Quantity,
    asked: M,
    lowest: M,
    highest: M,
) -> Result<f64, OutsideTable> {
    let value = asked.amount().value;
    if value >= lowest.amount().value && value <= highest.amount().value {
        Ok(value)
    } else {
        Err(OutsideTable {
            what,
            asked: asked.amount(),
            lowest: lowest.amount(),
            highest: highest.amount(),
        })
    }
}

/// The same for a count of things.
pub(crate) fn counted(
    what: Quantity,
    asked: u32,
    lowest: u32,
    highest: u32,
) -> Result<u32, OutsideTable> {
    if (lowest..=highest).contains(&asked) {
        Ok(asked)
    } else {
        let amount = |count| Amount {
            value: f64::from(count),
            unit: Unit::Count,
        };
        Err(OutsideTable {
            what,
            asked: amount(asked),
            lowest: amount(lowest),
            highest: amount(highest),
        })
    }
}

/// The length of a list as a count, refused beyond its bounds.
pub(crate) fn listed<T>(
    what: Quantity,
    list: &[T],
    lowest: u32,
    highest: u32,
) -> Result<u32, OutsideTable> {
    counted(
        what,
        u32::try_from(list.len()).unwrap_or(u32::MAX),
        lowest,
        highest,
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::unit::Metres;

    #[test]
    fn a_value_on_a_bound_is_covered_and_nonsense_is_not() {
        let ask = |metres| within(Quantity::Depth, Metres(metres), Metres(0.0), Metres(40.0));
        assert!(ask(0.0).is_ok() && ask(40.0).is_ok());
        for nonsense in [-0.001, 40.001, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let refused = ask(nonsense).unwrap_err();
            assert_eq!((refused.lowest.value, refused.highest.value), (0.0, 40.0));
        }
    }
}
