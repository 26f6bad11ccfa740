//! Shares of a whole, and salinity.

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
converts!(Percent, Share, 0.01);
