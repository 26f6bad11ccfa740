//! What ends a dive first, who turns earlier than a class expects, from when one may fly, and
//! whose body a weight is of.

use super::Eyes;
use crate::calc::no_stop::Limit as NoStopLimit;
use crate::calc::outside::Quantity;
use crate::calc::reserve::{GivesTo, TurnRule};
use crate::calc::unit::MinutesWhole;
use crate::course::{BodyMeasures, DiveLog, GasUsed, SessionId, Setting, WaterKind};
use crate::entry::{DiveLogged, SessionCancelled, SessionPlanned, Who};
use crate::standing::sample::{OFFICE, RENATE, Sample, plan, session, student, time};
use crate::view::{EarliestView, ExposureView, GasView, LimitedBy, NextDive, WeightingView};

/// The sample with an open-water session 9 at this depth.
fn open_water(cm: u32) -> Sample {
    let mut sample = Sample::new();
    let mut plan = plan(Setting::Open, "2026-06-06T14:00:00+02:00");
    plan.water.max_depth_cm = Some(cm);
    let session = session(9);
    sample.add(OFFICE, &[], SessionPlanned { session, plan });
    sample
}

fn gas(sample: &Sample, rule: TurnRule) -> GasView {
    let eyes = Eyes::new();
    GasView::of(&sample.now, &[], &eyes.reader(RENATE), &session(9), rule).unwrap()
}

fn day(sample: &Sample, id: &SessionId, now: &str) -> ExposureView {
    let eyes = Eyes::new().at(now);
    let reader = eyes.reader(RENATE);
    let plan = &sample.now.sessions()[id].plan;
    let next = NextDive::of(id, plan, time(now), false).unwrap();
    ExposureView::of(&sample.now, &[], &reader, &next)
}

fn logged(sample: &mut Sample, who: Who, down: &str, up: &str, gas: Option<GasUsed>) {
    let log = DiveLog {
        down: time(&format!("2026-06-06T{down}:00+02:00")),
        up: time(&format!("2026-06-06T{up}:00+02:00")),
        max_depth_cm: 1_200,
        mean_depth_cm: Some(1_000),
        ascents: None,
        gas,
        water: WaterKind::Fresh,
        temperature_dc: Some(180),
        profile: Vec::new(),
    };
    let session = None;
    sample.add(
        RENATE,
        &[],
        DiveLogged {
            who,
            session,
            site: None,
            log,
        },
    );
}

#[test]
fn the_headline_is_the_first_of_all_that_ends_the_dive_and_says_which() {
    let sample = open_water(1_200);
    let gas = gas(&sample, TurnRule::ThereAndBack);
    let day = day(&sample, &session(9), "2026-06-06T09:00:00+02:00");
    // 12 m: a no-stop time of more than two hours, and gas for much less.
    let Some(NoStopLimit::Minutes(no_stop)) = day.limit else {
        panic!("{:?}", day.limit)
    };
    assert!(no_stop.0 > 120, "{no_stop:?}");
    let of = |cold| EarliestView::of(&gas, Some(&day), MinutesWhole(90), cold).unwrap();
    let view = of(None);
    let first = view.first.clone().unwrap();
    assert_eq!(first.by, LimitedBy::Gas);
    assert!(first.whose.is_some());
    // By hand: 12 L at 200 bar down to the reserve, at 20 L/min and 12 m of fresh water.
    let mine = gas
        .staff
        .iter()
        .chain(&gas.students)
        .map(|row| row.reserve.unwrap());
    let most = mine.map(|one| one.reserve.pressure.0).fold(0.0, f64::max);
    let ideal = (200.0 - most) * 12.0 / (20.0 * 2.19);
    let minutes = f64::from(first.minutes.0);
    assert!(
        minutes <= ideal && minutes > ideal * 0.9 - 1.0,
        "{minutes} of {ideal}"
    );
    assert_eq!(
        view.then.iter().map(|ends| ends.by).collect::<Vec<_>>(),
        [LimitedBy::Plan, LimitedBy::NoStop]
    );
    assert_eq!(view.without, [LimitedBy::Cold]);

    let cold = of(Some(MinutesWhole(15)));
    assert_eq!(cold.first.unwrap().by, LimitedBy::Cold);
    assert!(cold.without.is_empty());

    for nonsense in [0, 4, 181, u32::MAX] {
        let refused = EarliestView::of(
            &gas,
            Some(&day),
            MinutesWhole(90),
            Some(MinutesWhole(nonsense)),
        );
        let refused = refused.unwrap_err();
        assert_eq!(
            (refused.what, refused.lowest.value, refused.highest.value),
            (Quantity::DiveTime, 5.0, 180.0)
        );
    }
}

