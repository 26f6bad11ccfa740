//! Within: the least and the most of each figure that an entry can hold, in base units. Wide
//! enough for every real course; common practice, no published source.

use super::Measured;

/// Maximum depth of a plan or a site, in centimetres.
pub const DEPTH: [i64; 2] = [10, 10_000];
/// Maximum depth of a dive, in centimetres.
pub const DEEPEST: [i64; 2] = [50, 10_000];
/// Altitude of the water, in metres.
pub const ALTITUDE: [i64; 2] = [-500, 4_000];
/// Temperature of the water, in tenths of a degree Celsius.
pub const TEMPERATURE: [i64; 2] = [-20, 450];
/// Visibility, in decimetres.
pub const VISIBILITY: [i64; 2] = [0, 1_000];
/// Length of a session, in minutes.
pub const MINUTES: [i64; 2] = [1, 24 * 60];
/// Length of a dive, in seconds.
pub const DIVE_TIME: [i64; 2] = [0, 6 * 3600];
/// Pressure of a cylinder at the start of a dive, in millibar.
pub const FILL: [i64; 2] = [1_000, 350_000];
/// Pressure of a cylinder at any time, in millibar.
pub const PRESSURE: [i64; 2] = [0, 350_000];
/// A cylinder's water capacity, in decilitres.
pub const CAPACITY: [i64; 2] = [5, 400];
/// Weight that is worn, in grams.
pub const LEAD: [i64; 2] = [0, 40_000];
/// A person's height, in millimetres.
pub const BODY_HEIGHT: [i64; 2] = [900, 2_300];
/// A person's weight, in grams.
pub const BODY_WEIGHT: [i64; 2] = [20_000, 200_000];
/// Longest number of a piece of kit, in characters.
pub const KIT_NUMBER: usize = 20;
/// Longest size of a piece of kit or of a person, in characters.
pub const KIT_SIZE: usize = 20;
/// Longest serial of a piece of kit, in characters.
pub const KIT_SERIAL: usize = 40;
/// Longest remark, in characters.
pub const REMARK: usize = 4_000;

impl Measured {
    /// What a measured figure is called where it is refused, and the most it can be, in its base
    /// unit; the least is nought.
    pub const fn most(self) -> (&'static str, u32) {
        match self {
            Self::Count(_) => ("count", 1_000),
            Self::Seconds(_) => ("time", 4 * 3600),
            Self::Decimetres(_) => ("distance", 50_000),
            Self::Centimetres(_) => ("depth off", 4_000),
            Self::CmPerMinute(_) => ("rate", 12_000),
            Self::Reading(_) => ("reading", 10_000),
        }
    }
}
