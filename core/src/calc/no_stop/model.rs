//! A dissolved-gas model, for a second opinion.
//!
//! Source: ZH-L16C, Bühlmann, A. A., Völlm, E. B. and Nussberger, P., Tauchmedizin, 5th edition,
//! 2002, table 25, p. 158 (nitrogen half-times, a and b; here from a public copy that two
//! implementations share, and from memory). Gas uptake at a steady depth and over a steady change:
//! Schreiner, H. R. and Kelley, P. L., in Underwater Physiology, 1971, p. 205. Gradient factors:
//! Baker, E. C., Understanding M-values, 1998. A no-stop limit asks only whether the diver could
//! be at the surface now, so of the two factors only the high one acts, and the time has a
//! closed form: nothing is stepped, and no cap hides a long limit.

use crate::calc::cylinder::Mix;
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{Bar, MetresPerMinute, Minutes, MinutesWhole, Percent, Rounding};

const VAPOUR: f64 = 0.0627; // bar, water vapour in the lungs at 37 degrees (Bühlmann)
const AIR_NITROGEN: f64 = 0.79; // share, as the model's author takes air
/// A limit longer than this is given as such.
const LONGEST: MinutesWhole = MinutesWhole(720);
/// Half-time in minutes, a in bar, b.
const COMPARTMENTS: [(f64, f64, f64); 16] = [
    (4.0, 1.2599, 0.5050),
    (8.0, 1.0000, 0.6514),
    (12.5, 0.8618, 0.7222),
    (18.5, 0.7562, 0.7825),
    (27.0, 0.6200, 0.8126),
    (38.3, 0.5043, 0.8434),
    (54.3, 0.4410, 0.8693),
    (77.0, 0.4000, 0.8910),
    (109.0, 0.3750, 0.9092),
    (146.0, 0.3500, 0.9222),
    (187.0, 0.3295, 0.9319),
    (239.0, 0.3065, 0.9403),
    (305.0, 0.2835, 0.9477),
    (390.0, 0.2610, 0.9544),
    (498.0, 0.2480, 0.9602),
    (635.0, 0.2327, 0.9653),
];

/// How much of the model's allowance may be used, 10 to 100 % each, the low not above the high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GradientFactors {
    /// At the first stop; it does not act on a no-stop limit.
    pub low: Percent,
    /// At the surface.
    pub high: Percent,
}

impl GradientFactors {
    /// The model as it was published: 100/100.
    pub const PUBLISHED: Self = Self {
        low: Percent(100.0),
        high: Percent(100.0),
    };
    /// 40/85, a usual setting of recreational computers.
    pub const USUAL: Self = Self {
        low: Percent(40.0),
        high: Percent(85.0),
    };
    /// 30/70, a cautious one.
    pub const CAUTIOUS: Self = Self {
        low: Percent(30.0),
        high: Percent(70.0),
    };

    fn checked(self) -> Result<f64, OutsideTable> {
        let high = within(
            Quantity::GradientFactor,
            self.high,
            Percent(10.0),
            Percent(100.0),
        )?;
        within(Quantity::GradientFactor, self.low, Percent(10.0), self.high)?;
        Ok(high / 100.0)
    }
}

/// How long the model would let a diver stay.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ModelLimit {
    /// Whole minutes, rounded down; 0 means that the diver could not surface now.
    Minutes(MinutesWhole),
    /// Longer than this.
    LongerThan(MinutesWhole),
}

/// The nitrogen in the model's sixteen compartments.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tissues {
    nitrogen: [f64; 16], // bar
}

impl Tissues {
    /// A diver who has breathed air at this pressure for days.
    ///
    /// # Errors
    /// A pressure outside 0.45 to 1.1 bar.
    ///
    /// ```
    /// use tallywater_core::calc::{no_stop::Tissues, water::SEA_LEVEL};
    /// assert!(Tissues::used_to(SEA_LEVEL).is_ok());
    /// ```
    pub fn used_to(surface: Bar) -> Result<Self, OutsideTable> {
        let bar = checked_surface(surface)?;
        Ok(Self {
            nitrogen: [(bar - VAPOUR) * AIR_NITROGEN; 16],
        })
    }

