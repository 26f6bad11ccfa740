//! The tables, the day, the model and the wait before flying.

use proptest::prelude::*;
use tallywater_core::calc::cylinder::Mix;
use tallywater_core::calc::no_stop::*;
use tallywater_core::calc::unit::*;

fn left(limit: Limit) -> u32 {
    match limit {
        Limit::Unlimited => u32::MAX,
        Limit::Minutes(minutes) => minutes.0,
    }
}

fn modelled(limit: ModelLimit) -> u32 {
    match limit {
        ModelLimit::Minutes(minutes) => minutes.0,
        ModelLimit::LongerThan(_) => u32::MAX,
    }
}

fn any_group() -> impl Strategy<Value = Group> {
    proptest::sample::select(Group::ALL.to_vec())
}

fn any_dive() -> impl Strategy<Value = PlannedDive> {
    (0.0..600.0_f64, 1.0..30.0_f64, 1.0..40.0_f64).prop_map(|(interval, depth, bottom)| {
        PlannedDive {
            interval: Minutes(interval),
            depth: Metres(depth),
            bottom: Minutes(bottom),
        }
    })
}

fn any_day() -> impl Strategy<Value = Vec<PlannedDive>> {
    proptest::collection::vec(any_dive(), 0..5)
}

proptest! {
    #![proptest_config(super::cases())]

    #[test]
    fn deeper_is_never_longer(depth in 0.0..56.0_f64, more in 0.0..1.9_f64, before in proptest::option::of(any_group())) {
        let limit = |depth| left(no_stop(Metres(depth), before).unwrap().limit);
        prop_assert!(limit(depth + more) <= limit(depth));
    }

    #[test]
    fn a_repetitive_dive_is_never_longer_than_a_first_one_and_a_heavier_group_never_longer(depth in 0.0..57.9_f64, group in any_group(), other in any_group()) {
        let limit = |before| left(no_stop(Metres(depth), before).unwrap().limit);
        prop_assert!(limit(Some(group)) <= limit(None));
        let (light, heavy) = if group < other { (group, other) } else { (other, group) };
        prop_assert!(limit(Some(heavy)) <= limit(Some(light)));
    }

    #[test]
    fn longer_and_deeper_never_end_in_a_lower_group(depth in 0.0..50.0_f64, bottom in 1.0..60.0_f64, before in proptest::option::of(any_group())) {
        let end = |depth, bottom| no_stop_end(Metres(depth), before, Minutes(bottom)).map(|end| end.group);
        if let Ok(group) = end(depth, bottom) {
            prop_assert!(before.is_none_or(|before| group >= before));
            if let Ok(longer) = end(depth, bottom + 1.0) {
                prop_assert!(longer >= group);
            }
            if let Ok(deeper) = end(depth + 1.0, bottom) {
                prop_assert!(deeper >= group);
            }
        }
    }

    #[test]
    fn a_limit_can_be_dived_and_a_minute_more_cannot(depth in 8.0..57.0_f64, before in proptest::option::of(any_group())) {
        if let Limit::Minutes(limit) = no_stop(Metres(depth), before).unwrap().limit {
            let end = |minutes: f64| no_stop_end(Metres(depth), before, Minutes(minutes));
            prop_assert_eq!(end(limit.exact().0).is_ok(), limit.0 > 0);
            let refused = end(limit.exact().0 + 0.02).unwrap_err();
            prop_assert_eq!(refused.highest, Measured::amount(limit));
        }
    }

    #[test]
    fn a_longer_interval_is_never_a_heavier_group(group in any_group(), interval in 10.0..1200.0_f64, more in 0.0..300.0_f64) {
        let place = |after| match after {
            AfterInterval::SameDive => 99,
            AfterInterval::Group(group) => i32::try_from(Group::ALL.iter().position(|one| *one == group).unwrap()).unwrap(),
            AfterInterval::NotRepetitive => -1,
        };
        let after = |interval| place(after_interval(group, Minutes(interval)).unwrap());
        prop_assert!(after(interval + more) <= after(interval));
        prop_assert!(after(interval) <= place(AfterInterval::Group(group)));
        // Rounded down: the seconds of a minute never help.
        prop_assert_eq!(after(interval), after(interval.floor()));
    }

    #[test]
    fn feet_and_metres_are_on_the_same_row(feet in 0.0..190.0_f64) {
        let metric = no_stop(Metres(feet * 0.3048), None).unwrap();
        let imperial = no_stop(Feet(feet).into(), None).unwrap();
        prop_assert_eq!(metric, imperial);
        prop_assert!(metric.row.0 >= feet - 1e-6, "never a shallower row");
    }

    #[test]
    fn an_earlier_dive_never_lengthens_the_next(day in any_day(), depth in 5.0..30.0_f64, interval in 0.0..700.0_f64) {
        let of = |dives: &[PlannedDive]| {
            let person = PersonDay { dives: dives.to_vec(), interval: Minutes(interval) };
            second_opinion(&person, Metres(depth), NoStopSite::SEA, KilogramsPerCubicMetre(1025.0), GradientFactors::USUAL).unwrap()
        };
        let (fresh, tired) = (of(&[]), of(&day));
        prop_assert!(left(tired.table) <= left(fresh.table));
        prop_assert!(modelled(tired.model) <= modelled(fresh.model));
        // The shorter governs.
        prop_assert!(left(tired.limit) <= left(tired.table));
        prop_assert!(left(tired.limit) <= modelled(tired.model));
    }

    #[test]
    fn a_class_dives_no_longer_than_anyone_in_it(days in proptest::collection::vec(any_day(), 1..6), depth in 5.0..30.0_f64) {
        let people: Vec<PersonDay> = days.into_iter().map(|dives| PersonDay { dives, interval: Minutes(75.0) }).collect();
        let class = class_limit(&people, Metres(depth), NoStopSite::SEA).unwrap();
        let shortest = class.limits.iter().map(|limit| left(*limit)).min().unwrap();
        prop_assert_eq!(left(class.limit), shortest);
        prop_assert_eq!(class.days.len(), people.len());
        if let Some(place) = class.shortest {
            prop_assert_eq!(class.limits[usize::try_from(place).unwrap()], class.limit);
        }
    }

    #[test]
    fn altitude_never_lengthens_a_dive(depth in 3.0..25.0_f64, altitude in 0.0..3000.0_f64, since in proptest::option::of(0.0..2000.0_f64)) {
        let of = |site| class_limit(&[PersonDay { dives: vec![], interval: Minutes(0.0) }], Metres(depth), site).map(|class| left(class.limit));
        let high = of(NoStopSite { altitude: Metres(altitude), since_arrival: since.map(Minutes) }).unwrap();
        prop_assert!(high <= of(NoStopSite::SEA).unwrap());
    }

    #[test]
    fn the_model_is_shorter_deeper_later_and_with_lower_factors(
        bar in 1.6..5.5_f64, more in 0.0..0.5_f64, stayed in 0.0..60.0_f64, high in 30.0..99.0_f64,
    ) {
        let top = Bar(1.013);
        let limit = |tissues: &Tissues, bar, high| {
            let factors = GradientFactors { low: Percent(20.0), high: Percent(high) };
            modelled(tissues.no_stop(Bar(bar), top, Mix::Air, factors).unwrap())
        };
        let rested = Tissues::used_to(top).unwrap();
        let tired = rested.after_stay(Bar(2.0), Minutes(stayed), Mix::Air).unwrap();
        prop_assert!(limit(&rested, bar + more, high) <= limit(&rested, bar, high));
        prop_assert!(limit(&tired, bar, high) <= limit(&rested, bar, high));
        prop_assert!(limit(&tired, bar, high) <= limit(&tired, bar, high + 1.0));
    }

    #[test]
    fn a_heavier_group_and_a_higher_cabin_never_fly_sooner(group in any_group(), other in any_group(), feet in 0.0..9000.0_f64) {
        let wait = |group, feet| match flying_wait(DivesBefore::SingleNoStop, Some(group), Feet(feet).into()).unwrap().wait {
            PublishedWait::AtLeast(minutes) => minutes.0,
            PublishedWait::LongerThan(_) | PublishedWait::Silent => u32::MAX,
        };
        let (light, heavy) = if group < other { (group, other) } else { (other, group) };
        prop_assert!(wait(heavy, feet) >= wait(light, feet));
        prop_assert!(wait(group, feet + 900.0) >= wait(group, feet));
    }
}
