//! Density of water at the surface, from salinity and temperature.
//!
//! Source: Millero, F. J. and Poisson, A., International one-atmosphere equation of state of
//! seawater, Deep-Sea Research 28A, 1981, p. 625; as printed, with its check values, in
//! Fofonoff, N. P. and Millard, R. C., Algorithms for computation of fundamental properties
//! of seawater, UNESCO Technical Papers in Marine Science 44, 1983, p. 17 (EOS-80).
//! Range: practical salinity 0 to 42, -2 to 40 degrees (IPTS-68); standard error 0.0036 kg/m3.
//! Pressure is left out: at 40 m it adds 0.02 %, which no weight belt can show.

use super::sea::{Sea, typical_salinity};
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{Celsius, Celsius68, KilogramsPerCubicMetre, PracticalSalinity};

/// What the water is, as plainly as the person at the screen knows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Water {
    /// A swimming pool, a lake, a quarry: no salt.
    Fresh,
    /// An estuary or a lagoon of about a third of the ocean's salt; better measured.
    Brackish,
    /// The ocean, where nothing closer is known.
    OpenSea,
    /// A sea with a salinity of its own.
    Named(Sea),
    /// A salinity that was measured or looked up.
    Salinity(PracticalSalinity),
    /// A density that was measured, 985 to 1035 kg/m3.
    Density(KilogramsPerCubicMetre),
}

/// Practical salinity of water that has no name. Fresh and ocean: UNESCO 44 (S 0 and S 35 are
/// its two check waters). Brackish: common practice, no published source.
const FRESH: PracticalSalinity = PracticalSalinity(0.0);
const BRACKISH: PracticalSalinity = PracticalSalinity(12.0);
const OPEN_SEA: PracticalSalinity = PracticalSalinity(35.0);

/// The salinity that a plain choice stands for; `None` where a density was typed in.
///
/// ```
/// use tallywater_core::calc::{unit::PracticalSalinity, water::{Water, kind_salinity}};
/// assert_eq!(kind_salinity(Water::OpenSea), Some(PracticalSalinity(35.0)));
/// ```
#[must_use]
pub fn kind_salinity(water: Water) -> Option<PracticalSalinity> {
    match water {
        Water::Fresh => Some(FRESH),
        Water::Brackish => Some(BRACKISH),
        Water::OpenSea => Some(OPEN_SEA),
        Water::Named(sea) => Some(typical_salinity(sea).typical),
        Water::Salinity(salinity) => Some(salinity),
        Water::Density(_) => None,
    }
}

/// Density of the water at the surface, at a temperature as a thermometer shows it.
///
/// # Errors
/// Outside practical salinity 0 to 42 or -2 to 40 degrees, or a typed density outside
/// 985 to 1035 kg/m3.
///
/// ```
/// use tallywater_core::calc::{unit::Celsius, water::{Water, density}};
/// let sea = density(Water::OpenSea, Celsius(15.0))?;
/// assert!((sea.0 - 1025.97).abs() < 0.01);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn density(water: Water, temperature: Celsius) -> Result<KilogramsPerCubicMetre, OutsideTable> {
    if let Water::Density(typed) = water {
        return checked(typed).map(KilogramsPerCubicMetre);
    }
    // A bound asked on today's scale; 40.0 degrees is 40.0096 on the older one.
    within(
        Quantity::Temperature,
        temperature,
        Celsius(-2.0),
        Celsius(40.0),
    )?;
    let salinity = kind_salinity(water).unwrap_or(FRESH);
    let salt = within(Quantity::Salinity, salinity, FRESH, PracticalSalinity(42.0))?;
    Ok(KilogramsPerCubicMetre(polynomial(
        salt,
        Celsius68::from(temperature).0,
    )))
}

/// The equation of state itself, on the temperature scale that it was written for.
///
/// # Errors
/// Outside practical salinity 0 to 42 or -2 to 40 degrees.
///
/// ```
/// use tallywater_core::calc::{unit::{Celsius68, PracticalSalinity}, water::eos80};
/// let printed = eos80(PracticalSalinity(35.0), Celsius68(5.0))?;
/// assert!((printed.0 - 1027.67547).abs() < 5e-6);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn eos80(
    salinity: PracticalSalinity,
    temperature: Celsius68,
) -> Result<KilogramsPerCubicMetre, OutsideTable> {
    let s = within(Quantity::Salinity, salinity, FRESH, PracticalSalinity(42.0))?;
    let t = within(
        Quantity::Temperature,
        temperature,
        Celsius68(-2.0),
        Celsius68(40.0),
    )?;
    Ok(KilogramsPerCubicMetre(polynomial(s, t)))
}

/// A density that water can have, as a bare number.
pub(crate) fn checked(density: KilogramsPerCubicMetre) -> Result<f64, OutsideTable> {
    within(
        Quantity::Density,
        density,
        KilogramsPerCubicMetre(985.0),
        KilogramsPerCubicMetre(1035.0),
    )
}

/// kg/m3 from practical salinity and IPTS-68 degrees; coefficients as printed in UNESCO 44.
fn polynomial(s: f64, t: f64) -> f64 {
    let pure = horner(
        t,
        [
            999.842_594,
            6.793_952e-2,
            -9.095_290e-3,
            1.001_685e-4,
            -1.120_083e-6,
            6.536_332e-9,
        ],
    );
    let a = horner(
        t,
        [
            8.244_93e-1,
            -4.089_9e-3,
            7.643_8e-5,
            -8.246_7e-7,
            5.387_5e-9,
        ],
    );
    let b = horner(t, [-5.724_66e-3, 1.022_7e-4, -1.654_6e-6]);
    pure + a * s + b * s * s.sqrt() + 4.831_4e-4 * s * s
}

fn horner<const N: usize>(t: f64, coefficients: [f64; N]) -> f64 {
    coefficients
        .iter()
        .rev()
        .fold(0.0, |sum, coefficient| sum * t + coefficient)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_printed_check_values_come_out_to_the_last_digit() {
        // Fofonoff and Millard 1983, UNESCO 44, p. 19.
        for (s, t, printed) in [
            (0.0, 5.0, 999.966_75),
            (0.0, 25.0, 997.047_96),
            (35.0, 5.0, 1_027.675_47),
            (35.0, 25.0, 1_023.343_06),
        ] {
            let ours = eos80(PracticalSalinity(s), Celsius68(t)).unwrap().0;
            assert!(
                (ours - printed).abs() < 5e-6,
                "S {s}, {t} C: {ours} is not {printed}"
            );
        }
    }

    #[test]
    fn water_that_the_equation_does_not_know_is_refused_with_its_bounds() {
        let brine = density(Water::Salinity(PracticalSalinity(230.0)), Celsius(25.0)).unwrap_err();
        assert_eq!(
            (brine.what, brine.highest.value),
            (Quantity::Salinity, 42.0)
        );
        assert!(density(Water::OpenSea, Celsius(-3.0)).is_err());
        assert!(density(Water::OpenSea, Celsius(f64::NAN)).is_err());
        assert!(
            density(
                Water::Density(KilogramsPerCubicMetre(1240.0)),
                Celsius(25.0)
            )
            .is_err()
        );
        assert!(
            density(Water::OpenSea, Celsius(40.0)).is_ok(),
            "a bound is covered on either scale"
        );
    }
}