    /// After breathing `mix` at one pressure for a time.
    ///
    /// # Errors
    /// A pressure outside 0.45 to 25 bar, a time outside 0 to a week, a mix outside air to 40 %.
    ///
    /// ```
    /// use tallywater_core::calc::{cylinder::Mix, no_stop::Tissues, unit::{Bar, Minutes}, water::SEA_LEVEL};
    /// let rested = Tissues::used_to(SEA_LEVEL)?;
    /// assert_ne!(rested.after_stay(Bar(2.8), Minutes(20.0), Mix::Air)?, rested);
    /// # Ok::<(), tallywater_core::calc::OutsideTable>(())
    /// ```
    pub fn after_stay(
        mut self,
        pressure: Bar,
        time: Minutes,
        mix: Mix,
    ) -> Result<Self, OutsideTable> {
        let inspired = (checked_ambient(pressure)? - VAPOUR) * nitrogen(mix)?;
        let minutes = checked_time(time)?;
        for (tissue, (half_time, _, _)) in self.nitrogen.iter_mut().zip(COMPARTMENTS) {
            *tissue = inspired + (*tissue - inspired) * (-minutes / half_time).exp2();
        }
        Ok(self)
    }

    /// After a steady change from one pressure to another.
    ///
    /// # Errors
    /// As [`Tissues::after_stay`].
    ///
    /// ```
    /// use tallywater_core::calc::{cylinder::Mix, no_stop::Tissues, unit::{Bar, Minutes}, water::SEA_LEVEL};
    /// let up = Tissues::used_to(SEA_LEVEL)?.after_change(Bar(2.8), SEA_LEVEL, Minutes(2.0), Mix::Air)?;
    /// assert_ne!(up, Tissues::used_to(SEA_LEVEL)?);
    /// # Ok::<(), tallywater_core::calc::OutsideTable>(())
    /// ```
    pub fn after_change(
        mut self,
        from: Bar,
        to: Bar,
        time: Minutes,
        mix: Mix,
    ) -> Result<Self, OutsideTable> {
        let minutes = checked_time(time)?;
        let share = nitrogen(mix)?;
        let (begin, end) = (checked_ambient(from)?, checked_ambient(to)?);
        if minutes <= 0.0 {
            return Ok(self);
        }
        let inspired = (begin - VAPOUR) * share;
        let slope = (end - begin) * share / minutes;
        for (tissue, (half_time, _, _)) in self.nitrogen.iter_mut().zip(COMPARTMENTS) {
            let k = std::f64::consts::LN_2 / half_time;
            *tissue = inspired + slope * (minutes - 1.0 / k)
                - (inspired - *tissue - slope / k) * (-k * minutes).exp();
        }
        Ok(self)
    }

    /// How long the diver can stay at this pressure and still go straight to the surface.
    ///
    /// # Errors
    /// A pressure at depth outside 0.45 to 25 bar, at the surface outside 0.45 to 1.1 bar, a mix or
    /// gradient factors outside their bounds.
    ///
    /// ```
    /// use tallywater_core::calc::no_stop::{GradientFactors, ModelLimit, Tissues};
    /// use tallywater_core::calc::{cylinder::Mix, unit::{Bar, MinutesWhole}};
    /// let rested = Tissues::used_to(Bar(1.013))?;
    /// let limit = rested.no_stop(Bar(2.813), Bar(1.013), Mix::Air, GradientFactors::PUBLISHED)?;
    /// assert_eq!(limit, ModelLimit::Minutes(MinutesWhole(59)));
    /// # Ok::<(), tallywater_core::calc::OutsideTable>(())
    /// ```
    pub fn no_stop(
        &self,
        pressure: Bar,
        surface: Bar,
        mix: Mix,
        factors: GradientFactors,
    ) -> Result<ModelLimit, OutsideTable> {
        let inspired = (checked_ambient(pressure)? - VAPOUR) * nitrogen(mix)?;
        let top = checked_surface(surface)?;
        let factor = factors.checked()?;
        let shortest = self
            .nitrogen
            .iter()
            .zip(COMPARTMENTS)
            .filter_map(|(tissue, (half_time, a, b))| {
                let allowed = top + factor * (a + top / b - top);
                if *tissue > allowed {
                    return Some(0.0);
                }
                // A tissue that never gets there sets no limit.
                (inspired > allowed)
                    .then(|| half_time * ((inspired - tissue) / (inspired - allowed)).log2())
            })
            .fold(f64::INFINITY, f64::min);
        Ok(match MinutesWhole::of(Minutes(shortest), Rounding::Down) {
            Some(minutes) if minutes <= LONGEST => ModelLimit::Minutes(minutes),
            Some(_) | None => ModelLimit::LongerThan(LONGEST),
        })
    }
}

/// How fast the model's diver comes up: the table's own rate, rounded down.
pub(super) const ASCENT: MetresPerMinute = MetresPerMinute(9.0);

