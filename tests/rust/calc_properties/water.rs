//! Water, suit and lead.

use proptest::prelude::*;
use tallywater_core::calc::cylinder::{CylinderSize, Mix, buoyancy_range, starter_sizes};
use tallywater_core::calc::lead::{
    DropQuestion, DropVerdict, LeadQuestion, LeadSource, OwnCheck, WornLead, drop_lead, judge_worn,
    lead_start,
};
use tallywater_core::calc::suit::{BodySize, Suit, SuitAge, SuitKind, suit_buoyancy};
use tallywater_core::calc::unit::*;
use tallywater_core::calc::water::{
    Sea, Water, WaterColumn, altitude_of, density, surface_pressure,
};

use super::{SEA, any_column};

fn any_size() -> impl Strategy<Value = CylinderSize> {
    proptest::sample::select(starter_sizes())
}

fn any_suit() -> impl Strategy<Value = Suit> {
    let kind = proptest::sample::select(vec![
        SuitKind::None,
        SuitKind::Shorty,
        SuitKind::OnePiece,
        SuitKind::TwoPiece,
        SuitKind::DryMembrane,
    ]);
    let age = proptest::sample::select(vec![SuitAge::New, SuitAge::Worn]);
    (kind, 1.0..10.0_f64, age).prop_map(|(kind, thickness, age)| Suit {
        kind,
        thickness: Millimetres(thickness),
        age,
    })
}

fn any_body() -> impl Strategy<Value = BodySize> {
    (145.0..195.0_f64, 30.0..130.0_f64).prop_map(|(height, mass)| BodySize {
        height: Centimetres(height),
        mass: Kilograms(mass),
    })
}

prop_compose! {
    fn any_question()(body in any_body(), age in 18_u32..71, suit in any_suit(), column in any_column(), cylinder in any_size(), celsius in 0.0..32.0_f64, kit in -3.0..3.0_f64) -> LeadQuestion {
        LeadQuestion { body, age, suit, column, cylinder, mix: Mix::Air, reserve: GaugeBar(50.0), temperature: Celsius(celsius), kit: Kilograms(kit) }
    }
}

