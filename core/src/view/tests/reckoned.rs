//! Gas, exposure, weighting and judging: what is reckoned from what was logged.

use super::Eyes;
use crate::calc::caution::Origin;
use crate::calc::cylinder::{Mix, starter_sizes};
use crate::calc::evidence::Kappa;
use crate::calc::lead::{LeadQuestion, LeadSource, TYPICAL_KIT};
use crate::calc::no_stop::{Group, Limit as NoStopLimit, PublishedWait};
use crate::calc::reserve::TurnRule;
use crate::calc::suit::{BodySize, Suit, SuitAge, SuitKind};
use crate::calc::unit::{
    Celsius, Centimetres, GaugeBar, Kilograms, LitresPerMinute, Metres, Millimetres, MinutesWhole,
};
use crate::course::{DiveLog, GasUsed, Setting, WaterKind, WeightCheck, WeightVerdict};
use crate::entry::{DiveLogged, Mark, SessionPlanned, WeightChecked, Who};
use crate::standing::sample::{
    ODD, OFFICE, PELLE, RENATE, Sample, day, plan, session, student, time,
};
use crate::view::gas::column;
use crate::view::{
    EvidenceView, ExposureView, GasOpen, GasView, JudgingView, Limit, WeightingView,
};

const DAY: &str = "2026-06-06";

fn log(down: &str, up: &str, cm: u32) -> DiveLog {
    DiveLog {
        down: time(&format!("{DAY}T{down}:00+02:00")),
        up: time(&format!("{DAY}T{up}:00+02:00")),
        max_depth_cm: cm,
        mean_depth_cm: None,
        ascents: None,
        gas: None,
        water: WaterKind::Fresh,
        temperature_dc: Some(180),
        profile: Vec::new(),
    }
}

fn dive(sample: &mut Sample, who: Who, log: DiveLog) {
    let session = Some(session(3));
    sample.add(RENATE, &[], DiveLogged { who, session, log });
}

fn gas(sample: &Sample, n: u128) -> GasView {
    let eyes = Eyes::new();
    let rule = TurnRule::ThereAndBack;
    GasView::of(&sample.now, &eyes.reader(RENATE), &session(n), rule).unwrap()
}

#[test]
fn everybody_turns_by_their_own_dives_and_who_has_none_by_the_default() {
    let mut sample = Sample::new();
    let mut plan = plan(Setting::Open, "2026-06-06T09:00:00+02:00");
    plan.water.max_depth_cm = Some(1_800);
    let session = session(9);
    sample.add(OFFICE, &[], SessionPlanned { session, plan });
    let before = gas(&sample, 9);
    assert!(
        before
            .students
            .iter()
            .chain(&before.staff)
            .all(|row| row.rate_origin == Origin::CommonPractice
                && row.cylinder_origin == Origin::CommonPractice
                && row.dives == 0)
    );
    // Student 2 emptied a ten by 150 bar in half an hour at ten metres: 25 L/min and more.
    let hungry = DiveLog {
        mean_depth_cm: Some(1_000),
        gas: Some(GasUsed {
            capacity_dl: 100,
            start_mbar: 200_000,
            end_mbar: 50_000,
            oxygen_permille: 209,
        }),
        ..log("09:00", "09:30", 1_200)
    };
    dive(&mut sample, Who::Student(student(2)), hungry);
    let view = gas(&sample, 9);
    let row = &view.students[1];
    assert_eq!((row.dives, row.rate_origin), (1, Origin::OwnRecord));
    assert!(row.rate > LitresPerMinute(23.0) && row.rate < LitresPerMinute(27.0));
    assert_eq!(row.capacity.to_string(), "10 L");
    assert_eq!(view.first_to_turn.as_ref(), Some(&row.who));
    let turns = |row: &crate::view::GasRow| row.reserve.unwrap().until_turn;
    assert!(turns(row) < turns(&view.students[0]));
    let donor = view.staff[0].reserve.unwrap().reserve.litres;
    assert!(
        donor > row.reserve.unwrap().reserve.litres,
        "gas for two students"
    );
    assert_eq!(view.open, None);
}

