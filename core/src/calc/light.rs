//! Light: sunrise, sunset and civil twilight of a day at a place.
//!
//! Source: Jean Meeus, Astronomical Algorithms, second edition, Willmann-Bell 1998: chapter 25
//! (solar coordinates, lower accuracy: 0.01 degrees), chapter 28 (equation of time by Smart's
//! formula), chapter 15 (rising and setting). Formulas from memory, checked against the book's
//! examples 25.a and 28.b and against the worked example of the Almanac for Computers (U.S.
//! Naval Observatory, 1990), each in the tests below. The standard altitudes are those of
//! almanacs: the sun's upper edge on a level horizon with mean refraction, 50 minutes of arc
//! below; civil twilight 6 degrees below. Hills, a high horizon and weather are not in it: a
//! minute or two of error is usual, more near the poles, and a shaded lake is dark much
//! earlier.

/// A place, in degrees: north and east are above nought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Latitude, from -90 to 90.
    pub north: f64,
    /// Longitude, from -180 to 180.
    pub east: f64,
}

/// The light of a day, each in whole minutes after midnight of the place's clock: below nought
/// or above 1,439 where that clock puts it on another day. `None` where it does not come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Light {
    /// Civil twilight begins.
    pub dawn: Option<i32>,
    /// The sun rises.
    pub sunrise: Option<i32>,
    /// The sun sets.
    pub sunset: Option<i32>,
    /// Civil twilight ends.
    pub dusk: Option<i32>,
}

/// The sun's upper edge on the horizon, in degrees of altitude.
const EDGE: f64 = -50.0 / 60.0;
/// Civil twilight.
const CIVIL: f64 = -6.0;

/// The sun as it stands at a moment.
struct Sun {
    /// Apparent declination, in degrees.
    declination: f64,
    /// Apparent less mean solar time, in minutes.
    equation: f64,
}

/// The sun at a Julian day (of dynamical time; the minute between that and the clock moves
/// no answer here by a second).
fn sun(julian_day: f64) -> Sun {
    let t = (julian_day - 2_451_545.0) / 36_525.0;
    let mean = 280.466_46 + t * (36_000.769_83 + t * 0.000_303_2);
    let anomaly = (357.529_11 + t * (35_999.050_29 - t * 0.000_153_7)).to_radians();
    let eccentricity = 0.016_708_634 - t * (0.000_042_037 + t * 0.000_000_126_7);
    let centre = anomaly.sin() * (1.914_602 - t * (0.004_817 + t * 0.000_014))
        + (2.0 * anomaly).sin() * (0.019_993 - t * 0.000_101)
        + (3.0 * anomaly).sin() * 0.000_289;
    let node = (125.04 - 1_934.136 * t).to_radians();
    let apparent = (mean + centre - 0.005_69 - 0.004_78 * node.sin()).to_radians();
    let obliquity = 23.439_291 - t * (0.013_004_2 + t * (0.000_000_16 - t * 0.000_000_504))
        + 0.002_56 * node.cos();
    let obliquity = obliquity.to_radians();
    let y = (obliquity / 2.0).tan().powi(2);
    let (mean, e) = (mean.to_radians(), eccentricity);
    let equation = y * (2.0 * mean).sin() - 2.0 * e * anomaly.sin()
        + 4.0 * e * y * anomaly.sin() * (2.0 * mean).cos()
        - 0.5 * y * y * (4.0 * mean).sin()
        - 1.25 * e * e * (2.0 * anomaly).sin();
    Sun {
        declination: (obliquity.sin() * apparent.sin()).asin().to_degrees(),
        equation: equation.to_degrees() * 4.0,
    }
}

/// The Julian day at nought hours of Greenwich of the day before the first of the common era.
const BEFORE_THE_ERA: f64 = 1_721_424.5;

/// The light of a day at a place. The day is counted from the first of January of the year 1
/// of the Gregorian calendar, which is day 1; the clock of the place is so many minutes east
/// of Greenwich's. `None` for no place on earth.
pub fn light(place: Place, day: i32, east_minutes: i32) -> Option<Light> {
    let on_earth = place.north.abs() <= 90.0 && place.east.abs() <= 180.0;
    if !on_earth {
        return None;
    }
    let julian = f64::from(day) + BEFORE_THE_ERA;
    let at = |altitude, rising| crossing(place, julian, f64::from(east_minutes), altitude, rising);
    Some(Light {
        dawn: at(CIVIL, true),
        sunrise: at(EDGE, true),
        sunset: at(EDGE, false),
        dusk: at(CIVIL, false),
    })
}

