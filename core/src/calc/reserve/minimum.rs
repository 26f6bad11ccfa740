//! The least gas with which a shared ascent can begin.
//!
//! Source: common practice of the trade (every diver's stressed rate times the pressure, over a
//! time to sort things out, the ascent, the stop and the rest of the way); no published source for
//! the rule, the physics as in the U.S. Navy Diving Manual, Revision 7, 2016, chapter 7. Pressure
//! falls in a straight line on the way up, so the middle of a leg gives its gas exactly.

use crate::calc::breathing::checked_rate;
use crate::calc::caution::{Caution, Origin};
use crate::calc::cylinder::{Mix, checked_gauge, safe_litres, safe_pressure};
use crate::calc::outside::{OutsideTable, Quantity, listed, within};
use crate::calc::unit::{
    Celsius, GaugeBar, GaugePsi, Litres, LitresPerMinute, Metres, MetresPerMinute, Minutes,
    Rounding,
};
use crate::calc::water::WaterColumn;

/// No dive is planned to end below this: 50 bar. Common practice, no published source.
pub const FLOOR: GaugeBar = GaugeBar(50.0);
const DEEPEST: Metres = Metres(60.0);
/// What a cylinder could ever hold, so that a refusal has a bound to name.
const HIGHEST: GaugeBar = GaugeBar(315.0);

/// How the shared ascent goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AscentPlan {
    /// Where it begins, 0 to 60 m.
    pub depth: Metres,
    /// Time to sort things out there, 0 to 10 minutes.
    pub reaction: Minutes,
    /// How fast, 3 to 18 m/min.
    pub rate: MetresPerMinute,
    /// Where the stop is, 0 to 12 m; a dive shallower than that has none.
    pub stop: Metres,
    /// How long, 0 to 20 minutes.
    pub stop_time: Minutes,
}

impl AscentPlan {
    /// One minute to sort things out, 9 m/min, three minutes at 5 m. The rate is the U.S. Navy's
    /// 30 ft/min rounded down; the rest is common practice, no published source.
    ///
    /// ```
    /// use tallywater_core::calc::{reserve::AscentPlan, unit::{Metres, Minutes}};
    /// assert_eq!(AscentPlan::usual(Metres(18.0)).stop_time, Minutes(3.0));
    /// ```
    #[must_use]
    pub const fn usual(depth: Metres) -> Self {
        Self {
            depth,
            reaction: Minutes(1.0),
            rate: MetresPerMinute(9.0),
            stop: Metres(5.0),
            stop_time: Minutes(3.0),
        }
    }
}

/// The gas of each leg, in litres at 1 bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReserveParts {
    /// Sorting things out at depth.
    pub reaction: Litres,
    /// From depth to the stop.
    pub ascent: Litres,
    /// At the stop.
    pub stop: Litres,
    /// From the stop to the surface.
    pub last: Litres,
}

/// What set the pressure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Governs {
    /// The gas that the ascent needs.
    Ascent,
    /// The floor of 50 bar: the ascent needs less.
    Floor,
}

/// The least with which a shared ascent can begin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MinimumReserve {
    /// Gas for all who share, litres at 1 bar, rounded up to a whole litre.
    pub litres: Litres,
    /// Leg by leg, exact.
    pub parts: ReserveParts,
    /// The gauge, rounded up to a whole bar.
    pub pressure: GaugeBar,
    /// The gauge, rounded up to ten psi, from the exact figure.
    pub psi: GaugePsi,
    /// What set the pressure.
    pub governs: Governs,
    /// Where the rule comes from.
    pub origin: Origin,
    /// What to say beside it.
    pub caution: Caution,
}

/// The least pressure in this cylinder with which those divers, sharing it, can begin to come up.
/// Two rates are a pair; an instructor who may have to give to two students counts three.
///
/// # Errors
/// No diver or more than four, a rate, depth, time, cylinder or temperature outside its bounds, or
/// more gas than this cylinder can hold at 315 bar (the bound named is that gas).
///
/// ```
/// use tallywater_core::calc::reserve::{AscentPlan, minimum_reserve};
/// use tallywater_core::calc::{cylinder::Mix, unit::*, water::WaterColumn};
/// let sea = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0));
/// let pair = [LitresPerMinute(30.0); 2];
/// let least = minimum_reserve(&AscentPlan::usual(Metres(18.0)), &pair, Litres(12.0), Celsius(18.0), Mix::Air, sea)?;
/// assert_eq!(least.pressure, GaugeBar(57.0));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn minimum_reserve(
    plan: &AscentPlan,
    sharing: &[LitresPerMinute],
    capacity: Litres,
    temperature: Celsius,
    mix: Mix,
    column: WaterColumn,
) -> Result<MinimumReserve, OutsideTable> {
    let parts = parts(plan, sharing, column)?;
    let exact = parts.reaction.0 + parts.ascent.0 + parts.stop.0 + parts.last.0;
    let most = safe_litres(capacity, HIGHEST, temperature, mix)?;
    within(
        Quantity::GasVolume,
        Litres(exact),
        Litres(0.0),
        Litres(most),
    )?;
    let needed = safe_pressure(exact, capacity, temperature, mix)?;
    let (pressure, governs) = if needed > FLOOR {
        (needed, Governs::Ascent)
    } else {
        (FLOOR, Governs::Floor)
    };
    checked_gauge(pressure)?;
    Ok(MinimumReserve {
        litres: Litres(exact).rounded(Rounding::Up, Litres(1.0)),
        parts,
        pressure: pressure.rounded(Rounding::Up, GaugeBar(1.0)),
        psi: GaugePsi::from(pressure).rounded(Rounding::Up, GaugePsi(10.0)),
        governs,
        origin: Origin::CommonPractice,
        caution: Caution::GaugeFirst,
    })
}

