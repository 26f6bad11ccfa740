//! Lengths. The foot is exactly 0.3048 m.

use super::{converts, quantity};

quantity!(
    /// Metres: a depth below the surface, an altitude above the sea, a visibility.
    ///
    /// ```
    /// use tallywater_core::calc::unit::{Feet, Metres};
    /// assert_eq!(Metres::from(Feet(60.0)).to_string(), "18.288 m");
    /// ```
    Metres, Metre
);
quantity!(
    /// International feet.
    Feet, Foot
);
quantity!(
    /// Centimetres: a person's height.
    Centimetres, Centimetre
);
quantity!(
    /// Inches.
    Inches, Inch
);
quantity!(
    /// Millimetres: the thickness of a suit.
    Millimetres, Millimetre
);
converts!(Feet, Metres, 0.3048); // m, exact (1959)
converts!(Inches, Centimetres, 2.54); // cm, exact (1959)
converts!(Inches, Millimetres, 25.4); // mm, exact (1959)
converts!(Centimetres, Metres, 0.01); // m, by definition
