//! What a cylinder holds at a pressure: as a real gas, and by the rule of thumb beside it.
//!
//! Source: mass from [`gas_density`]; free gas is that mass at 1 atmosphere and 20 degrees (the
//! reference of ISO 13443 is 15; 20 is what the trade fills to). The rule of thumb is Boyle's law
//! with the gauge's reading, litres times bar (U.S. Navy Diving Manual, Revision 7, 2016,
//! chapter 2). Above about 180 bar the rule promises more than there is (5.5 % at 232 bar) and
//! below it less; a plan uses whichever is worse for the diver. The air around the gauge is taken
//! as 1 atmosphere: at 3000 m that is wrong by a third of a bar, less than a gauge can show.

use super::mix::Mix;
use super::real_gas::gas_density;
use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{Celsius, GaugeBar, Kilograms, Litres};
use crate::calc::water::SEA_LEVEL;

/// Free gas is counted at this temperature, and at 1 atmosphere.
const FREE_TEMPERATURE: Celsius = Celsius(20.0);
/// Bar-litres in a litre of free gas at 1 atmosphere.
const ATMOSPHERE: f64 = SEA_LEVEL.0;
const HIGHEST_GAUGE: GaugeBar = GaugeBar(315.0);

/// What is in a cylinder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contents {
    /// Mass of the gas.
    pub mass: Kilograms,
    /// Free gas at 1 atmosphere and 20 degrees, as a real gas.
    pub real: Litres,
    /// Water capacity times gauge pressure: the rule of thumb, in litres at 1 bar.
    pub ideal: Litres,
    /// What to say beside it.
    pub caution: Caution,
}

/// What a cylinder of this water capacity holds when its gauge reads `pressure`.
///
/// # Errors
/// A capacity outside 0.5 to 50 L, a gauge outside 0 to 315 bar, gas outside -2 to 50 degrees,
/// a mix outside air to 40 % oxygen.
///
/// ```
/// use tallywater_core::calc::{cylinder::{Mix, contents}, unit::{Celsius, GaugeBar, Litres}};
/// let full = contents(Litres(12.0), GaugeBar(232.0), Celsius(20.0), Mix::Air)?;
/// assert!((full.real.0 - 2631.0).abs() < 3.0);
/// assert_eq!(full.ideal, Litres(2784.0));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn contents(
    capacity: Litres,
    pressure: GaugeBar,
    temperature: Celsius,
    mix: Mix,
) -> Result<Contents, OutsideTable> {
    let mass = gas_mass(capacity, pressure, temperature, mix)?;
    let free = gas_density(mix, SEA_LEVEL, FREE_TEMPERATURE)?.0 / 1e3; // kg/L
    Ok(Contents {
        mass: Kilograms(mass),
        real: Litres(mass / free),
        ideal: Litres(capacity.0 * pressure.0),
        caution: Caution::GaugeFirst,
    })
}

/// The lowest gauge pressure at which the cylinder can give this much gas (litres at 1 bar) before
/// its gauge reads nothing, whichever of the real gas and the rule of thumb asks for more.
///
/// # Errors
/// As [`contents`], or more gas than the cylinder holds at 315 bar (the bound named is that gas).
///
/// ```
/// use tallywater_core::calc::{cylinder::{Mix, pressure_holding}, unit::{Celsius, Litres}};
/// let needs = pressure_holding(Litres(600.0), Litres(12.0), Celsius(20.0), Mix::Air)?;
/// assert_eq!(needs.0, 50.0);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn pressure_holding(
    gas: Litres,
    capacity: Litres,
    temperature: Celsius,
    mix: Mix,
) -> Result<GaugeBar, OutsideTable> {
    let most = safe_litres(capacity, HIGHEST_GAUGE, temperature, mix)?;
    let wanted = within(Quantity::GasVolume, gas, Litres(0.0), Litres(most))?;
    safe_pressure(wanted, capacity, temperature, mix)
}

/// Litres at 1 bar between this pressure and an empty gauge: the smaller of real and ideal.
pub(crate) fn safe_litres(
    capacity: Litres,
    pressure: GaugeBar,
    temperature: Celsius,
    mix: Mix,
) -> Result<f64, OutsideTable> {
    let full = contents(capacity, pressure, temperature, mix)?;
    let empty = contents(capacity, GaugeBar(0.0), temperature, mix)?;
    Ok(((full.real.0 - empty.real.0) * ATMOSPHERE).min(full.ideal.0))
}

/// The pressure at which `safe_litres` reaches `wanted`, by bisection: contents rise with pressure.
/// The caller has made sure that it lies below the highest gauge.
pub(crate) fn safe_pressure(
    wanted: f64,
    capacity: Litres,
    temperature: Celsius,
    mix: Mix,
) -> Result<GaugeBar, OutsideTable> {
    let ideal = wanted / checked_capacity(capacity)?;
    // The rule of thumb is never short by more than this, so the answer lies between.
    let (mut low, mut high) = (ideal.min(HIGHEST_GAUGE.0), HIGHEST_GAUGE.0);
    if safe_litres(capacity, GaugeBar(low), temperature, mix)? >= wanted - 1e-9 {
        return Ok(GaugeBar(low));
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if safe_litres(capacity, GaugeBar(middle), temperature, mix)? < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(GaugeBar(high))
}

/// Kilograms of gas, with the atmosphere that an empty gauge leaves inside.
pub(crate) fn gas_mass(
    capacity: Litres,
    pressure: GaugeBar,
    temperature: Celsius,
    mix: Mix,
) -> Result<f64, OutsideTable> {
    let litres = checked_capacity(capacity)?;
    checked_gauge(pressure)?;
    Ok(gas_density(mix, pressure.absolute(SEA_LEVEL), temperature)?.0 * litres / 1e3)
}

pub(crate) fn checked_capacity(capacity: Litres) -> Result<f64, OutsideTable> {
    within(Quantity::WaterCapacity, capacity, Litres(0.5), Litres(50.0))
}

pub(crate) fn checked_gauge(pressure: GaugeBar) -> Result<f64, OutsideTable> {
    within(
        Quantity::CylinderPressure,
        pressure,
        GaugeBar(0.0),
        HIGHEST_GAUGE,
    )
}

const _: () = assert!(HIGHEST_GAUGE.0 + ATMOSPHERE <= super::real_gas::HIGHEST_PRESSURE.0);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pressure_that_holds_a_gas_holds_it_and_a_bar_less_does_not() {
        for wanted in [50.0, 600.0, 1500.0, 2400.0, 2700.0] {
            let needs =
                pressure_holding(Litres(wanted), Litres(12.0), Celsius(10.0), Mix::Air).unwrap();
            let held =
                |bar| safe_litres(Litres(12.0), GaugeBar(bar), Celsius(10.0), Mix::Air).unwrap();
            assert!(held(needs.0) >= wanted - 1e-6, "{wanted} L at {needs}");
            assert!(held(needs.0 - 1.0) < wanted, "{wanted} L at {needs}");
        }
    }

    #[test]
    fn a_full_cylinder_needs_more_than_the_rule_of_thumb_says() {
        let needs =
            pressure_holding(Litres(2600.0), Litres(12.0), Celsius(20.0), Mix::Air).unwrap();
        assert!(needs.0 > 2600.0 / 12.0, "{needs}");
    }

    #[test]
    fn more_than_fits_is_refused_with_what_fits() {
        let refused =
            pressure_holding(Litres(9000.0), Litres(12.0), Celsius(20.0), Mix::Air).unwrap_err();
        assert!(
            refused.highest.value > 3000.0 && refused.highest.value < 3780.0,
            "{refused}"
        );
    }
}
