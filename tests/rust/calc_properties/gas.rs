//! Cylinder contents, breathing, reserve and ascent.

use proptest::prelude::*;
use tallywater_core::calc::ascent::{NAVY_RATE, Resolution, Verdict, ascent_report};
use tallywater_core::calc::breathing::{
    BreathingDive, Exposure, rate_history, stressed, surface_rate,
};
use tallywater_core::calc::cylinder::{Mix, contents, gas_density, pressure_holding};
use tallywater_core::calc::profile::Sample;
use tallywater_core::calc::reserve::{
    AscentPlan, ClassDiver, FLOOR, GivesTo, Turn, TurnRule, class_reserve, minimum_reserve,
    turn_pressure,
};
use tallywater_core::calc::unit::*;

use super::{SEA, any_column};

fn any_mix() -> impl Strategy<Value = Mix> {
    prop_oneof![
        Just(Mix::Air),
        (21.0..40.0_f64).prop_map(|oxygen| Mix::Nitrox(Percent(oxygen)))
    ]
}

fn pressure(turn: Turn) -> f64 {
    match turn {
        Turn::At { pressure, .. } => pressure.0,
        Turn::NotEnough { .. } => f64::INFINITY,
    }
}

proptest! {
    #![proptest_config(super::cases())]

    #[test]
    fn more_pressure_is_more_gas_and_warmer_gas_is_less(mix in any_mix(), litres in 3.0..20.0_f64, bar in 0.0..300.0_f64, celsius in -2.0..49.0_f64) {
        let held = |bar, celsius| contents(Litres(litres), GaugeBar(bar), Celsius(celsius), mix).unwrap();
        let now = held(bar, celsius);
        prop_assert!(now.mass.0 > 0.0 && now.real.0 > 0.0 && now.ideal.0 >= 0.0);
        prop_assert!(held(bar + 1.0, celsius).mass > now.mass);
        prop_assert!(held(bar, celsius + 1.0).mass < now.mass);
        let density = gas_density(mix, GaugeBar(bar).absolute(Bar(1.01325)), Celsius(celsius)).unwrap();
        prop_assert!((density.0 * litres / 1e3 - now.mass.0).abs() < 1e-9);
    }

    #[test]
    fn more_gas_used_never_leaves_more(mix in any_mix(), litres in 5.0..18.0_f64, start in 100.0..230.0_f64, used in 0.0..90.0_f64) {
        let left = |used| contents(Litres(litres), GaugeBar(start - used), Celsius(15.0), mix).unwrap();
        prop_assert!(left(used + 5.0).real < left(used).real && left(used + 5.0).ideal < left(used).ideal);
    }

    #[test]
    fn a_pressure_that_holds_a_gas_is_never_below_the_rule_of_thumb(mix in any_mix(), litres in 5.0..18.0_f64, gas in 10.0..1400.0_f64) {
        let needs = pressure_holding(Litres(gas), Litres(litres), Celsius(15.0), mix).unwrap();
        prop_assert!(needs.0 >= gas / litres - 1e-9);
    }

    #[test]
    fn psi_and_bar_hold_the_same_to_the_printed_litre(litres in 5.0..18.0_f64, psi in 100.0..4000.0_f64, fahrenheit in 30.0..110.0_f64) {
        let metric = contents(Litres(litres), GaugeBar(psi * 0.068_947_572_931_683_6), Celsius((fahrenheit - 32.0) / 1.8), Mix::Air).unwrap();
        let imperial = contents(CubicFeet::from(Litres(litres)).into(), GaugePsi(psi).into(), Fahrenheit(fahrenheit).into(), Mix::Air).unwrap();
        prop_assert_eq!(format!("{:.2}", metric.real.0), format!("{:.2}", imperial.real.0));
    }

    #[test]
    fn a_diver_who_used_more_breathed_more(column in any_column(), depth in 3.0..30.0_f64, minutes in 20.0..50.0_f64, end in 60.0..90.0_f64) {
        let rate = |end: f64| {
            let exposure = Exposure::Average { depth: Metres(depth), time: Minutes(minutes) };
            surface_rate(&BreathingDive {
                capacity: Litres(12.0), mix: Mix::Air, start: GaugeBar(200.0), end: GaugeBar(end), start_temperature: Celsius(15.0), end_temperature: Celsius(15.0), column, exposure,
            })
        };
        if let (Ok(more), Ok(less)) = (rate(end), rate(end + 10.0)) {
            prop_assert!(more.real > less.real && more.ideal > less.ideal);
        }
    }

    #[test]
    fn a_plan_never_counts_on_less_than_the_default_or_the_own_mean(rates in proptest::collection::vec(8.0..60.0_f64, 0..12)) {
        let own: Vec<LitresPerMinute> = rates.iter().copied().map(LitresPerMinute).collect();
        let history = rate_history(&own).unwrap();
        prop_assert!(history.plan_with.0 >= history.mean.0 - 1e-9);
        prop_assert!(own.len() >= 3 || history.plan_with.0 >= 20.0);
        prop_assert!(history.lowest <= history.highest);
        prop_assert!(stressed(history.plan_with).unwrap() >= history.plan_with);
    }

    #[test]
    fn deeper_slower_and_hungrier_never_keep_less(
        column in any_column(), depth in 0.0..39.0_f64, rate in 12.0..40.0_f64, speed in 4.0..17.0_f64, reaction in 0.0..3.0_f64,
    ) {
        let keep = |depth: f64, rate: f64, speed: f64| {
            let plan = AscentPlan { reaction: Minutes(reaction), rate: MetresPerMinute(speed), ..AscentPlan::usual(Metres(depth)) };
            minimum_reserve(&plan, &[LitresPerMinute(rate); 2], Litres(15.0), Celsius(15.0), Mix::Air, column).unwrap()
        };
        let now = keep(depth, rate, speed);
        prop_assert!(now.pressure >= FLOOR);
        prop_assert!(keep(depth + 1.0, rate, speed).pressure >= now.pressure);
        prop_assert!(keep(depth, rate + 1.0, speed).pressure >= now.pressure);
        prop_assert!(keep(depth, rate, speed + 1.0).pressure <= now.pressure);
        // Rounded up in both units, from one exact figure.
        let parts = now.parts;
        let exact = parts.reaction.0 + parts.ascent.0 + parts.stop.0 + parts.last.0;
        prop_assert!(now.litres.0 >= exact - 1e-6 && now.litres.0 < exact + 1.0);
        let needs = pressure_holding(Litres(exact), Litres(15.0), Celsius(15.0), Mix::Air).unwrap();
        prop_assert!(now.pressure.0 >= needs.0 - 1e-6 && GaugeBar::from(now.psi).0 >= needs.0 - 1e-6);
    }

    #[test]
    fn feet_and_metres_keep_the_same_bar(feet in 10.0..130.0_f64, cubic in 0.5..1.4_f64) {
        let keep = |depth: Metres, rate: LitresPerMinute, speed: MetresPerMinute| {
            let plan = AscentPlan { rate: speed, ..AscentPlan::usual(depth) };
            minimum_reserve(&plan, &[rate; 2], Litres(15.0), Celsius(15.0), Mix::Air, SEA).unwrap()
        };
        let metric = keep(Metres(feet * 0.3048), LitresPerMinute(cubic * 28.316_846_592), MetresPerMinute(9.144));
        let imperial = keep(Feet(feet).into(), CubicFeetPerMinute(cubic).into(), FeetPerMinute(30.0).into());
        prop_assert_eq!((metric.pressure, metric.psi, metric.litres), (imperial.pressure, imperial.psi, imperial.litres));
    }

    #[test]
    fn a_turn_is_never_below_the_reserve_and_each_rule_is_earlier(start in 0.0..300.0_f64, reserve in 50.0..120.0_f64) {
        let at = |rule| pressure(turn_pressure(GaugeBar(start), GaugeBar(reserve), rule).unwrap());
        let (direct, back, thirds) = (at(TurnRule::DirectAscent), at(TurnRule::ThereAndBack), at(TurnRule::Thirds));
        prop_assert!(direct >= reserve - 1e-6 && back >= direct && thirds >= back);
        prop_assert!(start > reserve || direct.is_infinite());
    }

    #[test]
    fn the_first_to_turn_is_the_first_to_turn(
        rates in proptest::collection::vec(10.0..40.0_f64, 1..9), starts in proptest::collection::vec(60.0..220.0_f64, 9), depth in 5.0..30.0_f64,
    ) {
        let diver = |rate: f64, start: f64| ClassDiver { rate: LitresPerMinute(rate), capacity: Litres(12.0), mix: Mix::Air, start: GaugeBar(start) };
        let students: Vec<ClassDiver> = rates.iter().zip(&starts).map(|(rate, start)| diver(*rate, *start)).collect();
        let class = class_reserve(&AscentPlan::usual(Metres(depth)), TurnRule::ThereAndBack, &students, &diver(15.0, 200.0), GivesTo::Two, Celsius(15.0), SEA).unwrap();
        let first = usize::try_from(class.first_to_turn.unwrap()).unwrap();
        let earliest = class.students[first].until_turn;
        prop_assert!(class.students.iter().all(|student| student.until_turn >= earliest));
        // The instructor may have to give to two, a student to one.
        let mine = class.staff.reserve.litres;
        prop_assert!(students.len() < 2 || class.students.iter().all(|student| mine >= student.reserve.litres));
    }

    #[test]
    fn a_steady_ascent_below_the_limit_is_never_called_fast_whatever_the_computer(
        rate in 1.0..9.1_f64, from in 8.0..30.0_f64, every in 1_u32..20, offset in 0.0..0.1_f64,
    ) {
        // Depth to the tenth of a metre and time to the second, as a computer truncates both.
        let seconds = from / rate * 60.0;
        let samples: Vec<Sample> = (0..)
            .map(|index| f64::from(index * every))
            .take_while(|time| *time < seconds)
            .map(|time| Sample { time: Seconds(time.floor()), depth: Metres(((from - rate / 60.0 * time + offset) * 10.0).floor().max(0.0) / 10.0) })
            .collect();
        prop_assume!(samples.len() >= 2);
        let report = ascent_report(&samples, NAVY_RATE, Resolution::USUAL).unwrap();
        prop_assert_ne!(report.verdict, Verdict::TooFast, "{:?}", report);
    }

    #[test]
    fn an_ascent_at_half_again_the_limit_is_always_called_fast(rate in 13.8..30.0_f64, from in 15.0..30.0_f64) {
        let seconds = (from / rate * 60.0).floor();
        let samples: Vec<Sample> = (0_u32..)
            .map(f64::from)
            .take_while(|time| *time <= seconds)
            .map(|time| Sample { time: Seconds(time), depth: Metres(((from - rate / 60.0 * time) * 10.0).round().max(0.0) / 10.0) })
            .collect();
        let report = ascent_report(&samples, NAVY_RATE, Resolution::USUAL).unwrap();
        prop_assert_eq!(report.verdict, Verdict::TooFast);
        prop_assert!(report.sustained <= report.fastest);
    }
}