proptest! {
    #![proptest_config(super::cases())]

    #[test]
    fn saltier_water_is_heavier_and_all_water_is_water(salinity in 0.0..41.0_f64, celsius in -2.0..40.0_f64) {
        let at = |salinity| density(Water::Salinity(PracticalSalinity(salinity)), Celsius(celsius)).unwrap().0;
        prop_assert!(at(salinity + 1.0) > at(salinity));
        prop_assert!((985.0..1035.0).contains(&at(salinity)));
    }

    #[test]
    fn fahrenheit_and_celsius_print_the_same_density(fahrenheit in 30.0..100.0_f64, place in 0_usize..18) {
        let metric = density(Water::Named(Sea::ALL[place]), Celsius((fahrenheit - 32.0) / 1.8)).unwrap();
        let imperial = density(Water::Named(Sea::ALL[place]), Fahrenheit(fahrenheit).into()).unwrap();
        prop_assert_eq!(format!("{:.3}", metric.0), format!("{:.3}", imperial.0));
    }

    #[test]
    fn deeper_is_more_pressure_and_back_is_the_same_depth(column in any_column(), depth in 0.0..199.0_f64) {
        let pressure = column.pressure_at(Metres(depth)).unwrap();
        prop_assert!(column.pressure_at(Metres(depth + 0.1)).unwrap() > pressure);
        prop_assert!((column.depth_at(pressure).unwrap().0 - depth).abs() < 1e-9);
    }

    #[test]
    fn higher_is_thinner_air(metres in -500.0..5990.0_f64) {
        let air = surface_pressure(Metres(metres)).unwrap();
        prop_assert!(surface_pressure(Metres(metres + 10.0)).unwrap() < air);
        prop_assert!((altitude_of(air).unwrap().0 - metres).abs() < 1e-6);
    }

    #[test]
    fn a_fuller_cylinder_never_floats_more(size in any_size(), celsius in -2.0..50.0_f64, column in any_column()) {
        let range = buoyancy_range(&size, GaugeBar(50.0), Celsius(celsius), Mix::Air, column.density).unwrap();
        prop_assert!(range.empty > range.reserve && range.reserve > range.full);
    }

    #[test]
    fn a_suit_never_floats_more_the_deeper_it_is(suit in any_suit(), body in any_body(), column in any_column(), depth in 0.0..59.0_f64) {
        let at = |depth| suit_buoyancy(&suit, &body, column, Metres(depth)).unwrap();
        let (above, below) = (at(depth), at(depth + 1.0));
        for (more, less) in [(above.at_depth.low, below.at_depth.low), (above.at_depth.likely, below.at_depth.likely), (above.at_depth.high, below.at_depth.high)] {
            prop_assert!(less <= more);
        }
        let spread = above.at_depth;
        prop_assert!(spread.low <= spread.likely && spread.likely <= spread.high);
    }

    #[test]
    fn lead_is_a_range_in_halves_and_never_below_none(question in any_question()) {
        let start = lead_start(&question, None).unwrap();
        let lead = start.lead;
        prop_assert!(lead.low.0 >= 0.0 && lead.low <= lead.likely && lead.likely <= lead.high);
        for kilograms in [lead.low, lead.likely, lead.high] {
            prop_assert!((kilograms.0 * 2.0).fract().abs() < 1e-9);
        }
        // Both units are rounded outwards from one exact range, so they enclose each other but for a step.
        prop_assert!((Kilograms::from(start.pounds.high).0 - lead.high.0).abs() <= 0.5 + 0.4536);
        prop_assert!((Kilograms::from(start.pounds.low).0 - lead.low.0).abs() <= 0.5 + 0.4536);
    }

    #[test]
    fn a_checked_figure_is_always_used_and_repeats_itself(question in any_question(), lead in 0.0..20.0_f64) {
        let lead = Kilograms(lead).rounded(Rounding::Nearest, Kilograms(0.5));
        let check = OwnCheck {
            lead, water: question.column.density, cylinder: question.cylinder, mix: question.mix, pressure: question.reserve,
            temperature: question.temperature, suit: question.suit, kit_mass: Kilograms(8.0),
        };
        let start = lead_start(&question, Some(&check)).unwrap();
        prop_assert_eq!(start.source, LeadSource::OwnCheck);
        prop_assert_eq!(start.lead.likely, lead);
        let judged = judge_worn(lead, &start, question.column.density).unwrap();
        prop_assert!(matches!(judged, WornLead::Within { .. }), "{:?}", judged);
    }

    #[test]
    fn heavier_water_never_needs_less_lead(question in any_question(), lead in 0.0..20.0_f64, more in 0.0..30.0_f64) {
        let check = OwnCheck {
            lead: Kilograms(lead), water: KilogramsPerCubicMetre(995.0), cylinder: question.cylinder, mix: question.mix, pressure: question.reserve,
            temperature: question.temperature, suit: question.suit, kit_mass: Kilograms(8.0),
        };
        let in_water = |density| {
            let next = LeadQuestion { column: WaterColumn { density: KilogramsPerCubicMetre(density), ..question.column }, ..question };
            lead_start(&next, Some(&check)).unwrap().lead.likely
        };
        prop_assert!(in_water(995.0 + more) >= in_water(995.0));
    }

    #[test]
    fn dropping_more_never_floats_less_and_a_deeper_drop_never_more(
        question in any_question(), ditchable in 0.0..10.0_f64, fixed in 0.0..6.0_f64, depth in 0.0..40.0_f64,
    ) {
        let drop = |ditchable: f64, fixed: f64, depth: f64| {
            drop_lead(&DropQuestion {
                trimmed: Kilograms(8.0), trimmed_at: GaugeBar(50.0), ditchable: Kilograms(ditchable), fixed: Kilograms(fixed),
                cylinder: question.cylinder, mix: Mix::Air, pressure: GaugeBar(200.0), temperature: question.temperature,
                suit: question.suit, body: question.body, column: SEA, depth: Metres(depth),
            }).unwrap()
        };
        let outcome = drop(ditchable, fixed, depth);
        // What is worn in all is one figure; moving it to the droppable side can only help.
        prop_assert!(drop(ditchable + fixed, 0.0, depth).at_surface >= outcome.at_surface);
        prop_assert!(drop(ditchable, fixed, depth + 1.0).at_depth <= outcome.at_depth);
        prop_assert!(outcome.at_depth <= outcome.at_surface);
        prop_assert_eq!(outcome.verdict == DropVerdict::PositiveAtDepth, outcome.at_depth.0 > 0.0);
    }
}
