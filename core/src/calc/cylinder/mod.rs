//! Cylinders: what is in them, what it weighs, how they float.
//!
//! Knows no owner and no serial number; a cylinder here is its material, its capacity, its
//! mass and its working pressure. Neighbours: `water` gives the density around it; `breathing`
//! and `reserve` ask what a pressure holds, `lead` how it floats.

mod buoyancy;
mod contents;
mod mix;
mod real_gas;
mod size;

pub use buoyancy::{Buoyancy, buoyancy, buoyancy_range};
pub use contents::{Contents, contents, pressure_holding};
pub use mix::Mix;
pub use real_gas::{
    COLDEST, Compressibility, HIGHEST_PRESSURE, WARMEST, compressibility, gas_density,
};
pub use size::{CylinderSize, Metal, starter_sizes};

pub(crate) use contents::{checked_gauge, safe_litres, safe_pressure};
