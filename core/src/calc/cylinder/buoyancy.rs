//! How a cylinder floats, empty, at reserve and full.
//!
//! Source: Archimedes, with the densities of the metals: steel 7.85 (ISO 9809-1 cylinders, 34CrMo4),
//! aluminium alloy 6061 2.70 and brass 8.5 kg/L (ASM Handbook, volume 2, 1990). Checked against
//! the printed figures of an 11.1 L aluminium cylinder.

use super::contents::{checked_gauge, gas_mass};
use super::mix::Mix;
use super::size::{CylinderSize, Metal};
use crate::calc::caution::Caution;
use crate::calc::outside::OutsideTable;
use crate::calc::unit::{Celsius, GaugeBar, Kilograms, KilogramsPerCubicMetre};
use crate::calc::water::Water;
use crate::calc::water::density as water_density;

const BRASS: f64 = 8.5; // kg/L, the valve

impl Metal {
    /// kg/L
    fn density(self) -> f64 {
        match self {
            Self::Steel => 7.85,
            Self::Aluminium => 2.70,
        }
    }
}

/// How a cylinder with its valve floats. Positive floats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Buoyancy {
    /// With nothing in it.
    pub empty: Kilograms,
    /// At the reserve pressure that was asked.
    pub reserve: Kilograms,
    /// At its working pressure.
    pub full: Kilograms,
    /// What to say beside it.
    pub caution: Caution,
}

/// How a cylinder floats at one pressure.
///
/// # Errors
/// A cylinder outside the bounds of [`CylinderSize::checked`], a gauge outside 0 to 315 bar, water
/// outside 985 to 1035 kg/m3, gas outside -2 to 50 degrees.
///
/// ```
/// use tallywater_core::calc::{cylinder::{Mix, buoyancy, starter_sizes}, unit::*};
/// let steel = starter_sizes().into_iter().find(|size| size.capacity == Litres(12.0)).unwrap();
/// let full = buoyancy(&steel, GaugeBar(200.0), Celsius(20.0), Mix::Air, KilogramsPerCubicMetre(1025.0))?;
/// assert!(full.0 < 0.0);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn buoyancy(
    size: &CylinderSize,
    pressure: GaugeBar,
    temperature: Celsius,
    mix: Mix,
    water: KilogramsPerCubicMetre,
) -> Result<Kilograms, OutsideTable> {
    checked_gauge(pressure)?;
    let gas = gas_mass(size.capacity, pressure, temperature, mix)?;
    Ok(Kilograms(empty(size, water)? - gas))
}

/// The same empty (no gas at all), at a reserve and at the working pressure.
///
/// # Errors
/// As [`buoyancy`].
///
/// ```
/// use tallywater_core::calc::{cylinder::{Mix, buoyancy_range, starter_sizes}, unit::*};
/// let range = buoyancy_range(&starter_sizes()[0], GaugeBar(50.0), Celsius(20.0), Mix::Air, KilogramsPerCubicMetre(1025.0))?;
/// assert!(range.empty > range.reserve && range.reserve > range.full);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn buoyancy_range(
    size: &CylinderSize,
    reserve: GaugeBar,
    temperature: Celsius,
    mix: Mix,
    water: KilogramsPerCubicMetre,
) -> Result<Buoyancy, OutsideTable> {
    Ok(Buoyancy {
        empty: Kilograms(empty(size, water)?),
        reserve: buoyancy(size, reserve, temperature, mix, water)?,
        full: buoyancy(size, size.working_pressure, temperature, mix, water)?,
        caution: Caution::CheckInWater,
    })
}

fn empty(size: &CylinderSize, water: KilogramsPerCubicMetre) -> Result<f64, OutsideTable> {
    size.checked()?;
    let kilograms_per_litre = water_density(Water::Density(water), Celsius(15.0))?.0 / 1e3;
    Ok(outer_volume(size) * kilograms_per_litre - size.empty_mass.0 - size.valve_mass.0)
}

/// Litres of water that the cylinder and its valve push aside.
pub(crate) fn outer_volume(size: &CylinderSize) -> f64 {
    size.capacity.0 + size.empty_mass.0 / size.metal.density() + size.valve_mass.0 / BRASS
}
