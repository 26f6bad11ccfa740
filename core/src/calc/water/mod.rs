//! The water a class dives in: its density, the pressure under it, the air above it.
//!
//! Knows no site and no forecast; a caller names the water or types its salinity.
//! Neighbours: `cylinder`, `suit` and `lead` ask for a density, `reserve`, `breathing` and
//! `no_stop` for a pressure.

mod altitude;
mod column;
mod density;
mod sea;

pub use altitude::{HIGHEST, LOWEST, SEA_LEVEL, altitude_of, surface_pressure};
pub use column::{DEEPEST, WaterColumn};
pub use density::{Water, density, eos80, kind_salinity};
pub use sea::{Sea, TypicalSalinity, typical_salinity};

pub(crate) use density::checked as checked_density;
