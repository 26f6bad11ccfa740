//! Water: its density, and pressure at depth and altitude.

use tallywater_core::calc;
use tallywater_core::calc::unit::Celsius;

use crate::calc::reckon::{Given as _, Told as _, outside, reckon};
use crate::{Fault, Figure, FigureOrigin, Sea, Units};

reckon! {
    /// What the water is, as plainly as the person at the screen knows it.
    given enum WaterChoice = calc::water::Water {
        Fresh,
        Brackish,
        OpenSea,
        Named(sea: Sea),
        Salinity(salinity: f64),
        Density(density: f64),
    }

    /// What the surface of a sea usually holds, and how far it strays.
    told record TypicalSalinity = calc::water::TypicalSalinity {
        typical: Figure,
        lowest: Figure,
        highest: Figure,
        origin: FigureOrigin,
    }
}

/// The water a question is asked of.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct WaterAt {
    /// What it is.
    pub water: WaterChoice,
    /// Its temperature.
    pub temperature: f64,
    /// Its height above the sea.
    pub altitude: f64,
}

impl WaterAt {
    /// Its temperature and density, with the air on it.
    pub(crate) fn column(self, units: Units) -> Result<(Celsius, calc::water::WaterColumn), Fault> {
        let temperature: Celsius = self.temperature.given(units);
        let no = outside(units);
        let density = calc::water::density(self.water.given(units), temperature).map_err(&no)?;
        let surface = calc::water::surface_pressure(self.altitude.given(units)).map_err(&no)?;
        Ok((temperature, calc::water::WaterColumn { density, surface }))
    }
}

/// Density of water at the surface.
#[uniffi::export]
pub fn water_density(units: Units, water: WaterChoice, temperature: f64) -> Result<Figure, Fault> {
    let density = calc::water::density(water.given(units), temperature.given(units));
    Ok(density.map_err(outside(units))?.told(units))
}

/// The usual surface salinity of a sea.
#[uniffi::export]
pub fn typical_salinity(sea: Sea) -> TypicalSalinity {
    let units = Units::Metric;
    calc::water::typical_salinity(sea).told(units)
}

/// Pressure of the air at an altitude, by the standard atmosphere.
#[uniffi::export]
pub fn surface_pressure(units: Units, altitude: f64) -> Result<Figure, Fault> {
    let pressure = calc::water::surface_pressure(altitude.given(units));
    Ok(pressure.map_err(outside(units))?.told(units))
}

/// The altitude at which the standard atmosphere has this pressure.
#[uniffi::export]
pub fn altitude_of(units: Units, pressure: f64) -> Result<Figure, Fault> {
    let altitude = calc::water::altitude_of(pressure.given(units));
    Ok(altitude.map_err(outside(units))?.told(units))
}

/// Absolute pressure at a depth.
#[uniffi::export]
pub fn pressure_at(units: Units, at: WaterAt, depth: f64) -> Result<Figure, Fault> {
    let (_, column) = at.column(units)?;
    let pressure = column.pressure_at(depth.given(units));
    Ok(pressure.map_err(outside(units))?.told(units))
}

/// The depth at which the water has this absolute pressure.
#[uniffi::export]
pub fn depth_at(units: Units, at: WaterAt, pressure: f64) -> Result<Figure, Fault> {
    let (_, column) = at.column(units)?;
    let depth = column.depth_at(pressure.given(units));
    Ok(depth.map_err(outside(units))?.told(units))
}
