//! Temperatures: today's scale, the older one that EOS-80 was written for, and Fahrenheit.

use super::quantity;

quantity!(
    /// Degrees Celsius on the scale of 1990, which every thermometer shows.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Celsius, Fahrenheit};
    /// assert_eq!(Celsius::from(Fahrenheit(50.0)), Celsius(10.0));
    /// ```
    Celsius, Celsius
);
quantity!(
    /// Degrees Celsius on the scale of 1968 (IPTS-68), which older tables are in.
    Celsius68, Celsius
);
quantity!(
    /// Degrees Fahrenheit.
    Fahrenheit, Fahrenheit
);

impl From<Fahrenheit> for Celsius {
    fn from(value: Fahrenheit) -> Self {
        Self((value.0 - 32.0) / 1.8)
    }
}

impl From<Celsius> for Fahrenheit {
    fn from(value: Celsius) -> Self {
        Self(value.0 * 1.8 + 32.0)
    }
}

/// Saunders, P., The International Temperature Scale of 1990, WOCE Newsletter 10, 1990.
const T68_PER_T90: f64 = 1.000_24;

impl From<Celsius> for Celsius68 {
    fn from(value: Celsius) -> Self {
        Self(value.0 * T68_PER_T90)
    }
}

impl From<Celsius68> for Celsius {
    fn from(value: Celsius68) -> Self {
        Self(value.0 / T68_PER_T90)
    }
}
