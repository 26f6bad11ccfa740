//! How much a diver breathes, as a rate at the surface.
//!
//! Source: U.S. Navy Diving Manual, Revision 7, 2016, chapter 7 (consumption is the breathing rate
//! times the absolute pressure), with the gas used taken as a real gas ([`crate::calc::cylinder`])
//! and, beside it, by the rule of thumb. Planning defaults are common practice, no published
//! source. The rate is in litres at the pressure the diver is at, so it is the same at any depth.

use super::caution::{Caution, Origin};
use super::cylinder::{Mix, contents};
use super::outside::{OutsideTable, Quantity, listed, within};
use super::profile::{Sample, checked};
use super::unit::{Celsius, GaugeBar, Litres, LitresPerMinute, Metres, Minutes, Rounding, Seconds};
use super::water::{SEA_LEVEL, WaterColumn};

/// What to plan with for a student whose rate nobody knows: 20 L/min. Common practice.
pub const PLANNING_DEFAULT: LitresPerMinute = LitresPerMinute(20.0);
/// What a diver may breathe in trouble: 30 L/min. Common practice.
pub const STRESSED_DEFAULT: LitresPerMinute = LitresPerMinute(30.0);
/// Where both come from.
pub const DEFAULTS_ORIGIN: Origin = Origin::CommonPractice;

/// A rate that is a person's, not a slip of the keyboard.
const LEAST: LitresPerMinute = LitresPerMinute(3.0);
const MOST: LitresPerMinute = LitresPerMinute(120.0);
/// Fewer dives than this are no history to plan on.
const ENOUGH_DIVES: u32 = 3;

/// How deep the diver was.
#[derive(Debug, Clone, PartialEq)]
pub enum Exposure {
    /// The average depth and the time, as a computer's log shows them.
    Average {
        /// Average depth over that time.
        depth: Metres,
        /// Time under water, 1 to 300 minutes.
        time: Minutes,
    },
    /// The samples themselves.
    Profile(Vec<Sample>),
}

/// A dive as far as breathing asks for it.
#[derive(Debug, Clone, PartialEq)]
pub struct BreathingDive {
    /// Water capacity of the cylinder.
    pub capacity: Litres,
    /// What was in it.
    pub mix: Mix,
    /// The gauge at the beginning.
    pub start: GaugeBar,
    /// The gauge at the end, not above the beginning.
    pub end: GaugeBar,
    /// Temperature of the gas at the beginning: a cylinder warm from the filling holds less than
    /// its gauge says.
    pub start_temperature: Celsius,
    /// Temperature of the gas at the end, which is that of the water.
    pub end_temperature: Celsius,
    /// The water.
    pub column: WaterColumn,
    /// How deep.
    pub exposure: Exposure,
}

/// What a diver breathed on one dive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BreathingRate {
    /// From the gas as it is.
    pub real: LitresPerMinute,
    /// By the rule of thumb, litres times bar; for comparison.
    pub ideal: LitresPerMinute,
    /// Free gas that was used, at 1 atmosphere and 20 degrees.
    pub used: Litres,
    /// What to say beside it.
    pub caution: Caution,
}

/// The rate at the surface from a logged dive.
///
/// # Errors
/// An end above the start, a time outside 1 to 300 minutes, samples out of order, a cylinder,
/// gauge, temperature or depth outside its bounds, or a rate outside 3 to 120 L/min: then one of
/// the figures was mistyped.
///
/// ```
/// use tallywater_core::calc::breathing::{BreathingDive, Exposure, surface_rate};
/// use tallywater_core::calc::{cylinder::Mix, unit::*, water::WaterColumn};
/// let dive = BreathingDive {
///     capacity: Litres(12.0), mix: Mix::Air, start: GaugeBar(200.0), end: GaugeBar(80.0),
///     start_temperature: Celsius(20.0), end_temperature: Celsius(20.0),
///     column: WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0)),
///     exposure: Exposure::Average { depth: Metres(12.0), time: Minutes(35.0) },
/// };
/// let rate = surface_rate(&dive)?;
/// assert!(rate.real.0 > 17.0 && rate.real.0 < 19.0);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn surface_rate(dive: &BreathingDive) -> Result<BreathingRate, OutsideTable> {
    let start = contents(dive.capacity, dive.start, dive.start_temperature, dive.mix)?;
    within(
        Quantity::CylinderPressure,
        dive.end,
        GaugeBar(0.0),
        dive.start,
    )?;
    let end = contents(dive.capacity, dive.end, dive.end_temperature, dive.mix)?;
    let bar_minutes = bar_minutes(&dive.exposure, dive.column)?;
    let used = start.real.0 - end.real.0;
    let real = LitresPerMinute(used * SEA_LEVEL.0 / bar_minutes);
    within(Quantity::BreathingRate, real, LEAST, MOST)?;
    Ok(BreathingRate {
        real,
        ideal: LitresPerMinute((start.ideal.0 - end.ideal.0) / bar_minutes),
        used: Litres(used),
        caution: Caution::GaugeFirst,
    })
}

