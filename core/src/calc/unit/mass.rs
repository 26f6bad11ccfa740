//! Masses and densities. The pound is exactly 0.453 592 37 kg.

use super::{converts, quantity};

quantity!(
    /// Kilograms: a mass, or a buoyancy written as the mass it carries (positive floats).
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Kilograms, Pounds};
    /// assert_eq!(Kilograms::from(Pounds(2.0)).to_string(), "0.90718474 kg");
    /// ```
    Kilograms, Kilogram
);
quantity!(
    /// Avoirdupois pounds.
    Pounds, Pound
);
quantity!(
    /// Kilograms per cubic metre; 1000 is about one kilogram a litre.
    KilogramsPerCubicMetre, KilogramPerCubicMetre
);
quantity!(
    /// Pounds per cubic foot; sea water is about 64.
    PoundsPerCubicFoot, PoundPerCubicFoot
);
converts!(Pounds, Kilograms, 0.453_592_37); // kg, exact (1959)
converts!(
    PoundsPerCubicFoot,
    KilogramsPerCubicMetre,
    0.453_592_37 / 0.028_316_846_592
); // kg/m3, exact
