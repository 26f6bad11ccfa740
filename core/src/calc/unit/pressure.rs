//! Pressures. Absolute and gauge are different types, so that one is never used for the other.
//!
//! Sea water as a unit of pressure: 1 msw = 10 kPa and 1 fsw = 3.0643 kPa (U.S. Navy Diving
//! Manual, Revision 7, 2016, table 2-10: 1 fsw is 0.030 643 bar; both are pressures, not
//! lengths; typed from memory, to be confirmed against the print).

use super::{converts, quantity};

/// Pascals in a pound-force per square inch: 0.453 592 37 kg x 9.806 65 m/s2 / (0.0254 m)^2, exact.
const PSI_IN_BAR: f64 = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254) / 1e5;

quantity!(
    /// Bar, absolute: the pressure of the air or the water around a diver.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Bar, Millibar};
    /// assert_eq!(Bar::from(Millibar(1013.25)).to_string(), "1.01325 bar");
    /// ```
    Bar, Bar
);
quantity!(
    /// Pounds per square inch, absolute.
    Psi, Psi
);
quantity!(
    /// Millibar (hectopascal), absolute: a weather report's unit.
    Millibar, Millibar
);
quantity!(
    /// Bar above the surrounding air: what a cylinder's gauge reads.
    GaugeBar, GaugeBar
);
quantity!(
    /// Pounds per square inch above the surrounding air.
    GaugePsi, GaugePsi
);
quantity!(
    /// Metres of sea water, a pressure above the surface: 10 kPa each.
    MetresSeaWater, MetreSeaWater
);
quantity!(
    /// Feet of sea water, a pressure above the surface: 3.0643 kPa each.
    FeetSeaWater, FootSeaWater
);
converts!(Psi, Bar, PSI_IN_BAR);
converts!(Millibar, Bar, 0.001); // bar, by definition
converts!(GaugePsi, GaugeBar, PSI_IN_BAR);
converts!(FeetSeaWater, MetresSeaWater, 0.306_43); // msw, from 3.0643 kPa and 10 kPa

impl GaugeBar {
    /// The absolute pressure when the surrounding air has `surface`.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Bar, GaugeBar};
    /// assert_eq!(GaugeBar(200.0).absolute(Bar(1.01325)), Bar(201.01325));
    /// ```
    #[must_use]
    pub fn absolute(self, surface: Bar) -> Bar {
        Bar(self.0 + surface.0)
    }

    /// What a gauge reads when the absolute pressure is `absolute`.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Bar, GaugeBar};
    /// assert_eq!(GaugeBar::reading(Bar(51.0), Bar(1.0)), GaugeBar(50.0));
    /// ```
    #[must_use]
    pub fn reading(absolute: Bar, surface: Bar) -> Self {
        Self(absolute.0 - surface.0)
    }
}

impl MetresSeaWater {
    /// The absolute pressure under this much sea water with `surface` above it.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Bar, MetresSeaWater};
    /// assert_eq!(MetresSeaWater(10.0).absolute(Bar(1.0)), Bar(2.0));
    /// ```
    #[must_use]
    pub fn absolute(self, surface: Bar) -> Bar {
        Bar(self.0 * 0.1 + surface.0) // 10 kPa = 0.1 bar
    }

    /// The sea-water reading of an absolute pressure.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Bar, MetresSeaWater};
    /// assert_eq!(MetresSeaWater::reading(Bar(2.0), Bar(1.0)), MetresSeaWater(10.0));
    /// ```
    #[must_use]
    pub fn reading(absolute: Bar, surface: Bar) -> Self {
        Self((absolute.0 - surface.0) / 0.1)
    }
}