/// Absolute pressure times time. Pressure is a straight line of depth, so the average depth gives
/// the same as the profile does.
fn bar_minutes(exposure: &Exposure, column: WaterColumn) -> Result<f64, OutsideTable> {
    let (depth, time) = match exposure {
        Exposure::Average { depth, time } => (*depth, *time),
        Exposure::Profile(samples) => average(&checked(samples)?),
    };
    let minutes = within(Quantity::DiveTime, time, Minutes(1.0), Minutes(300.0))?;
    Ok(column.pressure_at(depth)?.0 * minutes)
}

/// The average depth of a profile, and its length.
fn average(points: &[(f64, f64)]) -> (Metres, Minutes) {
    let (mut area, mut seconds) = (0.0, 0.0);
    for ((earlier, above), (later, below)) in points.iter().zip(points.iter().skip(1)) {
        area += f64::midpoint(*above, *below) * (later - earlier);
        seconds += later - earlier;
    }
    (Metres(area / seconds), Minutes::from(Seconds(seconds)))
}

/// What a student's dives so far say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateHistory {
    /// How many dives.
    pub dives: u32,
    /// Their mean; the planning default without a dive.
    pub mean: LitresPerMinute,
    /// Their standard deviation; `None` from a single dive.
    pub deviation: Option<LitresPerMinute>,
    /// The lowest; the planning default without a dive.
    pub lowest: LitresPerMinute,
    /// The highest; the planning default without a dive.
    pub highest: LitresPerMinute,
    /// What to plan with, rounded up to a whole litre: mean and one deviation from three dives on,
    /// before that the highest, but not below the planning default.
    pub plan_with: LitresPerMinute,
    /// Whether that rests on the student's own dives or on the default.
    pub origin: Origin,
    /// What to say beside it.
    pub caution: Caution,
}

/// A student's history with its spread; no dives give the default.
///
/// # Errors
/// A rate outside 3 to 120 L/min, or more than 10 000 of them.
///
/// ```
/// use tallywater_core::calc::{breathing::rate_history, unit::LitresPerMinute};
/// let history = rate_history(&[24.0, 21.0, 19.0].map(LitresPerMinute))?;
/// assert_eq!(history.plan_with, LitresPerMinute(24.0));
/// assert_eq!(rate_history(&[])?.plan_with, LitresPerMinute(20.0));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn rate_history(rates: &[LitresPerMinute]) -> Result<RateHistory, OutsideTable> {
    let dives = listed(Quantity::Dives, rates, 0, 10_000)?;
    let mut sum = 0.0;
    for rate in rates {
        sum += within(Quantity::BreathingRate, *rate, LEAST, MOST)?;
    }
    if dives == 0 {
        return Ok(RateHistory {
            dives,
            mean: PLANNING_DEFAULT,
            deviation: None,
            lowest: PLANNING_DEFAULT,
            highest: PLANNING_DEFAULT,
            plan_with: PLANNING_DEFAULT,
            origin: DEFAULTS_ORIGIN,
            caution: Caution::GaugeFirst,
        });
    }
    let mean = sum / f64::from(dives);
    let squares: f64 = rates.iter().map(|rate| (rate.0 - mean).powi(2)).sum();
    let deviation = (dives > 1).then(|| (squares / f64::from(dives - 1)).sqrt());
    let lowest = rates
        .iter()
        .map(|rate| rate.0)
        .fold(f64::INFINITY, f64::min);
    let highest = rates.iter().map(|rate| rate.0).fold(0.0, f64::max);
    let (plan, origin) = match deviation {
        Some(deviation) if dives >= ENOUGH_DIVES => (mean + deviation, Origin::OwnRecord),
        Some(_) | None if highest > PLANNING_DEFAULT.0 => (highest, Origin::OwnRecord),
        Some(_) | None => (PLANNING_DEFAULT.0, DEFAULTS_ORIGIN),
    };
    Ok(RateHistory {
        dives,
        mean: LitresPerMinute(mean),
        deviation: deviation.map(LitresPerMinute),
        lowest: LitresPerMinute(lowest),
        highest: LitresPerMinute(highest),
        plan_with: LitresPerMinute(plan).rounded(Rounding::Up, LitresPerMinute(1.0)),
        origin,
        caution: Caution::GaugeFirst,
    })
}