#[test]
fn where_a_plan_does_not_say_enough_no_reserve_is_made_up() {
    let mut sample = Sample::new();
    // A session each: of two plans of one that were made apart a fixed order decides.
    let mut n = 10;
    let mut changed = |change: fn(&mut crate::course::SessionPlan)| {
        n += 1;
        let mut plan = plan(Setting::Open, "2026-06-06T09:00:00+02:00");
        change(&mut plan);
        let session = session(n);
        sample.add(OFFICE, &[], SessionPlanned { session, plan });
        let view = gas(&sample, n);
        assert!(view.students.iter().all(|row| row.reserve.is_none()));
        view.open
    };
    assert_eq!(
        changed(|plan| plan.water.max_depth_cm = None),
        Some(GasOpen::NoDepth)
    );
    assert_eq!(
        changed(|plan| plan.staff = vec![PELLE.staff]),
        Some(GasOpen::NoInstructor)
    );
    assert_eq!(
        changed(|plan| plan.students.clear()),
        Some(GasOpen::NoStudents)
    );
    assert_eq!(
        changed(|plan| plan.setting = Setting::Classroom),
        Some(GasOpen::Dry)
    );
    assert_eq!(
        changed(|plan| plan.water.max_depth_cm = Some(9_000)),
        Some(GasOpen::Beyond)
    );
}

#[test]
fn a_day_of_dives_is_kept_for_each_one_and_the_shortest_limit_counts() {
    let mut sample = Sample::new();
    sample.confirm_rules();
    let (taught, staff) = (Who::Student(student(1)), Who::Staff(RENATE.staff));
    dive(&mut sample, taught, log("09:00", "09:35", 1_800));
    let first = DiveLog {
        ascents: Some(3),
        ..log("09:00", "09:35", 1_800)
    };
    dive(&mut sample, staff, first);
    let second = DiveLog {
        ascents: Some(9),
        ..log("10:35", "10:50", 1_800)
    };
    dive(&mut sample, staff, second);
    let eyes = Eyes::new().at("2026-06-06T11:50:00+02:00");
    let of = |metres| ExposureView::of(&sample.now, &eyes.reader(RENATE), day(DAY), Metres(metres));
    let view = of(18.0);
    assert_eq!(view.people.len(), 2);
    let row = |who: Who| view.people.iter().find(|row| row.who.who() == who).unwrap();
    let one = row(taught);
    let lines = &one.plan.as_ref().unwrap().lines;
    // U.S. Navy Rev. 7, table 9-7: 18 m is the 60 row, 35 minutes end in group G.
    assert_eq!((lines[0].row.0, lines[0].group), (60.0, Group::G));
    let hours = |row: &crate::view::ExposureRow| match row.flying.unwrap().workshop {
        PublishedWait::AtLeast(wait) => wait.0 / 60,
        PublishedWait::LongerThan(_) | PublishedWait::Silent => 0,
    };
    assert_eq!((hours(one), hours(row(staff))), (12, 18));
    assert_eq!((row(staff).dives, row(staff).ascents), (2, 12));
    assert_eq!(row(staff).ascents_limit, Limit::Over);
    assert_eq!((one.ascents, one.ascents_limit), (1, Limit::NoRule));
    assert_eq!(view.shortest.as_ref().map(|who| who.who()), Some(staff));
    assert_eq!(view.limit, row(staff).next);
    let left = |limit: Option<NoStopLimit>| match limit {
        Some(NoStopLimit::Minutes(minutes)) => minutes.0,
        Some(NoStopLimit::Unlimited) | None => 0,
    };
    assert!(left(row(staff).next) < left(one.next));
    assert!(left(of(24.0).limit) < left(view.limit), "deeper is shorter");
}

#[test]
fn a_dive_beyond_the_table_leaves_no_next_one_and_waits_longest() {
    let mut sample = Sample::new();
    let who = Who::Student(student(1));
    dive(&mut sample, who, log("09:00", "10:10", 1_800));
    let eyes = Eyes::new().at("2026-06-06T12:00:00+02:00");
    let reader = eyes.reader(RENATE);
    let view = ExposureView::of(&sample.now, &reader, day(DAY), Metres(12.0));
    let row = &view.people[0];
    assert!(row.plan.as_ref().unwrap().beyond.is_some());
    assert_eq!(row.next, Some(NoStopLimit::Minutes(MinutesWhole(0))));
    assert!(matches!(
        row.flying.unwrap().workshop,
        PublishedWait::LongerThan(_)
    ));
    assert!(
        ExposureView::of(&sample.now, &reader, day("2026-06-07"), Metres(12.0))
            .people
            .is_empty()
    );
}

