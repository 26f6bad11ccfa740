//! How many calculations fit into a frame.
//!
//! A screen of a class of twelve asks each calculation twelve times; at 60 frames a second that must
//! not be seen. The budget is a quarter of a frame for the twelve; each line prints the figure beside
//! it, and the bench fails where one is over. Run: `cargo bench -p tallywater-tests --bench calc`.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::indexing_slicing,
    reason = "a bench prints, and one that cannot compute has failed"
)]

use std::hint::black_box;
use std::time::{Duration, Instant};

use tallywater_core::calc::ascent::{NAVY_RATE, Resolution, ascent_report};
use tallywater_core::calc::breathing::{BreathingDive, Exposure, surface_rate};
use tallywater_core::calc::cylinder::{Mix, buoyancy_range, contents, starter_sizes};
use tallywater_core::calc::evidence::{
    AttemptEnd, Level, Tries, agreement, attempt_curve, posterior, share_met,
};
use tallywater_core::calc::lead::{LeadQuestion, TYPICAL_KIT, lead_start};
use tallywater_core::calc::no_stop::{
    GradientFactors, Group, NoStopSite, PersonDay, PlannedDive, day_plan, no_stop, second_opinion,
};
use tallywater_core::calc::profile::Sample;
use tallywater_core::calc::reserve::{
    AscentPlan, ClassDiver, GivesTo, TurnRule, class_reserve, minimum_reserve,
};
use tallywater_core::calc::suit::{BodySize, Suit, SuitAge, SuitKind};
use tallywater_core::calc::supervision::{
    Assistant, Conditions, Experience, HouseReductions, Setting, StaffNow, WaterMotion,
    starter_policy, supervision,
};
use tallywater_core::calc::unit::*;
use tallywater_core::calc::water::{Water, WaterColumn, density};

const FRAME: Duration = Duration::from_nanos(16_666_667);
const CLASS: u32 = 12;
/// Twelve may take a quarter of a frame; the rest draws them.
const BUDGET: f64 = 0.25;
const ROUND: Duration = Duration::from_millis(10);

/// The time of one call: the best of twenty rounds of about ten milliseconds, since whatever else
/// the machine does can only make a round slower.
fn one_call<T>(call: impl Fn() -> T) -> Duration {
    let round = |calls: u32| {
        let begun = Instant::now();
        for _ in 0..calls {
            black_box(call());
        }
        begun.elapsed()
    };
    let mut calls = 1_u32;
    while round(calls) < ROUND && calls < 1 << 24 {
        calls *= 2;
    }
    (0..20).map(|_| round(calls) / calls).min().unwrap_or(ROUND)
}

struct Bench {
    over: Vec<&'static str>,
}

impl Bench {
    fn run<T>(&mut self, name: &'static str, call: impl Fn() -> T) {
        let once = one_call(call).max(Duration::from_nanos(1));
        let share = (once * CLASS).as_secs_f64() / FRAME.as_secs_f64();
        println!(
            "{name:<44} {:>12.0} calls/s   {:>8.4} % of a frame for {CLASS} (budget {:.0} %)",
            1.0 / once.as_secs_f64(),
            share * 100.0,
            BUDGET * 100.0
        );
        if share > BUDGET {
            self.over.push(name);
        }
    }
}