fn parts(
    plan: &AscentPlan,
    sharing: &[LitresPerMinute],
    column: WaterColumn,
) -> Result<ReserveParts, OutsideTable> {
    listed(Quantity::Divers, sharing, 1, 4)?;
    let mut rate = 0.0;
    for diver in sharing {
        rate += checked_rate(*diver)?;
    }
    let depth = within(Quantity::Depth, plan.depth, Metres(0.0), DEEPEST)?;
    let reaction = within(
        Quantity::ReactionTime,
        plan.reaction,
        Minutes(0.0),
        Minutes(10.0),
    )?;
    let speed = within(
        Quantity::AscentLimit,
        plan.rate,
        MetresPerMinute(3.0),
        MetresPerMinute(18.0),
    )?;
    let stop = within(Quantity::StopDepth, plan.stop, Metres(0.0), Metres(12.0))?;
    let stop_time = within(
        Quantity::StopTime,
        plan.stop_time,
        Minutes(0.0),
        Minutes(20.0),
    )?;

    // A dive that never gets below its stop still stays for it, as deep as it is.
    let stop = stop.min(depth);
    let bar = |metres: f64| {
        column
            .pressure_at(Metres(metres))
            .map(|pressure| pressure.0)
    };
    let leg = |from: f64, to: f64| -> Result<Litres, OutsideTable> {
        Ok(Litres(
            rate * (from - to) / speed * bar(f64::midpoint(from, to))?,
        ))
    };
    Ok(ReserveParts {
        reaction: Litres(rate * reaction * bar(depth)?),
        ascent: leg(depth, stop)?,
        stop: Litres(rate * stop_time * bar(stop)?),
        last: leg(stop, 0.0)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::unit::{Bar, KilogramsPerCubicMetre};

    /// 0.1 bar a metre under 1 bar, as a slate has it.
    const SLATE: WaterColumn = WaterColumn {
        density: KilogramsPerCubicMetre(1e4 / 9.806_65),
        surface: Bar(1.0),
    };

    fn least(depth: f64, rate: f64, reaction: f64, litres: f64) -> MinimumReserve {
        let plan = AscentPlan {
            reaction: Minutes(reaction),
            ..AscentPlan::usual(Metres(depth))
        };
        let pair = [LitresPerMinute(rate); 2];
        minimum_reserve(&plan, &pair, Litres(litres), Celsius(20.0), Mix::Air, SLATE).unwrap()
    }

    #[test]
    fn the_legs_add_up_as_on_a_slate() {
        // Worked by hand: 2 x 30 x (1 x 2.8 + 13/9 x 2.15 + 3 x 1.5 + 5/9 x 1.25).
        let plan = least(18.0, 30.0, 1.0, 12.0);
        for (ours, by_hand) in [
            (plan.parts.reaction, 168.0),
            (plan.parts.ascent, 60.0 * 13.0 / 9.0 * 2.15),
            (plan.parts.stop, 270.0),
            (plan.parts.last, 60.0 * 5.0 / 9.0 * 1.25),
        ] {
            assert!((ours.0 - by_hand).abs() < 1e-6, "{ours} is not {by_hand}");
        }
        assert_eq!(
            (plan.litres, plan.pressure),
            (Litres(666.0), GaugeBar(56.0))
        );
    }

    #[test]
    fn a_big_cylinder_falls_to_the_floor_and_not_below() {
        let plan = least(18.0, 30.0, 1.0, 15.0);
        assert_eq!((plan.pressure, plan.governs), (FLOOR, Governs::Floor));
        assert_eq!(plan.psi, GaugePsi(730.0), "50 bar is 725.2 psi, rounded up");
    }

    #[test]
    fn a_dive_shallower_than_its_stop_stays_as_deep_as_it_is() {
        let parts = least(3.0, 30.0, 1.0, 12.0).parts;
        assert_eq!(parts.ascent, Litres(0.0));
        assert!(
            (parts.stop.0 - 60.0 * 3.0 * 1.3).abs() < 1e-9,
            "{}",
            parts.stop
        );
    }

    #[test]
    fn a_third_diver_on_the_cylinder_is_half_as_much_again() {
        let plan = AscentPlan::usual(Metres(18.0));
        let of = |count: usize| {
            let sharing = vec![LitresPerMinute(30.0); count];
            minimum_reserve(
                &plan,
                &sharing,
                Litres(12.0),
                Celsius(20.0),
                Mix::Air,
                SLATE,
            )
            .unwrap()
            .parts
        };
        assert!((of(3).stop.0 - of(2).stop.0 * 1.5).abs() < 1e-9);
    }

    #[test]
    fn a_cylinder_too_small_for_the_plan_is_refused() {
        let plan = AscentPlan::usual(Metres(40.0));
        let pair = [LitresPerMinute(60.0); 2];
        let refused =
            minimum_reserve(&plan, &pair, Litres(3.0), Celsius(20.0), Mix::Air, SLATE).unwrap_err();
        assert_eq!(refused.what, Quantity::GasVolume);
        assert!(minimum_reserve(&plan, &[], Litres(12.0), Celsius(20.0), Mix::Air, SLATE).is_err());
    }
}
