//! Figure: a number ready to be shown, and the unit it is shown in.

use tallywater_core::view;

use crate::cross::mirror;

mirror! {
    /// A unit as it is written behind a figure.
    both enum UnitOfMeasure = view::UnitOfMeasure {
        One,
        Metre,
        Foot,
        Bar,
        Psi,
        Kilogram,
        Pound,
        Litre,
        Celsius,
        Fahrenheit,
        MetreMinute,
        FootMinute,
        Minute,
        Clock,
        Hour,
        Percent,
        Second,
        Millimetre,
        Centimetre,
        Inch,
        Millibar,
        CubicFoot,
        LitreMinute,
        CubicFootMinute,
        KilogramCubicMetre,
        PoundCubicFoot,
        FootSeaWater,
    }

    /// A figure and its unit. It prints as "12.5 m".
    shown record Figure = view::Figure {
        text: String,
        unit: UnitOfMeasure,
    }
}