/// When the sun passes an altitude on a day of the place's clock, to the nearest minute.
fn crossing(
    place: Place,
    julian: f64,
    east_minutes: f64,
    altitude: f64,
    rising: bool,
) -> Option<i32> {
    // Local noon to begin with; each round takes the sun as it stands at the last answer.
    let mut minute = 720.0;
    for _ in 0..4 {
        let sun = sun(julian + (minute - east_minutes) / 1_440.0);
        let (north, declination) = (place.north.to_radians(), sun.declination.to_radians());
        let hour = (altitude.to_radians().sin() - north.sin() * declination.sin())
            / (north.cos() * declination.cos());
        if !(-1.0..=1.0).contains(&hour) {
            return None;
        }
        let way = hour.acos().to_degrees() * 4.0 * if rising { -1.0 } else { 1.0 };
        minute = 720.0 - 4.0 * place.east - sun.equation + east_minutes + way;
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a few days of minutes at the most"
    )]
    let minute = minute.round() as i32;
    Some(minute)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Days of the common era: 13 October 1992, 25 June 1990, 15 January 2026 and 21 June 2026.
    const OCTOBER_1992: i32 = 727_484;
    const JUNE_1990: i32 = 726_643;
    const JANUARY_2026: i32 = 739_631;
    const JUNE_2026: i32 = 739_788;
    const DECEMBER_2026: i32 = 739_971;

    #[test]
    fn the_julian_day_of_the_books_example_is_met() {
        // Meeus, second edition, example 25.a: 2,448,908.5.
        let found = f64::from(OCTOBER_1992) + BEFORE_THE_ERA;
        assert!((found - 2_448_908.5).abs() < 1e-6, "{found}");
    }

    /// Meeus, second edition, example 25.a: 1992 October 13, 0h dynamical time.
    #[test]
    fn the_declination_of_the_books_example_is_met() {
        let found = sun(2_448_908.5);
        assert!(
            (found.declination - -7.785_07).abs() < 0.000_1,
            "{}",
            found.declination
        );
    }

    /// Meeus, second edition, example 28.b: +13 m 42.7 s on the same day.
    #[test]
    fn the_equation_of_time_of_the_books_example_is_met() {
        let found = sun(2_448_908.5);
        let minutes = 13.0 + 42.7 / 60.0;
        assert!(
            (found.equation - minutes).abs() < 0.005,
            "{}",
            found.equation
        );
    }

    /// Almanac for Computers, U.S. Naval Observatory, 1990, worked example: Wayne, New Jersey,
    /// 40.9 N 74.3 W, 25 June 1990, zenith 90 degrees 50 minutes: 9.441 h of Greenwich, 5:26 by
    /// the summer clock there. The value from memory.
    #[test]
    fn the_sunrise_of_the_almanacs_example_is_met() {
        let place = Place {
            north: 40.9,
            east: -74.3,
        };
        let found = light(place, JUNE_1990, -240).unwrap();
        assert_eq!(found.sunrise, Some(5 * 60 + 26));
    }

    #[test]
    fn a_day_is_in_order_all_the_year() {
        let place = Place {
            north: 47.5,
            east: 9.6,
        };
        for day in 0..365 {
            let found = light(place, JANUARY_2026 + day, 60).unwrap();
            let all = [found.dawn, found.sunrise, found.sunset, found.dusk];
            let all: Vec<i32> = all.into_iter().map(Option::unwrap).collect();
            assert!(all.windows(2).all(|pair| pair[0] < pair[1]), "{all:?}");
            assert!(all.iter().all(|at| (0..1_440).contains(at)), "{all:?}");
        }
    }

    #[test]
    fn where_the_sun_stays_up_or_down_nothing_rises() {
        let place = Place {
            north: 78.2,
            east: 15.6,
        };
        for day in [JUNE_2026, DECEMBER_2026] {
            let found = light(place, day, 60).unwrap();
            assert_eq!((found.sunrise, found.sunset), (None, None));
        }
        let nowhere = Place {
            north: 91.0,
            east: 0.0,
        };
        assert_eq!(light(nowhere, JUNE_2026, 60), None);
    }
}
