//! How fast a sampled dive came up, over windows that the computer's resolution cannot fool.
//!
//! Sources: the limit of 30 ft/min, U.S. Navy Diving Manual, Revision 7, 2016, chapter 9 (head of
//! table 9-9); the stop of 3 to 5 minutes at 3 to 6 m is common practice, no published source, and
//! not asked for by the tables. Method of our own: the rate is a secant over 15 s, between samples
//! on their straight line. A depth kept to 0.1 m and a time kept to 1 s can make any secant too fast
//! by `60 x 0.1 / 15 + rate x 1 / 15` m/min; a rate is called too fast only when it is above the
//! limit even without that, in two windows running, and "at the limit" in between.

use super::stop::{Stop, last_metres, stop};
use super::window::{TooFast, WINDOW, Window, stretches, window_of, windows};
use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::profile::{Sample, checked};
use crate::calc::unit::{Metres, MetresPerMinute, Seconds};

/// 30 ft/min, the U.S. Navy's rate: 9.144 m/min.
pub const NAVY_RATE: MetresPerMinute = MetresPerMinute(9.144);
const SUSTAINED: f64 = 30.0; // s

/// How finely the computer wrote its samples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resolution {
    /// Step of the depth, 0 to 1 m.
    pub depth: Metres,
    /// Step of the time, 0 to 10 s.
    pub time: Seconds,
}

impl Resolution {
    /// 0.1 m and 1 s, which nearly every computer writes.
    pub const USUAL: Self = Self {
        depth: Metres(0.1),
        time: Seconds(1.0),
    };
}

/// How an ascent stands against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "AscentVerdict")
)]
pub enum Verdict {
    /// No window was faster.
    Within,
    /// Faster on paper, but by no more than the samples' resolution could have made up.
    AtTheLimit,
    /// Faster in two windows running, whatever the resolution.
    TooFast,
}

/// What a sampled dive says about its ascent.
#[derive(Debug, Clone, PartialEq)]
pub struct AscentReport {
    /// The fastest 15 s; 0 where the dive never came up.
    pub fastest: MetresPerMinute,
    /// The fastest 30 s running.
    pub sustained: MetresPerMinute,
    /// The last way from 5 m to the surface; `None` where the dive was shallower or did not end
    /// at the surface.
    pub last_metres: Option<Seconds>,
    /// The stop; `None` where there was none of at least 15 s.
    pub stop: Option<Stop>,
    /// Every stretch that was too fast.
    pub too_fast: Vec<TooFast>,
    /// In one word.
    pub verdict: Verdict,
    /// What to say beside it.
    pub caution: Caution,
}

