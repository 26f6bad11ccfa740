//! Gas that is breathed, and gas that is kept.

use tallywater_core::calc::breathing::{BreathingDive, Exposure, surface_rate};
use tallywater_core::calc::cylinder::Mix;
use tallywater_core::calc::reserve::{AscentPlan, MinimumReserve, minimum_reserve};
use tallywater_core::calc::unit::{
    Bar, Celsius, CubicFeet, CubicFeetPerMinute, FeetSeaWater, GaugeBar, KilogramsPerCubicMetre,
    Litres, LitresPerMinute, Metres, MetresSeaWater, Minutes,
};
use tallywater_core::calc::water::{SEA_LEVEL, WaterColumn};

use super::{Check, hold, published};

/// 0.1 bar a metre under 1 bar, as a slate has it.
const SLATE: WaterColumn = WaterColumn {
    density: KilogramsPerCubicMetre(1e4 / 9.80665),
    surface: Bar(1.0),
};

pub(super) fn checks() -> Vec<Check> {
    [navy(), slate(), reserves()]
        .into_iter()
        .flatten()
        .collect()
}

fn navy() -> Vec<Check> {
    let source = "U.S. Navy Diving Manual, Revision 7, 2016, chapters 2 and 7, worked examples (from memory)";
    let atmospheres = |feet: f64| {
        MetresSeaWater::from(FeetSeaWater(feet))
            .absolute(SEA_LEVEL)
            .0
            / SEA_LEVEL.0
    };
    let consumption = CubicFeetPerMinute::from(LitresPerMinute::from(CubicFeetPerMinute(1.4))).0
        * atmospheres(70.0);
    let bell = CubicFeet::from(Litres::from(CubicFeet(24.0))).0 / atmospheres(99.0);
    vec![
        // The manual rounds 33.07 fsw in an atmosphere to 33; hence the hundredths.
        published! { source: source, given: "1.4 acfm at 70 fsw, scfm", ours: consumption, expect: 4.37, within: 0.02 },
        published! { source: source, given: "a bell of 24 ft3 lowered to 99 fsw, ft3", ours: bell, expect: 6.0, within: 0.02 },
        published! { source: source, given: "the same from 80 to 45 F (540 to 505 R), ft3", ours: bell * 505.0 / 540.0, expect: 5.61, within: 0.02 },
    ]
}

fn slate() -> Vec<Check> {
    let source = "jlunderwater.co.uk, respiratory minute volume, worked example: 10 L, 20 bar in 2.5 min at 30 m is 20 L/min";
    let dive = BreathingDive {
        capacity: Litres(10.0),
        mix: Mix::Air,
        start: GaugeBar(120.0),
        end: GaugeBar(100.0),
        start_temperature: Celsius(20.0),
        end_temperature: Celsius(20.0),
        column: SLATE,
        exposure: Exposure::Average {
            depth: Metres(30.0),
            time: Minutes(2.5),
        },
    };
    let rate = surface_rate(&dive).unwrap();
    vec![
        published! { source: source, given: "by the rule of thumb", ours: rate.ideal.0, expect: 20.0, within: 1e-9 },
    ]
}

fn reserves() -> Vec<Check> {
    let source = "common practice, no published source; legs worked by hand at 0.1 bar a metre, 9 m/min, 3 min at 5 m";
    let least = |depth: f64, rate: f64, reaction: f64, litres: f64| -> MinimumReserve {
        let plan = AscentPlan {
            reaction: Minutes(reaction),
            ..AscentPlan::usual(Metres(depth))
        };
        minimum_reserve(
            &plan,
            &[LitresPerMinute(rate); 2],
            Litres(litres),
            Celsius(20.0),
            Mix::Air,
            SLATE,
        )
        .unwrap()
    };
    // depth, rate, reaction; litres; bar in 12, 11.1, 10 and 15 L, before the floor of 50.
    [
        (18.0, 20.0, 1.0, 444.0, [37.0, 40.0, 45.0, 30.0]),
        (18.0, 30.0, 1.0, 666.0, [56.0, 60.0, 67.0, 45.0]),
        (18.0, 30.0, 2.0, 834.0, [70.0, 76.0, 84.0, 56.0]),
        (30.0, 30.0, 1.0, 1010.0, [85.0, 91.0, 101.0, 68.0]),
    ]
    .into_iter()
    .flat_map(|(depth, rate, reaction, litres, bars)| {
        let given = format!("{depth} m, {rate} L/min, {reaction} min");
        let mut rows = vec![published! { source: source, given: given, ours: least(depth, rate, reaction, 12.0).litres.0, expect: litres, within: 1.0 }];
        for (capacity, bar) in [12.0, 11.1, 10.0, 15.0].into_iter().zip(bars) {
            let floored = f64::max(bar, 50.0);
            rows.push(published! { source: source, given: format!("{given}, {capacity} L"), ours: least(depth, rate, reaction, capacity).pressure.0, expect: floored, within: 0.0 });
        }
        rows
    })
    .collect()
}

#[test]
fn gas_is_breathed_and_kept_as_published() {
    hold(&checks());
}
