//! Rates: of breathing and of ascent.

use super::{converts, quantity};

quantity!(
    /// Litres a minute at the pressure the diver is at: the surface rate of breathing.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{CubicFeetPerMinute, LitresPerMinute};
    /// let rate = LitresPerMinute::from(CubicFeetPerMinute(0.75));
    /// assert!((rate.0 - 21.2376).abs() < 1e-4);
    /// ```
    LitresPerMinute, LitrePerMinute
);
quantity!(
    /// Cubic feet a minute.
    CubicFeetPerMinute, CubicFootPerMinute
);
quantity!(
    /// Metres a minute; upwards is positive.
    MetresPerMinute, MetrePerMinute
);
quantity!(
    /// Feet a minute; upwards is positive.
    FeetPerMinute, FootPerMinute
);
converts!(CubicFeetPerMinute, LitresPerMinute, 28.316_846_592); // L, exact
converts!(FeetPerMinute, MetresPerMinute, 0.3048); // m, exact
