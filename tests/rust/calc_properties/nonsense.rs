//! What is no depth, no pressure and no time is refused by every calculation, with its bounds, and
//! no answer that is given holds a `NaN` or an infinity.

use proptest::prelude::*;
use tallywater_core::calc::OutsideTable;
use tallywater_core::calc::ascent::*;
use tallywater_core::calc::breathing::*;
use tallywater_core::calc::cylinder::*;
use tallywater_core::calc::evidence::*;
use tallywater_core::calc::lead::*;
use tallywater_core::calc::no_stop::*;
use tallywater_core::calc::profile::Sample;
use tallywater_core::calc::reserve::*;
use tallywater_core::calc::suit::*;
use tallywater_core::calc::unit::*;
use tallywater_core::calc::water::*;

use super::SEA;

const BODY: BodySize = BodySize {
    height: Centimetres(170.0),
    mass: Kilograms(70.0),
};
const SUIT: Suit = Suit {
    kind: SuitKind::OnePiece,
    thickness: Millimetres(5.0),
    age: SuitAge::Worn,
};

/// Every calculation with one figure of it replaced by `x`. Written out as text, an answer shows
/// whatever it holds.
fn every_calculation(x: f64) -> Vec<(&'static str, Result<String, OutsideTable>)> {
    let air = Mix::Air;
    let size = starter_sizes()[0];
    let question = LeadQuestion {
        body: BODY,
        age: 30,
        suit: SUIT,
        column: SEA,
        cylinder: size,
        mix: air,
        reserve: GaugeBar(50.0),
        temperature: Celsius(15.0),
        kit: Kilograms(0.0),
    };
    let check = OwnCheck {
        lead: Kilograms(5.0),
        water: SEA.density,
        cylinder: size,
        mix: air,
        pressure: GaugeBar(50.0),
        temperature: Celsius(15.0),
        suit: SUIT,
        kit_mass: Kilograms(8.0),
    };
    let plan = AscentPlan::usual(Metres(18.0));
    let pair = [LitresPerMinute(30.0); 2];
    let keep = |plan: AscentPlan, rate: f64, litres: f64| {
        minimum_reserve(
            &plan,
            &[pair[0], LitresPerMinute(rate)],
            Litres(litres),
            Celsius(15.0),
            air,
            SEA,
        )
    };
    let dive = BreathingDive {
        capacity: Litres(12.0),
        mix: air,
        start: GaugeBar(200.0),
        end: GaugeBar(80.0),
        start_temperature: Celsius(15.0),
        end_temperature: Celsius(15.0),
        column: SEA,
        exposure: Exposure::Average {
            depth: Metres(12.0),
            time: Minutes(35.0),
        },
    };
    let rested = Tissues::used_to(SEA_LEVEL).unwrap();
    let day = [PlannedDive {
        interval: Minutes(0.0),
        depth: Metres(18.0),
        bottom: Minutes(30.0),
    }];
    let samples = |time: f64, depth: f64| {
        [(0.0, 0.0), (time, depth), (400.0, 0.0)].map(|(time, depth)| Sample {
            time: Seconds(time),
            depth: Metres(depth),
        })
    };

    macro_rules! said {
        ($($name:literal: $answer:expr),+ $(,)?) => { vec![$(($name, $answer.map(|answer| format!("{answer:?}")))),+] };
    }
    said![
        "density, salinity": density(Water::Salinity(PracticalSalinity(x)), Celsius(15.0)),
        "density, temperature": density(Water::OpenSea, Celsius(x)),
        "density, typed": density(Water::Density(KilogramsPerCubicMetre(x)), Celsius(15.0)),
        "pressure, depth": SEA.pressure_at(Metres(x)),
        "pressure, density": WaterColumn { density: KilogramsPerCubicMetre(x), ..SEA }.pressure_at(Metres(10.0)),
        "pressure, air": WaterColumn { surface: Bar(x), ..SEA }.pressure_at(Metres(10.0)),
        "depth, pressure": SEA.depth_at(Bar(x)),
        "air, altitude": surface_pressure(Metres(x)),
        "altitude, air": altitude_of(Bar(x)),
        "compressibility, pressure": compressibility(air, Bar(x), Celsius(15.0)),
        "compressibility, temperature": compressibility(air, Bar(200.0), Celsius(x)),
        "compressibility, oxygen": compressibility(Mix::Nitrox(Percent(x)), Bar(200.0), Celsius(15.0)),
        "contents, capacity": contents(Litres(x), GaugeBar(200.0), Celsius(15.0), air),
        "contents, pressure": contents(Litres(12.0), GaugeBar(x), Celsius(15.0), air),
        "pressure for gas": pressure_holding(Litres(x), Litres(12.0), Celsius(15.0), air),
        "cylinder, empty mass": buoyancy_range(&CylinderSize { empty_mass: Kilograms(x), ..size }, GaugeBar(50.0), Celsius(15.0), air, SEA.density),
        "cylinder, valve": buoyancy_range(&CylinderSize { valve_mass: Kilograms(x), ..size }, GaugeBar(50.0), Celsius(15.0), air, SEA.density),
        "cylinder, reserve": buoyancy_range(&size, GaugeBar(x), Celsius(15.0), air, SEA.density),
        "cylinder, water": buoyancy_range(&size, GaugeBar(50.0), Celsius(15.0), air, KilogramsPerCubicMetre(x)),
        "suit, thickness": suit_buoyancy(&Suit { thickness: Millimetres(x), ..SUIT }, &BODY, SEA, Metres(10.0)),
        "suit, depth": suit_buoyancy(&SUIT, &BODY, SEA, Metres(x)),
        "lead, height": lead_start(&LeadQuestion { body: BodySize { height: Centimetres(x), ..BODY }, ..question }, None),
        "lead, mass": lead_start(&LeadQuestion { body: BodySize { mass: Kilograms(x), ..BODY }, ..question }, None),
        "lead, kit": lead_start(&LeadQuestion { kit: Kilograms(x), ..question }, None),
        "lead, reserve": lead_start(&LeadQuestion { reserve: GaugeBar(x), ..question }, None),
        "lead, checked": lead_start(&question, Some(&OwnCheck { lead: Kilograms(x), ..check })),
        "lead, checked water": lead_start(&question, Some(&OwnCheck { water: KilogramsPerCubicMetre(x), ..check })),
        "lead, checked pressure": lead_start(&question, Some(&OwnCheck { pressure: GaugeBar(x), ..check })),
        "lead, kit mass": lead_start(&question, Some(&OwnCheck { kit_mass: Kilograms(x), ..check })),
        "breathing, start": surface_rate(&BreathingDive { start: GaugeBar(x), ..dive.clone() }),
        "breathing, end": surface_rate(&BreathingDive { end: GaugeBar(x), ..dive.clone() }),
        "breathing, depth": surface_rate(&BreathingDive { exposure: Exposure::Average { depth: Metres(x), time: Minutes(35.0) }, ..dive.clone() }),
        "breathing, time": surface_rate(&BreathingDive { exposure: Exposure::Average { depth: Metres(12.0), time: Minutes(x) }, ..dive.clone() }),
        "breathing, history": rate_history(&[LitresPerMinute(x)]),
        "reserve, depth": keep(AscentPlan { depth: Metres(x), ..plan }, 30.0, 12.0),
        "reserve, reaction": keep(AscentPlan { reaction: Minutes(x), ..plan }, 30.0, 12.0),
        "reserve, speed": keep(AscentPlan { rate: MetresPerMinute(x), ..plan }, 30.0, 12.0),
        "reserve, stop": keep(AscentPlan { stop: Metres(x), ..plan }, 30.0, 12.0),
        "reserve, stop time": keep(AscentPlan { stop_time: Minutes(x), ..plan }, 30.0, 12.0),
        "reserve, rate": keep(plan, x, 12.0),
        "reserve, capacity": keep(plan, 30.0, x),
        "turn, start": turn_pressure(GaugeBar(x), GaugeBar(50.0), TurnRule::Thirds),
        "turn, reserve": turn_pressure(GaugeBar(200.0), GaugeBar(x), TurnRule::Thirds),
        "no-stop, depth": no_stop(Metres(x), None),
        "no-stop, bottom": no_stop_end(Metres(18.0), None, Minutes(x)),
        "no-stop, interval": after_interval(Group::C, Minutes(x)),
        "day, depth": day_plan(&[PlannedDive { depth: Metres(x), ..day[0] }], NoStopSite::SEA),
        "day, bottom": day_plan(&[PlannedDive { bottom: Minutes(x), ..day[0] }], NoStopSite::SEA),
        "day, altitude": day_plan(&day, NoStopSite { altitude: Metres(x), since_arrival: None }),
        "day, arrival": day_plan(&day, NoStopSite { altitude: Metres(1500.0), since_arrival: Some(Minutes(x)) }),
        "model, pressure": rested.no_stop(Bar(x), SEA_LEVEL, air, GradientFactors::USUAL),
        "model, surface": rested.no_stop(Bar(3.0), Bar(x), air, GradientFactors::USUAL),
        "model, factor": rested.no_stop(Bar(3.0), SEA_LEVEL, air, GradientFactors { low: Percent(10.0), high: Percent(x) }),
        "model, stay": rested.after_stay(Bar(3.0), Minutes(x), air),
        "model, change": rested.after_change(Bar(3.0), Bar(x), Minutes(3.0), air),
        "flying, altitude": flying_wait(DivesBefore::Repetitive, None, Metres(x)),
        "ascent, depth": ascent_report(&samples(60.0, x), NAVY_RATE, Resolution::USUAL),
        "ascent, time": ascent_report(&samples(x, 18.0), NAVY_RATE, Resolution::USUAL),
        "ascent, limit": ascent_report(&samples(60.0, 18.0), MetresPerMinute(x), Resolution::USUAL),
        "ascent, resolution": ascent_report(&samples(60.0, 18.0), NAVY_RATE, Resolution { depth: Metres(x), ..Resolution::USUAL }),
        "count, depth": count_ascents(&samples(60.0, 18.0), Metres(x)),
        "posterior, mark": posterior(3, 5, Share(x), Level::NinetyFive),
    ]
}

#[test]
fn nonsense_is_refused_by_every_calculation() {
    for nonsense in [
        f64::NAN,
        f64::INFINITY,
        f64::NEG_INFINITY,
        -1e12,
        -1000.0,
        1e12,
        f64::MAX,
    ] {
        for (name, answer) in every_calculation(nonsense) {
            let refused = answer.expect_err(name);
            assert!(
                refused.lowest.value.is_finite() && refused.highest.value.is_finite(),
                "{name}: {refused}"
            );
            assert!(
                refused.lowest.value <= refused.highest.value,
                "{name}: {refused}"
            );
            assert!(!refused.to_string().is_empty());
        }
    }
}

proptest! {
    #![proptest_config(super::cases())]

    #[test]
    fn an_answer_never_holds_what_is_no_number(x in prop_oneof![-50.0..1200.0_f64, -5.0..50.0_f64, -0.01..2.0_f64]) {
        for (name, answer) in every_calculation(x) {
            match answer {
                Ok(text) => prop_assert!(!text.contains("NaN") && !text.contains("inf"), "{} of {}: {}", name, x, text),
                Err(refused) => prop_assert!(refused.to_string().contains("is outside"), "{}", refused),
            }
        }
    }
}