#[test]
fn where_gas_or_no_stop_time_cannot_be_said_the_headline_says_so() {
    let mut sample = Sample::new();
    let mut without = plan(Setting::Open, "2026-06-06T14:00:00+02:00");
    without.water.max_depth_cm = None;
    let session = session(9);
    sample.add(
        OFFICE,
        &[],
        SessionPlanned {
            session,
            plan: without,
        },
    );
    let gas = gas(&sample, TurnRule::Thirds);
    let view = EarliestView::of(&gas, None, MinutesWhole(90), None).unwrap();
    assert_eq!(view.first.unwrap().by, LimitedBy::Plan);
    assert_eq!(
        view.without,
        [LimitedBy::Gas, LimitedBy::NoStop, LimitedBy::Cold]
    );
}

#[test]
fn staff_like_the_class_are_no_warning_and_an_assistant_shares_with_one() {
    let mut sample = open_water(1_800);
    let equal = gas(&sample, TurnRule::ThereAndBack);
    let gives: Vec<_> = equal.staff.iter().map(|row| row.gives_to).collect();
    assert_eq!(gives, [Some(GivesTo::Two), Some(GivesTo::One)]);
    assert!(
        equal.staff.iter().all(|row| row.early.is_none()),
        "a warning that is always there"
    );
    let kept = |row: &crate::view::GasRow| row.reserve.unwrap().reserve.litres;
    assert!(kept(&equal.staff[0]) > kept(&equal.staff[1]));

    // The instructor empties a ten by 150 bar in half an hour at ten metres: 25 L/min and more.
    let used = GasUsed {
        capacity_dl: 100,
        start_mbar: 200_000,
        end_mbar: 50_000,
        oxygen_permille: 209,
    };
    logged(
        &mut sample,
        Who::Staff(RENATE.staff),
        "09:00",
        "09:30",
        Some(used),
    );
    let hungry = gas(&sample, TurnRule::ThereAndBack);
    let early = hungry.staff[0].early.unwrap();
    assert!(early.by > MinutesWhole(0));
    assert!(early.larger.is_some_and(|litres| litres.0 > 10.0));
}

#[test]
fn two_no_stop_dives_and_up_at_twenty_to_one_is_no_flying_before_twenty_to_seven() {
    let mut sample = open_water(1_200);
    // What was planned for the morning and not logged would count as dived.
    let why = "Thunder.".to_owned();
    let morning = session(3);
    sample.add(
        OFFICE,
        &[],
        SessionCancelled {
            session: morning,
            why,
        },
    );
    let one = Who::Student(student(1));
    logged(&mut sample, one, "09:30", "10:00", None);
    logged(&mut sample, one, "12:10", "12:40", None);
    logged(
        &mut sample,
        Who::Student(student(2)),
        "12:10",
        "12:30",
        None,
    );
    let view = day(&sample, &session(9), "2026-06-06T14:00:00+02:00");
    let of = |who: Who| view.people.iter().find(|row| row.who.who() == who).unwrap();
    // Flying After Recreational Diving, workshop 2002: 18 hours after several dives, 12 after one.
    let clock = |row: &crate::view::ExposureRow| row.fly_from.unwrap().at.at;
    assert_eq!(clock(of(one)), time("2026-06-07T06:40:00+02:00"));
    assert_eq!(
        clock(of(Who::Student(student(2)))),
        time("2026-06-07T00:30:00+02:00")
    );
    let class = view.fly_from.unwrap();
    assert_eq!(
        (class.at.at, class.longer),
        (time("2026-06-07T06:40:00+02:00"), false)
    );
    assert_eq!(of(Who::Staff(RENATE.staff)).fly_from, None);
}

#[test]
fn a_body_is_nobodys_until_it_is_typed_and_then_the_students_own() {
    let sample = Sample::new();
    let mut eyes = Eyes::new();
    let of = |eyes: &Eyes| {
        WeightingView::of(&sample.now, &eyes.reader(RENATE), &student(1), None).unwrap()
    };
    let before = of(&eyes);
    assert_eq!(
        (before.height, before.mass, before.age),
        (None, None, Some(36))
    );
    let details = eyes.people.students.get_mut(&student(1)).unwrap();
    details.body = Some(BodyMeasures {
        height_mm: 1_685,
        weight_g: 61_500,
    });
    let after = of(&eyes);
    assert_eq!(after.height.unwrap().to_string(), "168.5 cm");
    assert_eq!(after.mass.unwrap().to_string(), "61.5 kg");
}
