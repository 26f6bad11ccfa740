//! The dissolved-gas model against another implementation and a printed table.

use dive_deco::{BuhlmannConfig, BuhlmannModel, DecoModel, Depth, Gas, Time};
use tallywater_core::calc::cylinder::Mix;
use tallywater_core::calc::no_stop::{GradientFactors, ModelLimit, Tissues};
use tallywater_core::calc::unit::{Bar, Minutes, MinutesWhole, Percent};

use super::{Check, hold, published};

const TOP: Bar = Bar(1.013);

pub(super) fn checks() -> Vec<Check> {
    [
        other_implementation(),
        at_altitude(),
        repetitive(),
        slow_tissues(),
        printed_table(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn at(metres: f64, surface: Bar) -> Bar {
    Bar(surface.0 + metres / 10.0)
}

fn minutes(limit: ModelLimit) -> f64 {
    match limit {
        ModelLimit::Minutes(MinutesWhole(minutes)) => f64::from(minutes),
        ModelLimit::LongerThan(_) => f64::INFINITY,
    }
}

fn ours(metres: f64, surface: Bar, factors: GradientFactors) -> f64 {
    minutes(
        Tissues::used_to(surface)
            .unwrap()
            .no_stop(at(metres, surface), surface, Mix::Air, factors)
            .unwrap(),
    )
}

fn other(surface_millibar: i32, high: u8) -> BuhlmannModel {
    BuhlmannModel::new(
        BuhlmannConfig::new()
            .with_surface_pressure(surface_millibar)
            .with_gradient_factors(high, high),
    )
}

fn air() -> Gas {
    Gas::new(0.21, 0.0)
}

fn factors(high: u8) -> GradientFactors {
    GradientFactors {
        low: Percent(f64::from(high)),
        high: Percent(f64::from(high)),
    }
}

/// The crate gives whole minutes and stops at 99; deeper than 15 m neither matters.
fn other_implementation() -> Vec<Check> {
    let source = "crate dive-deco 6.1.2, ZHL-16C, 0.1 bar a metre, no-stop limit in whole minutes";
    let depths = [
        15.0, 18.0, 20.0, 21.0, 24.0, 27.0, 30.0, 33.0, 36.0, 39.0, 42.0,
    ];
    [100, 85, 70]
        .into_iter()
        .flat_map(|high| depths.map(|metres| (high, metres)))
        .map(|(high, metres)| {
            let mut model = other(1013, high);
            model.record(Depth::from_meters(metres), Time::zero(), &air());
            published! { source: source, given: format!("{metres} m, factors {high}/{high}"), ours: ours(metres, TOP, factors(high)), expect: model.ndl().as_minutes(), within: 0.0 }
        })
        .collect()
}

fn at_altitude() -> Vec<Check> {
    let source = "crate dive-deco 6.1.2, ZHL-16C, surface pressures of 899 and 795 mbar";
    [899, 795]
        .into_iter()
        .map(|millibar| {
            let mut model = other(millibar, 100);
            model.record(Depth::from_meters(18.0), Time::zero(), &air());
            let surface = Bar(f64::from(millibar) / 1000.0);
            published! { source: source, given: format!("18 m under {millibar} mbar"), ours: ours(18.0, surface, GradientFactors::PUBLISHED), expect: model.ndl().as_minutes(), within: 0.0 }
        })
        .collect()
}

/// 35 minutes at 18 m, up at 9 m/min, an hour at the surface, 18 m again.
fn repetitive() -> Vec<Check> {
    let source = "crate dive-deco 6.1.2, ZHL-16C, a repetitive dive";
    [(85, 60.0), (85, 120.0), (70, 90.0)]
        .into_iter()
        .map(|(high, interval)| {
            let mut model = other(1013, high);
            model.record(Depth::from_meters(18.0), Time::from_minutes(35.0), &air());
            model.record_travel(Depth::zero(), Time::from_minutes(2.0), &air());
            model.record(Depth::zero(), Time::from_minutes(interval), &air());
            model.record(Depth::from_meters(18.0), Time::zero(), &air());

            let tissues = Tissues::used_to(TOP)
                .and_then(|tissues| tissues.after_stay(at(18.0, TOP), Minutes(35.0), Mix::Air))
                .and_then(|tissues| tissues.after_change(at(18.0, TOP), TOP, Minutes(2.0), Mix::Air))
                .and_then(|tissues| tissues.after_stay(TOP, Minutes(interval), Mix::Air))
                .unwrap();
            let limit = tissues.no_stop(at(18.0, TOP), TOP, Mix::Air, factors(high)).unwrap();
            published! { source: source, given: format!("after {interval} min, factors {high}/{high}"), ours: minutes(limit), expect: model.ndl().as_minutes(), within: 0.0 }
        })
        .collect()
}

/// Hours in shallow water fill the slow compartments, which then set the limit.
fn slow_tissues() -> Vec<Check> {
    let source = "crate dive-deco 6.1.2, ZHL-16C, a long shallow stay before the dive";
    [
        (8.0, 240.0, 10.0, 15.0),
        (10.0, 240.0, 30.0, 15.0),
        (10.0, 480.0, 60.0, 15.0),
        (12.0, 600.0, 120.0, 15.0),
        (12.0, 1200.0, 240.0, 15.0),
        (12.0, 3000.0, 480.0, 12.0),
        (14.0, 5000.0, 700.0, 12.0),
    ]
    .into_iter()
    .map(|(shallow, stay, interval, deep)| {
        let mut model = other(1013, 85);
        model.record(Depth::from_meters(shallow), Time::from_minutes(stay), &air());
        model.record(Depth::zero(), Time::from_minutes(interval), &air());
        model.record(Depth::from_meters(deep), Time::zero(), &air());
        let theirs = model.ndl().as_minutes();
        let tissues = Tissues::used_to(TOP)
            .and_then(|tissues| tissues.after_stay(at(shallow, TOP), Minutes(stay), Mix::Air))
            .and_then(|tissues| tissues.after_stay(TOP, Minutes(interval), Mix::Air))
            .unwrap();
        let limit = tissues.no_stop(at(deep, TOP), TOP, Mix::Air, factors(85)).unwrap();
        // The crate stops counting at 99.
        let ours = minutes(limit).min(99.0);
        published! { source: source, given: format!("{stay} min at {shallow} m, {interval} min up, {deep} m"),
            ours: ours, expect: theirs, within: 0.0 }
    })
    .collect()
}

fn printed_table() -> Vec<Check> {
    let source = "Bühlmann 1986 air table, no-stop times, 0 to 700 m above sea level (from memory)";
    [(12.0, 125.0), (15.0, 75.0), (18.0, 51.0), (21.0, 35.0), (24.0, 25.0)]
        .into_iter()
        .map(|(metres, printed)| {
            published! { source: source, given: format!("{metres} m"), ours: ours(metres, TOP, GradientFactors::PUBLISHED), expect: printed, within: 0.0,
                differs: "the printed table adds margins to depth and pressure that the bare model has not; it is always the shorter, as the table of this tool and the usual factors are" }
        })
        .collect()
}

#[test]
fn the_model_is_the_published_one() {
    hold(&checks());
}

#[test]
fn the_usual_factors_are_no_longer_than_the_printed_table() {
    for check in printed_table() {
        let metres: f64 = check.given.trim_end_matches(" m").parse().unwrap();
        if metres >= 15.0 {
            let usual = ours(metres, TOP, GradientFactors::USUAL);
            assert!(
                usual <= check.expect,
                "{metres} m: {usual} and {}",
                check.expect
            );
        }
    }
}