/// What to plan with for a diver in trouble: the default, or half as much again as the diver's own
/// rate where that is more. Common practice, no published source.
///
/// # Errors
/// A rate outside 3 to 120 L/min.
///
/// ```
/// use tallywater_core::calc::{breathing::stressed, unit::LitresPerMinute};
/// assert_eq!(stressed(LitresPerMinute(14.0))?, LitresPerMinute(30.0));
/// assert_eq!(stressed(LitresPerMinute(28.0))?, LitresPerMinute(42.0));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn stressed(own: LitresPerMinute) -> Result<LitresPerMinute, OutsideTable> {
    let rate = checked_rate(own)?;
    Ok(LitresPerMinute((rate * 1.5).max(STRESSED_DEFAULT.0)))
}

pub(crate) fn checked_rate(rate: LitresPerMinute) -> Result<f64, OutsideTable> {
    within(Quantity::BreathingRate, rate, LEAST, MOST)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::unit::KilogramsPerCubicMetre;

    fn dive(exposure: Exposure) -> BreathingDive {
        BreathingDive {
            capacity: Litres(10.0),
            mix: Mix::Air,
            start: GaugeBar(120.0),
            end: GaugeBar(100.0),
            start_temperature: Celsius(15.0),
            end_temperature: Celsius(15.0),
            // 0.1 bar a metre under 1 bar, as slates have it.
            column: WaterColumn {
                density: KilogramsPerCubicMetre(1e4 / 9.806_65),
                surface: super::super::unit::Bar(1.0),
            },
            exposure,
        }
    }

    #[test]
    fn the_rule_of_thumb_is_the_slates_sum() {
        // 10 L, 20 bar in 2.5 min at 30 m: (10 x 20) / (4 x 2.5) = 20 L/min.
        let rate = surface_rate(&dive(Exposure::Average {
            depth: Metres(30.0),
            time: Minutes(2.5),
        }))
        .unwrap();
        assert!((rate.ideal.0 - 20.0).abs() < 1e-9, "{}", rate.ideal);
        assert!((rate.real.0 - rate.ideal.0).abs() < 1.5, "{}", rate.real);
    }

    #[test]
    fn a_profile_and_its_average_depth_give_the_same() {
        let points = [(0.0, 0.0), (60.0, 20.0), (150.0, 20.0), (300.0, 0.0)];
        let samples = points
            .map(|(time, depth)| Sample {
                time: Seconds(time),
                depth: Metres(depth),
            })
            .to_vec();
        let average = (600.0 + 1800.0 + 1500.0) / 300.0;
        let sampled = surface_rate(&dive(Exposure::Profile(samples))).unwrap();
        let averaged = surface_rate(&dive(Exposure::Average {
            depth: Metres(average),
            time: Minutes(5.0),
        }))
        .unwrap();
        assert!((sampled.real.0 - averaged.real.0).abs() < 1e-9);
    }

    #[test]
    fn a_gauge_that_rose_is_refused() {
        let mut wrong = dive(Exposure::Average {
            depth: Metres(10.0),
            time: Minutes(20.0),
        });
        wrong.end = GaugeBar(121.0);
        assert_eq!(
            surface_rate(&wrong).unwrap_err().what,
            Quantity::CylinderPressure
        );
    }

    #[test]
    fn a_rate_no_person_breathes_is_refused() {
        let slow = dive(Exposure::Average {
            depth: Metres(30.0),
            time: Minutes(60.0),
        });
        assert_eq!(
            surface_rate(&slow).unwrap_err().what,
            Quantity::BreathingRate
        );
    }

    #[test]
    fn a_short_history_does_not_promise_a_calm_diver() {
        let two = rate_history(&[12.0, 13.0].map(LitresPerMinute)).unwrap();
        assert_eq!(
            (two.plan_with, two.origin),
            (PLANNING_DEFAULT, Origin::CommonPractice)
        );
        let hungry = rate_history(&[31.2].map(LitresPerMinute)).unwrap();
        assert_eq!(
            (hungry.plan_with, hungry.deviation),
            (LitresPerMinute(32.0), None)
        );
    }
}