fn nitrogen(mix: Mix) -> Result<f64, OutsideTable> {
    Ok(match mix {
        Mix::Air => AIR_NITROGEN,
        Mix::Nitrox(_) => 1.0 - mix.oxygen()?.0,
    })
}

fn checked_surface(surface: Bar) -> Result<f64, OutsideTable> {
    within(Quantity::SurfacePressure, surface, Bar(0.45), Bar(1.1))
}

fn checked_ambient(pressure: Bar) -> Result<f64, OutsideTable> {
    within(Quantity::AmbientPressure, pressure, Bar(0.45), Bar(25.0))
}

fn checked_time(time: Minutes) -> Result<f64, OutsideTable> {
    within(Quantity::BottomTime, time, Minutes(0.0), Minutes(10_080.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TOP: Bar = Bar(1.013);

    #[test]
    fn every_compartment_has_its_printed_allowance() {
        // Baker, Understanding M-values, 1998, table of ZHL-16 values in metres of sea water at
        // the surface (10 msw), from memory: M0 to a tenth, its slope to four places.
        let printed = [
            (32.4, 1.9802),
            (25.4, 1.5352),
            (22.5, 1.3847),
            (20.3, 1.2780),
            (18.5, 1.2306),
            (16.9, 1.1857),
            (15.9, 1.1504),
            (15.2, 1.1223),
            (14.7, 1.0999),
            (14.3, 1.0844),
            (14.0, 1.0731),
            (13.7, 1.0635),
            (13.4, 1.0552),
            (13.1, 1.0478),
            (12.9, 1.0414),
            (12.7, 1.0359),
        ];
        for ((half_time, a, b), (allowance, slope)) in COMPARTMENTS.into_iter().zip(printed) {
            let ours: f64 = 10.0 * a + 10.0 / b;
            assert!(
                (ours - allowance).abs() < 0.051,
                "{half_time} min: {ours} is not {allowance}"
            );
            assert!(
                (1.0 / b - slope).abs() < 6e-5,
                "{half_time} min: {} is not {slope}",
                1.0 / b
            );
        }
    }

    #[test]
    fn a_steady_change_in_many_small_stays_comes_out_the_same() {
        let rested = Tissues::used_to(TOP).unwrap();
        let once = rested
            .after_change(TOP, Bar(4.0), Minutes(6.0), Mix::Air)
            .unwrap();
        let mut stepped = rested;
        for step in 0..6000_u32 {
            let middle = TOP.0 + (4.0 - TOP.0) * (f64::from(step) + 0.5) / 6000.0;
            stepped = stepped
                .after_stay(Bar(middle), Minutes(0.001), Mix::Air)
                .unwrap();
        }
        for (one, other) in once.nitrogen.iter().zip(stepped.nitrogen) {
            assert!((one - other).abs() < 1e-6, "{one} is not {other}");
        }
    }

    #[test]
    fn staying_for_the_limit_leaves_no_limit_and_a_minute_less_does() {
        let rested = Tissues::used_to(TOP).unwrap();
        let limit = |tissues: Tissues| {
            tissues
                .no_stop(Bar(3.0), TOP, Mix::Air, GradientFactors::USUAL)
                .unwrap()
        };
        let ModelLimit::Minutes(MinutesWhole(minutes)) = limit(rested) else {
            panic!("20 m has a limit")
        };
        let stayed = |minutes: u32| {
            rested
                .after_stay(Bar(3.0), Minutes(f64::from(minutes)), Mix::Air)
                .unwrap()
        };
        assert_eq!(limit(stayed(minutes)), ModelLimit::Minutes(MinutesWhole(0)));
        assert_eq!(
            limit(stayed(minutes - 1)),
            ModelLimit::Minutes(MinutesWhole(1))
        );
    }

    #[test]
    fn a_pool_has_no_limit_and_says_how_far_it_looked() {
        let rested = Tissues::used_to(TOP).unwrap();
        let pool = rested
            .no_stop(Bar(1.4), TOP, Mix::Air, GradientFactors::CAUTIOUS)
            .unwrap();
        assert_eq!(pool, ModelLimit::LongerThan(MinutesWhole(720)));
    }

    #[test]
    fn factors_the_wrong_way_round_are_refused() {
        let rested = Tissues::used_to(TOP).unwrap();
        let wrong = GradientFactors {
            low: Percent(85.0),
            high: Percent(40.0),
        };
        assert_eq!(
            rested
                .no_stop(Bar(3.0), TOP, Mix::Air, wrong)
                .unwrap_err()
                .what,
            Quantity::GradientFactor
        );
    }
}