/// Reads the ascent off a sampled profile.
///
/// # Errors
/// Fewer than two samples, samples out of order or over ten minutes apart, a depth outside 0 to
/// 200 m, a limit outside 3 to 18 m/min, a resolution outside its bounds.
///
/// ```
/// use tallywater_core::calc::ascent::{NAVY_RATE, Resolution, Verdict, ascent_report};
/// use tallywater_core::calc::{profile::Sample, unit::{Metres, Seconds}};
/// let dive = [(0.0, 18.0), (60.0, 5.0), (240.0, 5.0), (275.0, 0.0)]
///     .map(|(time, depth)| Sample { time: Seconds(time), depth: Metres(depth) });
/// let report = ascent_report(&dive, NAVY_RATE, Resolution::USUAL)?;
/// assert_eq!(report.verdict, Verdict::TooFast);
/// assert!((report.sustained.0 - 13.0).abs() < 0.01);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn ascent_report(
    samples: &[Sample],
    limit: MetresPerMinute,
    resolution: Resolution,
) -> Result<AscentReport, OutsideTable> {
    let points = checked(samples)?;
    let limit = within(
        Quantity::AscentLimit,
        limit,
        MetresPerMinute(3.0),
        MetresPerMinute(18.0),
    )?;
    let depth_step = within(
        Quantity::Resolution,
        resolution.depth,
        Metres(0.0),
        Metres(1.0),
    )?;
    let time_step = within(
        Quantity::Resolution,
        resolution.time,
        Seconds(0.0),
        Seconds(10.0),
    )?;
    // What a secant over the window may have gained from rounding alone, at the limit.
    let doubt = (60.0 * depth_step + limit * time_step) / window_of(&points, WINDOW);

    let windows: Vec<Window> = windows(&points, WINDOW).collect();
    let fastest = windows.iter().map(|window| window.rate).fold(0.0, f64::max);
    let sustained = super::window::windows(&points, SUSTAINED)
        .map(|window| window.rate)
        .fold(0.0, f64::max);
    let too_fast = stretches(&windows, limit + doubt);
    let verdict = if !too_fast.is_empty() {
        Verdict::TooFast
    } else if fastest > limit {
        Verdict::AtTheLimit
    } else {
        Verdict::Within
    };
    Ok(AscentReport {
        fastest: MetresPerMinute(fastest),
        sustained: MetresPerMinute(sustained),
        last_metres: last_metres(&points).map(Seconds),
        stop: stop(&points),
        too_fast,
        verdict,
        caution: Caution::PlanningAid,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sampled(step: f64, seconds: u32, depth: impl Fn(f64) -> f64) -> Vec<Sample> {
        (0..=seconds)
            .map(f64::from)
            .filter(|time| time % step < 1e-9)
            .map(|time| Sample {
                time: Seconds(time),
                depth: Metres(depth(time)),
            })
            .collect()
    }

    /// To the tenth of a metre, as a computer writes it.
    fn tenth(depth: f64) -> f64 {
        (depth * 10.0).round() / 10.0
    }

    fn judged(samples: &[Sample]) -> AscentReport {
        ascent_report(samples, NAVY_RATE, Resolution::USUAL).unwrap()
    }

    #[test]
    fn a_steady_ascent_has_the_rate_it_has() {
        let slow = judged(&sampled(1.0, 87, |time| 18.0 - 13.0 * time / 87.0));
        assert!(
            (slow.fastest.0 - 13.0 / 87.0 * 60.0).abs() < 1e-9,
            "{}",
            slow.fastest
        );
        assert_eq!(slow.verdict, Verdict::Within);
        let fast = judged(&sampled(1.0, 60, |time| 18.0 - 13.0 * time / 60.0));
        assert!((fast.sustained.0 - 13.0).abs() < 1e-9);
        assert_eq!((fast.verdict, fast.too_fast.len()), (Verdict::TooFast, 1));
        assert_eq!(
            (fast.too_fast[0].from, fast.too_fast[0].until),
            (Seconds(0.0), Seconds(60.0))
        );
    }

    #[test]
    fn a_coarse_computer_does_not_make_a_good_ascent_a_fast_one() {
        for step in [1.0, 2.0, 5.0, 10.0, 20.0] {
            for rate in [3.0, 6.0, 8.5, 9.0] {
                let samples = sampled(step, 100, |time| tenth(18.0 - rate / 60.0 * time));
                let report = judged(&samples);
                assert_ne!(
                    report.verdict,
                    Verdict::TooFast,
                    "{rate} m/min every {step} s: {report:?}"
                );
            }
        }
    }

    #[test]
    fn a_coarse_computer_does_not_hide_a_fast_ascent() {
        for step in [1.0, 2.0, 5.0, 10.0, 20.0] {
            let samples = sampled(step, 80, |time| tenth(18.0 - 12.5 / 60.0 * time));
            assert_eq!(judged(&samples).verdict, Verdict::TooFast, "every {step} s");
        }
    }

    #[test]
    fn a_jump_of_one_sample_is_no_fast_ascent() {
        // A wave lifts the gauge by a metre for one second.
        let samples = sampled(
            1.0,
            120,
            |time| if (time - 60.0).abs() < 0.5 { 9.0 } else { 10.0 },
        );
        assert_eq!(judged(&samples).verdict, Verdict::Within);
    }

    #[test]
    fn a_short_dash_is_found_between_slow_stretches() {
        let depth = |time: f64| match time {
            t if t < 60.0 => 15.0,
            t if t < 90.0 => 15.0 - (t - 60.0) / 3.0, // 20 m/min
            _ => 5.0,
        };
        let report = judged(&sampled(1.0, 200, depth));
        assert_eq!(report.too_fast.len(), 1);
        assert!((report.fastest.0 - 20.0).abs() < 1e-6 && (report.sustained.0 - 20.0).abs() < 1e-6);
        assert!(report.too_fast[0].from.0 >= 50.0 && report.too_fast[0].until.0 <= 100.0);
    }

    #[test]
    fn the_stop_and_the_last_metres_are_found() {
        let points = [
            (0.0, 0.0),
            (60.0, 18.0),
            (600.0, 18.0),
            (700.0, 5.0),
            (885.0, 5.2),
            (925.0, 0.0),
        ];
        let samples = points.map(|(time, depth)| Sample {
            time: Seconds(time),
            depth: Metres(depth),
        });
        let report = judged(&samples);
        let stop = report.stop.unwrap();
        assert_eq!(stop.time, Seconds(185.0));
        assert!((stop.depth.0 - 5.1).abs() < 1e-9);
        let last = report.last_metres.unwrap();
        assert!((last.0 - 40.0 * 5.0 / 5.2).abs() < 1e-9, "{last}");
    }

    #[test]
    fn a_dive_that_was_never_deep_has_neither() {
        let report = judged(&sampled(1.0, 60, |_| 2.0));
        assert_eq!((report.stop, report.last_metres), (None, None));
        assert_eq!(
            (report.fastest, report.verdict),
            (MetresPerMinute(0.0), Verdict::Within)
        );
    }

    #[test]
    fn a_profile_of_a_few_seconds_is_not_judged_beyond_what_it_shows() {
        let lifted = judged(&sampled(1.0, 2, |time| 5.0 - 0.1 * time));
        assert_eq!(lifted.verdict, Verdict::Within);
        // 0.2 m in 1 s is 12 m/min on paper; a tenth of a metre and a second could make it all up.
        let jumped = judged(&sampled(1.0, 1, |time| 5.0 - 0.2 * time));
        assert_eq!(jumped.verdict, Verdict::AtTheLimit);
        let shot = judged(&sampled(1.0, 10, |time| 15.0 - time));
        assert_eq!(shot.verdict, Verdict::TooFast, "60 m/min for ten seconds");
    }

    #[test]
    fn a_limit_of_nonsense_is_refused() {
        let samples = sampled(1.0, 60, |_| 2.0);
        for limit in [f64::NAN, 0.0, 30.0] {
            let refused =
                ascent_report(&samples, MetresPerMinute(limit), Resolution::USUAL).unwrap_err();
            assert_eq!(refused.what, Quantity::AscentLimit);
        }
    }
}
