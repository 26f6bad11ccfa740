//! Cylinders: what they hold and how they float.

use tallywater_core::calc;

use crate::calc::reckon::{Given as _, Told as _, outside, reckon};
use crate::{Caution, CylinderMetal, Fault, Figure, FigureOrigin, Units, WaterAt};

reckon! {
    /// A cylinder as figures.
    both record CylinderSize = calc::cylinder::CylinderSize {
        metal: CylinderMetal,
        capacity: f64,
        working_pressure: f64,
        empty_mass: f64,
        valve_mass: f64,
        origin: FigureOrigin,
    }

    /// A breathing gas.
    given enum GasMix = calc::cylinder::Mix {
        Air,
        Nitrox(oxygen: f64),
    }

    /// What is in a cylinder.
    told record CylinderContents = calc::cylinder::Contents {
        mass: Figure,
        real: Figure,
        ideal: Figure,
        caution: Caution,
    }

    /// How a cylinder with its valve floats. Positive floats.
    told record CylinderBuoyancy = calc::cylinder::Buoyancy {
        empty: Figure,
        reserve: Figure,
        full: Figure,
        caution: Caution,
    }
}

/// Generic sizes to begin with: every figure is to be edited to what is stamped on the
/// shoulder.
#[uniffi::export]
pub fn starter_cylinders(units: Units) -> Result<Vec<CylinderSize>, Fault> {
    Ok(calc::cylinder::starter_sizes().told(units))
}

/// What a cylinder holds.
#[uniffi::export]
pub fn cylinder_contents(
    units: Units,
    capacity: f64,
    pressure: f64,
    temperature: f64,
    mix: GasMix,
) -> Result<CylinderContents, Fault> {
    let contents = calc::cylinder::contents(
        capacity.given(units),
        pressure.given(units),
        temperature.given(units),
        mix.given(units),
    );
    Ok(contents.map_err(outside(units))?.told(units))
}

/// The lowest gauge pressure at which a cylinder can give this much gas, counted at 1 bar.
#[uniffi::export]
pub fn pressure_holding(
    units: Units,
    gas: f64,
    capacity: f64,
    temperature: f64,
    mix: GasMix,
) -> Result<Figure, Fault> {
    let pressure = calc::cylinder::pressure_holding(
        gas.given(units),
        capacity.given(units),
        temperature.given(units),
        mix.given(units),
    );
    Ok(pressure.map_err(outside(units))?.told(units))
}

/// How far a gas is from an ideal one, as a bare number: 1 is ideal. The pressure is
/// absolute.
#[uniffi::export]
pub fn compressibility(
    units: Units,
    mix: GasMix,
    pressure: f64,
    temperature: f64,
) -> Result<f64, Fault> {
    let z = calc::cylinder::compressibility(
        mix.given(units),
        pressure.given(units),
        temperature.given(units),
    );
    Ok(z.map_err(outside(units))?.0)
}

/// Density of a gas. The pressure is absolute.
#[uniffi::export]
pub fn gas_density(
    units: Units,
    mix: GasMix,
    pressure: f64,
    temperature: f64,
) -> Result<Figure, Fault> {
    let density = calc::cylinder::gas_density(
        mix.given(units),
        pressure.given(units),
        temperature.given(units),
    );
    Ok(density.map_err(outside(units))?.told(units))
}

/// How a cylinder floats empty, at reserve and full, in this water.
#[uniffi::export]
pub fn cylinder_buoyancy(
    units: Units,
    cylinder: CylinderSize,
    reserve: f64,
    mix: GasMix,
    at: WaterAt,
) -> Result<CylinderBuoyancy, Fault> {
    let (temperature, column) = at.column(units)?;
    let range = calc::cylinder::buoyancy_range(
        &cylinder.given(units),
        reserve.given(units),
        temperature,
        mix.given(units),
        column.density,
    );
    Ok(range.map_err(outside(units))?.told(units))
}
