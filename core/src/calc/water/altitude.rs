//! Pressure of the air at an altitude, by the standard atmosphere.
//!
//! Source: Manual of the ICAO Standard Atmosphere, ICAO Doc 7488, 3rd edition, 1993, and
//! U.S. Standard Atmosphere 1976 (NOAA-S/T 76-1562), the layer below 11 km: 288.15 K and
//! 1013.25 hPa at sea level, 6.5 K less each 1000 m. The day's weather moves the pressure by
//! up to 4 %; where a barometer is at hand, its reading is better than this.

use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{Bar, Metres};

/// Standard pressure at sea level: 1013.25 hPa.
pub const SEA_LEVEL: Bar = Bar(1.013_25);
/// The lowest shore there is lies at about -430 m.
pub const LOWEST: Metres = Metres(-500.0);
/// Nobody runs an entry-level class above this; the layer itself ends at 11 000 m.
pub const HIGHEST: Metres = Metres(6000.0);

const KELVIN: f64 = 288.15; // K at sea level
const LAPSE: f64 = 0.0065; // K/m
const EXPONENT: f64 = 9.806_65 * 0.028_964_4 / (8.314_32 * LAPSE); // g M / (R L), 5.255 88

/// Standard pressure of the air at an altitude.
///
/// # Errors
/// Below -500 m or above 6000 m.
///
/// ```
/// use tallywater_core::calc::{unit::Metres, water::surface_pressure};
/// assert!((surface_pressure(Metres(1000.0))?.0 - 0.89875).abs() < 1e-5);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn surface_pressure(altitude: Metres) -> Result<Bar, OutsideTable> {
    let metres = within(Quantity::Altitude, altitude, LOWEST, HIGHEST)?;
    Ok(Bar(
        SEA_LEVEL.0 * (1.0 - LAPSE * metres / KELVIN).powf(EXPONENT)
    ))
}

/// The altitude at which the standard air has this pressure.
///
/// # Errors
/// A pressure that the standard has below -500 m or above 6000 m.
///
/// ```
/// use tallywater_core::calc::{unit::Bar, water::altitude_of};
/// assert!(altitude_of(Bar(1.01325))?.0.abs() < 1e-9);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn altitude_of(pressure: Bar) -> Result<Metres, OutsideTable> {
    let bar = within(
        Quantity::SurfacePressure,
        pressure,
        surface_pressure(HIGHEST)?,
        surface_pressure(LOWEST)?,
    )?;
    Ok(Metres(
        (1.0 - (bar / SEA_LEVEL.0).powf(1.0 / EXPONENT)) * KELVIN / LAPSE,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_is_the_same_altitude() {
        for metres in [-400.0, 0.0, 300.0, 2438.4, 6000.0] {
            let back = altitude_of(surface_pressure(Metres(metres)).unwrap()).unwrap();
            assert!(
                (back.0 - metres).abs() < 1e-6,
                "{metres} came back as {back}"
            );
        }
    }

    #[test]
    fn an_airliner_is_not_a_dive_site() {
        assert!(surface_pressure(Metres(11_000.0)).is_err());
        assert!(surface_pressure(Metres(f64::NAN)).is_err());
    }
}