fn question() -> LeadQuestion {
    LeadQuestion {
        body: BodySize {
            height: Centimetres(175.0),
            mass: Kilograms(75.0),
        },
        suit: Suit {
            kind: SuitKind::OnePiece,
            thickness: Millimetres(5.0),
            age: SuitAge::Worn,
        },
        column: column(WaterKind::Fresh, Celsius(15.0)).unwrap(),
        cylinder: starter_sizes()[9],
        mix: Mix::Air,
        reserve: GaugeBar(50.0),
        temperature: Celsius(15.0),
        kit: TYPICAL_KIT,
    }
}

#[test]
fn a_checked_figure_beats_the_estimate_and_only_one_that_held() {
    let mut sample = Sample::new();
    let eyes = Eyes::new();
    let start = |sample: &Sample, question: &LeadQuestion| {
        WeightingView::of(&sample.now, &eyes.reader(RENATE), &student(1), question).unwrap()
    };
    let check = |sample: &mut Sample, lead_g, verdict| {
        let check = WeightCheck {
            lead_g,
            water: WaterKind::Fresh,
            suit: "5 mm".to_owned(),
            capacity_dl: 120,
            cylinder: "steel".to_owned(),
            pressure_mbar: 50_000,
            verdict,
        };
        let student = student(1);
        let session = None;
        sample.add(
            RENATE,
            &[],
            WeightChecked {
                student,
                session,
                check,
            },
        );
    };
    check(&mut sample, 9_000, WeightVerdict::Heavy);
    let estimate = start(&sample, &question());
    assert_eq!(
        (estimate.start.source, estimate.last),
        (LeadSource::Estimate, None)
    );
    check(&mut sample, 5_000, WeightVerdict::Right);
    let own = start(&sample, &question());
    assert_eq!(own.start.source, LeadSource::OwnCheck);
    assert_eq!(own.start.lead.likely, Kilograms(5.0));
    assert_eq!(own.last.unwrap().lead.to_string(), "5.0 kg");
    let sea = LeadQuestion {
        column: column(WaterKind::Salt, Celsius(15.0)).unwrap(),
        ..question()
    };
    let lead = start(&sample, &sea).start.lead.likely;
    assert!(lead > Kilograms(6.5), "salt water carries more: {lead}");
}

#[test]
fn what_marks_say_comes_with_its_interval_and_kappa_says_where_it_is_not() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.mark(RENATE, 1, "once", Mark::Met, 2);
    sample.mark(RENATE, 2, "once", Mark::NotYet, 1);
    sample.mark_after(RENATE, &[], 1, "both", Mark::Met, 1);
    sample.mark_after(ODD, &[], 1, "both", Mark::Met, 1);
    let eyes = Eyes::new();
    let evidence = EvidenceView::of(&[&sample.now]);
    let view = JudgingView::of(&evidence, &eyes.reader(RENATE));
    let once = &view.skills[0];
    assert_eq!((once.curve.students, once.curve.met), (2, 1));
    assert_eq!((once.share.met, once.share.tries), (1, 2));
    assert!(once.share.interval.low.0 > 0.0 && once.share.interval.high.0 < 1.0);
    let both = &view.judges[0];
    assert_eq!(
        (both.first.staff, both.second.staff),
        (RENATE.staff, ODD.staff)
    );
    assert_eq!(both.agreement.kappa, Kappa::NoDisagreement { items: 1 });
    sample.mark_after(RENATE, &[], 2, "both", Mark::NotYet, 1);
    sample.mark_after(ODD, &[], 2, "both", Mark::Nearly, 1);
    let evidence = EvidenceView::of(&[&sample.now]);
    let view = JudgingView::of(&evidence, &eyes.reader(RENATE));
    assert_eq!(
        (
            view.judges[0].agreement.items,
            view.judges[0].agreement.same
        ),
        (2, 1)
    );
    assert!(matches!(view.judges[0].agreement.kappa, Kappa::Of { .. }));
}
