//! The day as it is, and what the house takes off for it.
//!
//! Source: common practice, no published source. Every number is the school's to edit.

use crate::calc::unit::{Celsius, Metres};

/// How the water moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum WaterMotion {
    /// Still enough to hold a place without effort.
    Calm,
    /// Current or surf that a class notices.
    Some,
    /// Current or surf that a student cannot work against.
    Strong,
}

/// Whether this is the class's first dive in this setting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "DiveExperience")
)]
pub enum Experience {
    /// The first.
    FirstDive,
    /// They have done it before.
    DivedBefore,
}

/// The day as it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// How far one sees; `None` where nobody has looked, which counts as poor.
    pub visibility: Option<Metres>,
    /// How the water moves.
    pub motion: WaterMotion,
    /// Temperature of the water; `None` where nobody has measured, which counts as cold.
    pub temperature: Option<Celsius>,
    /// Students under age in the water.
    pub minors: u32,
    /// Whether it is their first.
    pub experience: Experience,
}

/// What the house takes off, and from where on. Every number is the school's to edit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HouseReductions {
    /// Poor visibility begins below this.
    pub poor_below: Metres,
    /// Students less in poor visibility.
    pub poor: u32,
    /// One student for each member of staff in the water below this.
    pub one_each_below: Metres,
    /// Students less in some current or surf. In strong current or surf there is no class.
    pub motion: u32,
    /// Cold begins below this.
    pub cold_below: Celsius,
    /// Students less in the cold.
    pub cold: u32,
    /// Students less for each two minors, begun pairs counted.
    pub minors: u32,
    /// Students less on a first dive.
    pub first_dive: u32,
}

impl HouseReductions {
    /// A cautious set to begin with. Common practice, no published source.
    pub const STARTER: Self = Self {
        poor_below: Metres(5.0),
        poor: 2,
        one_each_below: Metres(2.0),
        motion: 2,
        cold_below: Celsius(12.0),
        cold: 1,
        minors: 1,
        first_dive: 2,
    };
}
