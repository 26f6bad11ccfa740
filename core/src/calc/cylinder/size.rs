//! A cylinder as figures, and a short list to begin with.
//!
//! Source of the list: generic sizes of the trade; empty masses are typical figures from memory
//! (steel of one size differs by a kilogram between makers). Every field is meant to be edited to
//! what is stamped on the shoulder.

use crate::calc::caution::Origin;
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{GaugeBar, Kilograms, Litres};

use super::contents::checked_capacity;

/// What a cylinder is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "CylinderMetal")
)]
pub enum Metal {
    /// Chromium-molybdenum steel.
    Steel,
    /// Aluminium alloy 6061.
    Aluminium,
}

/// A cylinder as figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CylinderSize {
    /// What it is made of.
    pub metal: Metal,
    /// How much water it holds, 0.5 to 50 L.
    pub capacity: Litres,
    /// The gauge pressure it is filled to, 50 to 315 bar.
    pub working_pressure: GaugeBar,
    /// Mass without valve and gas, as stamped, 0.5 to 60 kg.
    pub empty_mass: Kilograms,
    /// Mass of the valve, 0 to 3 kg.
    pub valve_mass: Kilograms,
    /// Where the masses come from.
    pub origin: Origin,
}

impl CylinderSize {
    /// The same cylinder when every field lies within its bounds.
    ///
    /// # Errors
    /// The first field that does not.
    ///
    /// ```
    /// use tallywater_core::calc::{cylinder::starter_sizes, unit::Litres};
    /// let mut size = starter_sizes()[0];
    /// assert!(size.checked().is_ok());
    /// size.capacity = Litres(-1.0);
    /// assert!(size.checked().is_err());
    /// ```
    pub fn checked(&self) -> Result<Self, OutsideTable> {
        checked_capacity(self.capacity)?;
        within(
            Quantity::WorkingPressure,
            self.working_pressure,
            GaugeBar(50.0),
            GaugeBar(315.0),
        )?;
        within(
            Quantity::EmptyMass,
            self.empty_mass,
            Kilograms(0.5),
            Kilograms(60.0),
        )?;
        within(
            Quantity::ValveMass,
            self.valve_mass,
            Kilograms(0.0),
            Kilograms(3.0),
        )?;
        Ok(*self)
    }
}

/// Generic sizes to begin with; a school keeps and edits a copy of its own.
///
/// ```
/// use tallywater_core::calc::cylinder::starter_sizes;
/// assert!(starter_sizes().iter().all(|size| size.checked().is_ok()));
/// ```
#[must_use]
pub fn starter_sizes() -> Vec<CylinderSize> {
    use Metal::{Aluminium, Steel};
    [
        (Aluminium, 11.1, 207.0, 14.2),
        (Aluminium, 9.0, 207.0, 12.0),
        (Aluminium, 5.7, 207.0, 7.0),
        (Steel, 7.0, 232.0, 8.4),
        (Steel, 8.5, 232.0, 10.3),
        (Steel, 10.0, 200.0, 11.0),
        (Steel, 10.0, 232.0, 11.9),
        (Steel, 10.0, 300.0, 15.5),
        (Steel, 12.0, 200.0, 12.8),
        (Steel, 12.0, 232.0, 14.4),
        (Steel, 15.0, 200.0, 16.5),
        (Steel, 15.0, 232.0, 17.5),
    ]
    .into_iter()
    .map(|(metal, litres, bar, kilograms)| CylinderSize {
        metal,
        capacity: Litres(litres),
        working_pressure: GaugeBar(bar),
        empty_mass: Kilograms(kilograms),
        valve_mass: Kilograms(0.75),
        origin: Origin::FromMemory,
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cylinder_typed_wrong_is_named_by_its_field() {
        let size = starter_sizes()[0];
        let asked = |change: fn(&mut CylinderSize)| {
            let mut wrong = size;
            change(&mut wrong);
            wrong.checked().unwrap_err().what
        };
        assert_eq!(
            asked(|size| size.empty_mass = Kilograms(f64::NAN)),
            Quantity::EmptyMass
        );
        assert_eq!(
            asked(|size| size.valve_mass = Kilograms(-1.0)),
            Quantity::ValveMass
        );
        assert_eq!(
            asked(|size| size.working_pressure = GaugeBar(3000.0)),
            Quantity::WorkingPressure
        );
    }
}
