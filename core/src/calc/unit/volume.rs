//! Volumes. The cubic foot is exactly 28.316 846 592 L.

use super::{converts, quantity};

quantity!(
    /// Litres: the water capacity of a cylinder, or free gas.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{CubicFeet, Litres};
    /// assert!((Litres::from(CubicFeet(80.0)).0 - 2265.35).abs() < 0.01);
    /// ```
    Litres, Litre
);
quantity!(
    /// Cubic feet.
    CubicFeet, CubicFoot
);
converts!(CubicFeet, Litres, 28.316_846_592); // L, exact (1959)
