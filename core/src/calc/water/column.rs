//! Pressure under water, and depth from pressure.
//!
//! Source: hydrostatics, p = p0 + density x g x depth, with the standard gravity of 9.806 65
//! m/s2 (3rd General Conference on Weights and Measures, 1901). Gravity where the class dives
//! differs by at most 0.3 % and water at 40 m is denser by 0.02 %; neither is taken in, and the
//! tests hold the difference to TEOS-10 below 0.4 %.

use super::altitude::SEA_LEVEL;
use super::density::checked;
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{Bar, KilogramsPerCubicMetre, Metres};

/// Standard gravity, m/s2 (1901).
pub(crate) const STANDARD_GRAVITY: f64 = 9.806_65;
/// The deepest that this asks of plain hydrostatics.
pub const DEEPEST: Metres = Metres(200.0);

const PASCAL_PER_BAR: f64 = 1e5;
/// Air pressure between about 6000 m and the strongest high ever measured at sea level.
const THINNEST_AIR: Bar = Bar(0.45);
const THICKEST_AIR: Bar = Bar(1.1);

/// A column of water with air above it: all that a pressure under water depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterColumn {
    /// Density of the water, 985 to 1035 kg/m3.
    pub density: KilogramsPerCubicMetre,
    /// Pressure of the air on it, 0.45 to 1.1 bar.
    pub surface: Bar,
}

impl WaterColumn {
    /// Water of this density at sea level.
    ///
    /// ```
    /// use tallywater_core::calc::{unit::KilogramsPerCubicMetre, water::{SEA_LEVEL, WaterColumn}};
    /// assert_eq!(WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0)).surface, SEA_LEVEL);
    /// ```
    #[must_use]
    pub const fn at_sea_level(density: KilogramsPerCubicMetre) -> Self {
        Self {
            density,
            surface: SEA_LEVEL,
        }
    }

    /// Absolute pressure at a depth.
    ///
    /// # Errors
    /// A depth outside 0 to 200 m, or a column that is no water under air.
    ///
    /// ```
    /// use tallywater_core::calc::{unit::{KilogramsPerCubicMetre, Metres}, water::WaterColumn};
    /// let sea = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0));
    /// assert!((sea.pressure_at(Metres(18.0))?.0 - 2.8226).abs() < 1e-4);
    /// # Ok::<(), tallywater_core::calc::OutsideTable>(())
    /// ```
    pub fn pressure_at(self, depth: Metres) -> Result<Bar, OutsideTable> {
        let metres = within(Quantity::Depth, depth, Metres(0.0), DEEPEST)?;
        Ok(Bar(self.checked_surface()? + metres * self.bar_per_metre()?))
    }

    /// Depth at which the absolute pressure is this.
    ///
    /// # Errors
    /// A pressure below that of the air or beyond 200 m, or a column that is no water under air.
    ///
    /// ```
    /// use tallywater_core::calc::{unit::{Bar, KilogramsPerCubicMetre}, water::WaterColumn};
    /// let fresh = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1000.0));
    /// assert!((fresh.depth_at(Bar(1.9939))?.0 - 10.0).abs() < 1e-3);
    /// # Ok::<(), tallywater_core::calc::OutsideTable>(())
    /// ```
    pub fn depth_at(self, pressure: Bar) -> Result<Metres, OutsideTable> {
        let surface = self.checked_surface()?;
        let per_metre = self.bar_per_metre()?;
        let deepest = Bar(surface + DEEPEST.0 * per_metre);
        let bar = within(Quantity::AmbientPressure, pressure, Bar(surface), deepest)?;
        Ok(Metres((bar - surface) / per_metre))
    }

    pub(crate) fn bar_per_metre(self) -> Result<f64, OutsideTable> {
        Ok(checked(self.density)? * STANDARD_GRAVITY / PASCAL_PER_BAR)
    }

    pub(crate) fn checked_surface(self) -> Result<f64, OutsideTable> {
        within(
            Quantity::SurfacePressure,
            self.surface,
            THINNEST_AIR,
            THICKEST_AIR,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::unit::Measured;

    const SEA: WaterColumn = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0));

    #[test]
    fn depth_and_pressure_undo_each_other() {
        for metres in [0.0, 0.1, 5.0, 18.3, 40.0, 200.0] {
            let back = SEA
                .depth_at(SEA.pressure_at(Metres(metres)).unwrap())
                .unwrap();
            assert!(
                (back.0 - metres).abs() < 1e-9,
                "{metres} came back as {back}"
            );
        }
    }

    #[test]
    fn a_depth_above_the_water_is_refused() {
        for nonsense in [-0.1, 201.0, f64::NAN, f64::INFINITY] {
            assert_eq!(
                SEA.pressure_at(Metres(nonsense)).unwrap_err().what,
                Quantity::Depth
            );
        }
        assert_eq!(
            SEA.depth_at(Bar(0.9)).unwrap_err().lowest,
            SEA_LEVEL.amount()
        );
        let vacuum = WaterColumn {
            surface: Bar(0.0),
            ..SEA
        };
        assert_eq!(
            vacuum.pressure_at(Metres(1.0)).unwrap_err().what,
            Quantity::SurfacePressure
        );
    }
}
