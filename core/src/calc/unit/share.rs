//! Shares of a whole, coefficients, and salinity.

use super::{converts, quantity};

quantity!(
    /// A share of one, 0 to 1.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Percent, Share};
    /// assert_eq!(Share::from(Percent(32.0)), Share(0.32));
    /// ```
    Share, Share
);
quantity!(
    /// A share of a hundred, 0 to 100.
    Percent, Percent
);
quantity!(
    /// Salinity on the practical scale of 1978; open sea is about 35.
    PracticalSalinity, PracticalSalinity
);
quantity!(
    /// A coefficient of agreement, -1 to 1; 0 is what chance alone would give.
    ///
    /// ```
    /// use tallywater_core::calc::unit::Coefficient;
    /// assert_eq!(Coefficient(0.4).to_string(), "0.4");
    /// ```
    Coefficient, Coefficient
);
converts!(Percent, Share, 0.01);