fn main() {
    let mut bench = Bench { over: Vec::new() };
    let sea = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0));
    let size = starter_sizes()[0];
    let suit = Suit {
        kind: SuitKind::OnePiece,
        thickness: Millimetres(5.0),
        age: SuitAge::Worn,
    };
    let body = BodySize {
        height: Centimetres(175.0),
        mass: Kilograms(75.0),
    };
    let question = LeadQuestion {
        body,
        age: 30,
        suit,
        column: sea,
        cylinder: size,
        mix: Mix::Air,
        reserve: GaugeBar(50.0),
        temperature: Celsius(18.0),
        kit: TYPICAL_KIT,
    };

    bench.run("water: density", || {
        density(black_box(Water::OpenSea), Celsius(18.0))
    });
    bench.run("water: pressure at depth", || {
        sea.pressure_at(black_box(Metres(18.0)))
    });
    bench.run("cylinder: contents", || {
        contents(
            black_box(Litres(12.0)),
            GaugeBar(200.0),
            Celsius(18.0),
            Mix::Air,
        )
    });
    bench.run("cylinder: buoyancy, three states", || {
        buoyancy_range(
            black_box(&size),
            GaugeBar(50.0),
            Celsius(18.0),
            Mix::Air,
            sea.density,
        )
    });
    bench.run("lead: estimate with reasons", || {
        lead_start(black_box(&question), None)
    });

    // An hour of one-second samples: down, along, up, stop.
    let profile: Vec<Sample> = (0..3600_u32)
        .map(f64::from)
        .map(|time| {
            let depth = if time < 120.0 {
                time * 0.15
            } else if time < 3200.0 {
                18.0
            } else {
                ((3600.0 - time) * 0.045).max(0.0)
            };
            Sample {
                time: Seconds(time),
                depth: Metres((depth * 10.0).round() / 10.0),
            }
        })
        .collect();
    let dive = BreathingDive {
        capacity: Litres(12.0),
        mix: Mix::Air,
        start: GaugeBar(200.0),
        end: GaugeBar(60.0),
        start_temperature: Celsius(18.0),
        end_temperature: Celsius(18.0),
        column: sea,
        exposure: Exposure::Average {
            depth: Metres(12.0),
            time: Minutes(40.0),
        },
    };
    let sampled = BreathingDive {
        end: GaugeBar(20.0),
        capacity: Litres(15.0),
        exposure: Exposure::Profile(profile.clone()),
        ..dive.clone()
    };
    bench.run("breathing: from average depth", || {
        surface_rate(black_box(&dive))
    });
    bench.run("breathing: from 3,600 samples", || {
        surface_rate(black_box(&sampled))
    });
    bench.run("ascent: report of 3,600 samples", || {
        ascent_report(black_box(&profile), NAVY_RATE, Resolution::USUAL)
    });

    let plan = AscentPlan::usual(Metres(18.0));
    let pair = [LitresPerMinute(30.0); 2];
    bench.run("reserve: one diver", || {
        minimum_reserve(
            black_box(&plan),
            &pair,
            Litres(12.0),
            Celsius(18.0),
            Mix::Air,
            sea,
        )
    });
    let diver = ClassDiver {
        rate: LitresPerMinute(20.0),
        capacity: Litres(12.0),
        mix: Mix::Air,
        start: GaugeBar(200.0),
    };
    bench.run("reserve: a class of twelve, once each", || {
        class_reserve(
            black_box(&plan),
            TurnRule::ThereAndBack,
            &[diver; 12],
            &diver,
            GivesTo::Two,
            Celsius(18.0),
            sea,
        )
    });

    bench.run("no-stop: one look-up", || {
        no_stop(black_box(Metres(18.0)), Some(Group::F))
    });
    let dives = vec![
        PlannedDive {
            interval: Minutes(70.0),
            depth: Metres(12.0),
            bottom: Minutes(30.0)
        };
        4
    ];
    bench.run("no-stop: a day of four dives", || {
        day_plan(black_box(&dives), NoStopSite::SEA)
    });
    let person = PersonDay {
        dives,
        interval: Minutes(75.0),
    };
    bench.run("no-stop: second opinion after four dives", || {
        second_opinion(
            black_box(&person),
            Metres(18.0),
            NoStopSite::SEA,
            sea.density,
            GradientFactors::USUAL,
        )
    });

    let staff = StaffNow {
        instructors: 1,
        assistants: vec![Assistant::Counts; 2],
    };
    let now = Conditions {
        visibility: Some(Metres(6.0)),
        motion: WaterMotion::Some,
        temperature: Some(Celsius(14.0)),
        minors: 2,
        experience: Experience::FirstDive,
    };
    let policy = starter_policy(Setting::OpenWater);
    bench.run("supervision", || {
        supervision(
            black_box(&policy),
            &staff,
            &now,
            &HouseReductions::STARTER,
            8,
        )
    });

    let tries: Vec<Tries> = (0..60_u32)
        .map(|student| Tries {
            attempts: student % 5 + 1,
            end: if student % 7 == 0 {
                AttemptEnd::NotYet
            } else {
                AttemptEnd::Met
            },
        })
        .collect();
    bench.run("evidence: attempts of sixty", || {
        attempt_curve(black_box(&tries), Level::NinetyFive)
    });
    bench.run("evidence: share of ten", || {
        share_met(black_box(8), 10, Level::NinetyFive)
    });
    bench.run("evidence: posterior of ten", || {
        posterior(black_box(8), 10, Share(0.8), Level::NinetyFive)
    });
    let table = vec![
        vec![12, 2, 0, 1],
        vec![1, 8, 2, 0],
        vec![0, 1, 6, 0],
        vec![0, 0, 0, 3],
    ];
    bench.run("evidence: agreement over four marks", || {
        agreement(black_box(&table), Level::NinetyFive)
    });

    assert!(
        bench.over.is_empty(),
        "over a quarter of a frame: {:?}",
        bench.over
    );
}
