//! How far compressed air and nitrox are from an ideal gas.
//!
//! Source: a polynomial fitted by fixtures/published/fit_compressibility.py to the reference
//! equation of state of air (Lemmon, E. W., Jacobsen, R. T, Penoncello, S. G. and Friend, D. G.,
//! J. Phys. Chem. Ref. Data 29, 2000, p. 331) and, for more oxygen than air, to the difference
//! that the mixture model of Kunz, O. and Wagner, W., J. Chem. Eng. Data 57, 2012, p. 3032,
//! makes on top of it; both evaluated by CoolProp 8.0.0.
//! Range: -2 to 50 degrees, 0.5 to 320 bar absolute, air to 40 % oxygen. Error of the fit: at most
//! 0.04 %. Held by the tests to 0.05 % against the air equation and to 0.18 % against the mixture
//! model for nitrox, which itself stands 0.13 % from the air equation; each equation claims 0.1 %.
//! A gauge is good to 1 or 2 %: the gas is known better than its pressure.

use super::mix::{AIR_OXYGEN, Mix};
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{Bar, Celsius, KilogramsPerCubicMetre};

/// The coldest gas that the fit covers: sea water about to freeze.
pub const COLDEST: Celsius = Celsius(-2.0);
/// The warmest gas that the fit covers: a cylinder just filled in the sun.
pub const WARMEST: Celsius = Celsius(50.0);
/// The highest absolute pressure that the fit covers; a 300 bar fill lies within.
pub const HIGHEST_PRESSURE: Bar = Bar(320.0);
const LOWEST_PRESSURE: Bar = Bar(0.45);

/// Powers of pressure (rows, from the first) by powers of temperature (columns, from zero), for air.
const AIR: [[f64; 3]; 5] = [
    [-3.569022e-02, 4.715900e-02, -1.468198e-02],
    [2.123387e-02, -7.358989e-04, -4.168315e-03],
    [3.566651e-03, -1.062672e-02, 7.387948e-03],
    [-1.152335e-03, 3.082171e-03, -2.201658e-03],
    [7.129264e-05, -2.724747e-04, 2.103424e-04],
];
/// The same for each fifth of oxygen above air's.
const OXYGEN: [[f64; 3]; 4] = [
    [-8.907126e-03, 1.924355e-03, -2.267016e-04],
    [-2.972037e-03, 2.802965e-03, -1.560812e-03],
    [1.199665e-03, -1.286768e-03, 7.927116e-04],
    [-1.249239e-04, 1.530974e-04, -1.041588e-04],
];

const MOLAR_GAS_CONSTANT: f64 = 8.314_462_618; // J/(mol K), CODATA 2018
const AIR_MOLAR_MASS: f64 = 28.965_46; // g/mol, Lemmon et al. 2000
const OXYGEN_MOLAR_MASS: f64 = 31.998_8; // g/mol
const ZERO_CELSIUS: f64 = 273.15; // K

/// The factor Z = p V / (n R T) by which a gas departs from the ideal one, whose factor is 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Compressibility(pub f64);

/// Compressibility factor of the gas; above 1 it holds less than the rule of thumb says.
///
/// # Errors
/// Outside 0.45 to 320 bar absolute, -2 to 50 degrees or air to 40 % oxygen.
///
/// ```
/// use tallywater_core::calc::{cylinder::{Mix, compressibility}, unit::{Bar, Celsius}};
/// let full = compressibility(Mix::Air, Bar(232.0), Celsius(20.0))?;
/// assert!((full.0 - 1.0475).abs() < 0.0005);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn compressibility(
    mix: Mix,
    pressure: Bar,
    temperature: Celsius,
) -> Result<Compressibility, OutsideTable> {
    let bar = within(
        Quantity::CylinderPressure,
        pressure,
        LOWEST_PRESSURE,
        HIGHEST_PRESSURE,
    )?;
    let celsius = within(Quantity::GasTemperature, temperature, COLDEST, WARMEST)?;
    Ok(Compressibility(factor(bar, celsius, mix.oxygen()?.0)))
}

/// Mass of a cubic metre of the gas.
///
/// # Errors
/// As [`compressibility`].
///
/// ```
/// use tallywater_core::calc::{cylinder::{Mix, gas_density}, unit::{Bar, Celsius}};
/// let free = gas_density(Mix::Air, Bar(1.01325), Celsius(20.0))?;
/// assert!((free.0 - 1.2046).abs() < 0.0005);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn gas_density(
    mix: Mix,
    pressure: Bar,
    temperature: Celsius,
) -> Result<KilogramsPerCubicMetre, OutsideTable> {
    let z = compressibility(mix, pressure, temperature)?.0;
    let kelvin = temperature.0 + ZERO_CELSIUS;
    // Pa g/mol / (J/mol) is g/m3; a bar is 1e5 Pa and a kilogram 1e3 g.
    let grams = pressure.0 * 1e5 * molar_mass(mix.oxygen()?.0) / (z * MOLAR_GAS_CONSTANT * kelvin);
    Ok(KilogramsPerCubicMetre(grams / 1e3))
}

fn factor(bar: f64, celsius: f64, oxygen: f64) -> f64 {
    let p = bar / 100.0;
    let t = (celsius + ZERO_CELSIUS - 293.15) / 50.0;
    let more = 5.0 * (oxygen - AIR_OXYGEN);
    1.0 + powers(&AIR, p, t) + more * powers(&OXYGEN, p, t)
}

fn powers(rows: &[[f64; 3]], p: f64, t: f64) -> f64 {
    rows.iter()
        .rev()
        .fold(0.0, |sum, [constant, linear, square]| {
            (sum + constant + (linear + square * t) * t) * p
        })
}

/// Oxygen replaces the nitrogen and argon of air in the proportion that air has them.
fn molar_mass(oxygen: f64) -> f64 {
    let rest = (AIR_MOLAR_MASS - AIR_OXYGEN * OXYGEN_MOLAR_MASS) / (1.0 - AIR_OXYGEN);
    oxygen * OXYGEN_MOLAR_MASS + (1.0 - oxygen) * rest
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::unit::Percent;

    #[test]
    fn thin_gas_is_ideal() {
        let z = compressibility(Mix::Air, Bar(0.5), Celsius(20.0))
            .unwrap()
            .0;
        assert!((z - 1.0).abs() < 5e-4, "{z}");
    }

    #[test]
    fn nitrox_is_heavier_and_gives_way_more_than_air() {
        let at = |mix| {
            (
                gas_density(mix, Bar(200.0), Celsius(15.0)).unwrap().0,
                compressibility(mix, Bar(200.0), Celsius(15.0)).unwrap(),
            )
        };
        let (air, nitrox) = (at(Mix::Air), at(Mix::Nitrox(Percent(36.0))));
        assert!(nitrox.0 > air.0 && nitrox.1 < air.1, "{air:?} {nitrox:?}");
    }

    #[test]
    fn gas_beyond_the_fit_is_refused() {
        assert!(compressibility(Mix::Air, Bar(321.0), Celsius(20.0)).is_err());
        assert!(compressibility(Mix::Air, Bar(200.0), Celsius(51.0)).is_err());
        assert!(compressibility(Mix::Air, Bar(200.0), Celsius(f64::NAN)).is_err());
        assert!(compressibility(Mix::Nitrox(Percent(41.0)), Bar(200.0), Celsius(20.0)).is_err());
    }
}
