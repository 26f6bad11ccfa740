//! Units: there and back is where one began, and rounding goes where it says.

use proptest::prelude::*;
use tallywater_core::calc::unit::*;

fn same(one: f64, other: f64) -> bool {
    (one - other).abs() <= 4.0 * f64::EPSILON * one.abs().max(other.abs()).max(1.0)
}

macro_rules! there_and_back {
    ($value:expr, $($one:ident <-> $other:ident),+ $(,)?) => {
        $(
            let back = $one::from($other::from($one($value)));
            prop_assert!(same(back.0, $value), "{} by way of {}: {}", stringify!($one), stringify!($other), back);
            let back = $other::from($one::from($other($value)));
            prop_assert!(same(back.0, $value), "{} by way of {}: {}", stringify!($other), stringify!($one), back);
        )+
    };
}

proptest! {
    #![proptest_config(super::cases())]

    #[test]
    fn every_conversion_there_and_back_is_where_it_began(value in -1e4..1e4_f64) {
        there_and_back!(value,
            Metres <-> Feet, Centimetres <-> Inches, Millimetres <-> Inches, Metres <-> Centimetres,
            Kilograms <-> Pounds, KilogramsPerCubicMetre <-> PoundsPerCubicFoot,
            Bar <-> Psi, Bar <-> Millibar, GaugeBar <-> GaugePsi, MetresSeaWater <-> FeetSeaWater,
            Litres <-> CubicFeet, LitresPerMinute <-> CubicFeetPerMinute, MetresPerMinute <-> FeetPerMinute,
            Share <-> Percent, Seconds <-> Minutes,
        );
        // Fahrenheit has an offset of 32, which costs its size in the last bits.
        prop_assert!((Celsius::from(Fahrenheit::from(Celsius(value))).0 - value).abs() < 1e-11);
        prop_assert!((Celsius::from(Celsius68::from(Celsius(value))).0 - value).abs() < 1e-11);
    }

    #[test]
    fn gauge_and_absolute_undo_each_other(gauge in 0.0..320.0_f64, surface in 0.5..1.1_f64) {
        let back = GaugeBar::reading(GaugeBar(gauge).absolute(Bar(surface)), Bar(surface));
        prop_assert!((back.0 - gauge).abs() < 1e-12);
        let back = MetresSeaWater::reading(MetresSeaWater(gauge).absolute(Bar(surface)), Bar(surface));
        prop_assert!((back.0 - gauge).abs() < 1e-11);
    }

    #[test]
    fn rounding_goes_where_it_says_and_no_further_than_a_step(value in -1e4..1e4_f64, step in 0.1..50.0_f64) {
        let to = |way| Litres(value).rounded(way, Litres(step)).0;
        let slack = step * 1e-8;
        prop_assert!(to(Rounding::Up) >= value - slack && to(Rounding::Up) < value + step + slack);
        prop_assert!(to(Rounding::Down) <= value + slack && to(Rounding::Down) > value - step - slack);
        prop_assert!((to(Rounding::Nearest) - value).abs() <= step / 2.0 + slack);
    }

    #[test]
    fn whole_minutes_are_never_on_the_wrong_side(minutes in 0.0..2000.0_f64) {
        let up = MinutesWhole::of(Minutes(minutes), Rounding::Up).unwrap().exact().0;
        let down = MinutesWhole::of(Minutes(minutes), Rounding::Down).unwrap().exact().0;
        prop_assert!(up >= minutes - 1e-8 && down <= minutes + 1e-8 && up - down <= 1.0);
    }
}
