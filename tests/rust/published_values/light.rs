//! Sunrise, sunset and twilight.

use tallywater_core::calc::light::{Place, light};

use super::{Check, hold, published};

/// The worked example of the Almanac for Computers: 25 June 1990, 40.9 N 74.3 W, by a clock
/// four hours behind Greenwich: the sun rises at 5.441 h.
pub(super) fn checks() -> Vec<Check> {
    let source = "Almanac for Computers, U.S. Naval Observatory, 1990, worked example, from memory";
    let place = Place {
        north: 40.9,
        east: -74.3,
    };
    // 25 June 1990 is day 726,643 of the era.
    let ours = light(place, 726_643, -240).unwrap().sunrise.unwrap();
    vec![
        published! { source: source, given: "sunrise, Wayne, 25 June 1990", ours: f64::from(ours) / 60.0, expect: 5.441, within: 0.5 / 60.0 },
    ]
}

#[test]
fn sunrise_is_the_published_one() {
    hold(&checks());
}
