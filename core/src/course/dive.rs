//! What is logged of a dive and of a weight check. Integer base units throughout:
//! centimetres, millibar, grams, decilitres, seconds.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::WaterKind;

/// One diver's dive.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct DiveLog {
    /// Left the surface.
    pub down: DateTime<FixedOffset>,
    /// Back at the surface.
    pub up: DateTime<FixedOffset>,
    /// Deepest, in centimetres.
    pub max_depth_cm: u32,
    /// Average, in centimetres, if the diver's computer gave one.
    #[serde(default)]
    pub mean_depth_cm: Option<u32>,
    /// Vertical ascents, the last one included.
    #[serde(default)]
    pub ascents: Option<u8>,
    /// Cylinder and pressures, if they were read.
    #[serde(default)]
    pub gas: Option<GasUsed>,
    /// Fresh, brackish or salt.
    pub water: WaterKind,
    /// At depth, in tenths of a degree Celsius.
    #[serde(default)]
    pub temperature_dc: Option<i16>,
    /// The profile, if there is one: seconds from the start and centimetres, in order.
    #[serde(default)]
    pub profile: Vec<(u32, u32)>,
}

/// Cylinder and pressures of one dive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct GasUsed {
    /// Water capacity in decilitres: 120 for twelve litres.
    pub capacity_dl: u16,
    /// At the start, in millibar above the surface's pressure.
    pub start_mbar: u32,
    /// At the end.
    pub end_mbar: u32,
    /// Oxygen in tenths of a per cent: 209 for air.
    pub oxygen_permille: u16,
}

/// A checked weighting: what the student wore when the in-water check held.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct WeightCheck {
    /// Lead, in grams.
    pub lead_g: u32,
    /// The water of the check.
    pub water: WaterKind,
    /// The suit, in words.
    pub suit: String,
    /// Water capacity of the cylinder in decilitres.
    pub capacity_dl: u16,
    /// What the cylinder is made of, in words.
    pub cylinder: String,
    /// Pressure at the check, in millibar.
    pub pressure_mbar: u32,
    /// What the check showed.
    pub verdict: WeightVerdict,
}

/// What an in-water weight check showed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum WeightVerdict {
    /// Floated at eye line on a held half breath and sank on breathing out.
    Right,
    /// Sank: too much lead.
    Heavy,
    /// Would not sink: too little.
    Light,
}
