//! Gas, exposure, weighting and judging: what is reckoned from what was logged.

use super::Eyes;
use crate::calc::ascent::Verdict;
use crate::calc::caution::Origin;
use crate::calc::evidence::Kappa;
use crate::calc::no_stop::{Group, Limit as NoStopLimit, PublishedWait};
use crate::calc::reserve::TurnRule;
use crate::calc::unit::{LitresPerMinute, Metres, MinutesWhole};
use crate::course::{DiveLog, GasUsed, SessionId, Setting, WaterKind, WeightCheck, WeightVerdict};
use crate::entry::{
    DiveLogged, Mark, Passage, SessionCancelled, SessionPlanned, WeightChecked, Who,
};
use crate::standing::CourseStanding;
use crate::standing::sample::{ODD, OFFICE, PELLE, RENATE, Sample, plan, session, student, time};
use crate::view::{
    EvidenceView, ExposureRow, ExposureView, GasOpen, GasView, JudgingView, Limit, NextDive,
    WaterView, WeightingView,
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

fn gas(sample: &Sample, n: u128) -> GasView {
    let eyes = Eyes::new();
    let rule = TurnRule::ThereAndBack;
    GasView::of(&sample.now, &[], &eyes.reader(RENATE), &session(n), rule).unwrap()
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
    let of = |n| {
        let who = Who::Student(student(n));
        view.students
            .iter()
            .find(|row| row.who.who() == who)
            .unwrap()
    };
    let row = of(2);
    assert_eq!((row.dives, row.rate_origin), (1, Origin::OwnRecord));
    assert!(row.rate > LitresPerMinute(23.0) && row.rate < LitresPerMinute(27.0));
    assert_eq!(row.capacity.to_string(), "10 L");
    assert_eq!(view.first_to_turn.as_ref(), Some(&row.who));
    let turns = |row: &crate::view::GasRow| row.reserve.unwrap().until_turn;
    assert!(turns(row) < turns(of(1)));
    let donor = view.staff[0].reserve.unwrap().reserve.litres;
    assert!(
        donor > row.reserve.unwrap().reserve.litres,
        "gas for two students"
    );
    assert_eq!(view.open, None);
}

#[test]
fn a_dive_in_another_course_says_how_somebody_breathes_and_counts_once() {
    let (mut here, mut there) = (Sample::new(), Sample::new());
    let mut plan = plan(Setting::Open, "2026-06-06T09:00:00+02:00");
    plan.water.max_depth_cm = Some(1_800);
    let session = session(9);
    here.add(OFFICE, &[], SessionPlanned { session, plan });
    let one = Who::Student(student(2));
    let breathed = |start_mbar| DiveLog {
        mean_depth_cm: Some(1_000),
        gas: Some(GasUsed {
            capacity_dl: 100,
            start_mbar,
            end_mbar: 50_000,
            oxygen_permille: 209,
        }),
        ..log("09:00", "09:30", 1_200)
    };
    let eyes = Eyes::new();
    let dives = |here: &Sample, there: &Sample| {
        let (reader, rule) = (eyes.reader(RENATE), TurnRule::ThereAndBack);
        let view = GasView::of(&here.now, &[&there.now], &reader, &session, rule).unwrap();
        let row = view.students.iter().find(|row| row.who.who() == one);
        row.map(|row| (row.dives, row.rate_origin)).unwrap()
    };
    assert_eq!(dives(&here, &there), (0, Origin::CommonPractice));
    dive(&mut there, one, breathed(200_000));
    assert_eq!(dives(&here, &there), (1, Origin::OwnRecord));
    // The same dive, logged in both.
    dive(&mut here, one, breathed(200_000));
    assert_eq!(dives(&here, &there), (1, Origin::OwnRecord));
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

/// The sample with nothing planned for the day.
fn quiet() -> Sample {
    let mut sample = Sample::new();
    let cancelled = SessionCancelled {
        session: session(3),
        why: "Storm.".to_owned(),
    };
    let after = sample.now.session_entries(&session(3));
    sample.add(OFFICE, &after, cancelled);
    sample
}

#[test]
fn a_day_of_dives_is_kept_for_each_one_and_the_shortest_limit_counts() {
    let mut sample = quiet();
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
    let of = |metres| exposure(&sample, &[], &eyes, &next("11:50", metres));
    let view = of(18.0);
    let one = row(&view, taught);
    let lines = &one.plan.as_ref().unwrap().lines;
    // U.S. Navy Rev. 7, table 9-7: 18 m is the 60 row, 35 minutes end in group G.
    assert_eq!((lines[0].row.0, lines[0].group), (60.0, Group::G));
    let hours = |row: &ExposureRow| match row.flying.unwrap().workshop {
        PublishedWait::AtLeast(wait) => wait.0 / 60,
        PublishedWait::LongerThan(_) | PublishedWait::Silent => 0,
    };
    assert_eq!((hours(one), hours(row(&view, staff))), (12, 18));
    assert_eq!(
        (row(&view, staff).dives, row(&view, staff).ascents),
        (2, 12)
    );
    assert_eq!(row(&view, staff).ascents_limit, Limit::Over);
    assert_eq!((one.ascents, one.ascents_limit), (1, Limit::NoRule));
    assert_eq!(view.shortest.as_ref().map(|who| who.who()), Some(staff));
    assert_eq!(minutes(view.limit), left(row(&view, staff)));
    assert!(left(row(&view, staff)) < left(one));
    // Who has not dived is there too, with what a first dive has.
    let fresh = row(&view, Who::Student(student(2)));
    assert_eq!(
        (fresh.dives, fresh.flying, &fresh.last_up),
        (0, None, &None)
    );
    assert!(left(one) < left(fresh));
    assert!(
        minutes(of(24.0).limit) < minutes(view.limit),
        "deeper is shorter"
    );
}

/// A dive in fresh water at sea level on the day.
fn next(at: &str, metres: f64) -> NextDive {
    let at = time(&format!("{DAY}T{at}:00+02:00"));
    NextDive::at_sea_level(at, Metres(metres), WaterKind::Fresh).unwrap()
}

fn exposure(
    sample: &Sample,
    others: &[&CourseStanding],
    eyes: &Eyes,
    next: &NextDive,
) -> ExposureView {
    ExposureView::of(&sample.now, others, &eyes.reader(RENATE), next)
}

fn row(view: &ExposureView, who: Who) -> &ExposureRow {
    view.people.iter().find(|row| row.who.who() == who).unwrap()
}

fn minutes(limit: Option<NoStopLimit>) -> u32 {
    match limit {
        Some(NoStopLimit::Minutes(minutes)) => minutes.0,
        Some(NoStopLimit::Unlimited) => u32::MAX,
        None => 0,
    }
}

fn left(row: &ExposureRow) -> u32 {
    minutes(row.next.as_ref().map(|next| next.limit))
}

#[test]
fn a_dive_beyond_the_table_leaves_no_next_one_and_waits_longest() {
    let mut sample = quiet();
    let who = Who::Student(student(1));
    dive(&mut sample, who, log("09:00", "10:10", 1_800));
    let eyes = Eyes::new().at("2026-06-06T12:00:00+02:00");
    let view = exposure(&sample, &[], &eyes, &next("12:00", 12.0));
    let one = row(&view, who);
    assert!(one.plan.as_ref().unwrap().beyond.is_some());
    assert_eq!(
        one.next.as_ref().unwrap().limit,
        NoStopLimit::Minutes(MinutesWhole(0))
    );
    assert_eq!(minutes(view.limit), 0);
    assert!(matches!(
        one.flying.unwrap().workshop,
        PublishedWait::LongerThan(_)
    ));
    let later = NextDive {
        at: time("2026-06-07T12:00:00+02:00"),
        ..next("12:00", 12.0)
    };
    let after = exposure(&sample, &[], &eyes, &later);
    assert_eq!(row(&after, who).dives, 0);
    assert_eq!(
        left(row(&after, who)),
        left(row(&after, Who::Student(student(2))))
    );
}

#[test]
fn a_dive_in_another_course_counts_and_one_logged_twice_counts_once() {
    let (mut sample, mut other) = (quiet(), quiet());
    let staff = Who::Staff(RENATE.staff);
    let eyes = Eyes::new().at("2026-06-06T11:50:00+02:00");
    let asked = next("11:50", 18.0);
    let fresh = exposure(&sample, &[&other.now], &eyes, &asked);
    assert_eq!((row(&fresh, staff).dives, fresh.other_courses), (0, 0));

    dive(&mut other, staff, log("09:00", "09:35", 1_800));
    let elsewhere = exposure(&sample, &[&other.now], &eyes, &asked);
    assert_eq!(
        (row(&elsewhere, staff).dives, elsewhere.other_courses),
        (1, 1)
    );
    assert!(left(row(&elsewhere, staff)) < left(row(&fresh, staff)));
    assert_eq!(minutes(elsewhere.limit), left(row(&elsewhere, staff)));

    // The same dive, written down in both courses by two people.
    dive(&mut sample, staff, log("09:02", "09:34", 1_750));
    let twice = exposure(&sample, &[&other.now], &eyes, &asked);
    assert_eq!(row(&twice, staff).dives, 1);
    assert_eq!(row(&twice, staff).plan, row(&elsewhere, staff).plan);
}

#[test]
fn height_above_the_sea_shortens_what_is_left_and_having_come_up_shortens_it_more() {
    let mut sample = quiet();
    let mut plan = plan(Setting::Open, "2026-06-06T14:00:00+02:00");
    plan.water.max_depth_cm = Some(1_800);
    plan.water.altitude_m = Some(1_400);
    let eyes = Eyes::new().at("2026-06-06T09:00:00+02:00");
    let asked = |live_there| NextDive::of(&session(8), &plan, eyes.now, live_there).unwrap();
    assert_eq!(asked(true).at, plan.starts);
    let limit =
        |sample: &Sample, next: &NextDive| minutes(exposure(sample, &[], &eyes, next).limit);
    let sea = limit(&sample, &next("14:00", 18.0));
    let used_to_it = limit(&sample, &asked(true));
    let came_up = limit(&sample, &asked(false));
    assert!(
        came_up < used_to_it && used_to_it < sea,
        "{came_up} {used_to_it} {sea}"
    );

    // A dive that was logged in a session up there counts at that height, wherever the next is.
    let session = session(8);
    sample.add(OFFICE, &[], SessionPlanned { session, plan });
    let who = Who::Student(student(1));
    let log = log("09:00", "09:25", 1_800);
    sample.add(
        RENATE,
        &[],
        DiveLogged {
            site: None,
            who,
            session: Some(session),
            log,
        },
    );
    let view = exposure(&sample, &[], &eyes, &next("12:00", 18.0));
    // 18 m at 1400 m are 21.3 m at sea level, the 80 row (70 ft are 21.34 m: it depends on a hair),
    // and deeper than the 60 row of the same dive in the sea.
    assert!(row(&view, who).plan.as_ref().unwrap().lines[0].row.0 > 60.0);
}

#[test]
fn a_planned_session_that_nobody_logged_counts_before_the_next_dive() {
    let mut sample = quiet();
    let mut morning = plan(Setting::Open, "2026-06-06T09:00:00+02:00");
    morning.water.max_depth_cm = Some(1_200);
    morning.minutes = 40;
    let session = session(8);
    let plan = morning.clone();
    sample.add(OFFICE, &[], SessionPlanned { session, plan });
    let eyes = Eyes::new().at("2026-06-05T19:00:00+02:00");
    let asked = next("11:00", 18.0);
    let (one, two) = (Who::Student(student(1)), Who::Student(student(2)));
    let evening_before = exposure(&sample, &[], &eyes, &asked);
    for who in [one, two, Who::Staff(RENATE.staff)] {
        let row = row(&evening_before, who);
        assert_eq!((row.dives, row.planned), (0, 1));
    }
    // Of one who is said to have stayed ashore it does not count.
    sample.pass(two, 8, Passage::Absent, "2026-06-06T09:00:00+02:00");
    // What was dived takes the place of what was planned.
    let log = log("09:05", "09:20", 600);
    sample.add(
        RENATE,
        &[],
        DiveLogged {
            site: None,
            who: one,
            session: Some(session),
            log,
        },
    );
    let view = exposure(&sample, &[], &eyes, &asked);
    assert_eq!((row(&view, one).dives, row(&view, one).planned), (1, 0));
    assert_eq!((row(&view, two).dives, row(&view, two).planned), (0, 0));
    assert!(left(row(&view, one)) > left(row(&evening_before, one)));
    // The session itself is not one before it.
    let own = NextDive::of(&session, &morning, time("2026-06-06T09:30:00+02:00"), true).unwrap();
    assert_eq!(
        row(
            &exposure(&sample, &[], &eyes, &own),
            Who::Staff(RENATE.staff)
        )
        .planned,
        0
    );
    // And of one without a depth it is said that it does not count.
    let mut unknown = morning;
    unknown.water.max_depth_cm = None;
    sample.add(
        OFFICE,
        &[],
        SessionPlanned {
            session: crate::standing::sample::session(9),
            plan: unknown,
        },
    );
    assert_eq!(exposure(&sample, &[], &eyes, &asked).without_depth, 1);
}

#[test]
fn the_last_figure_that_held_is_what_the_next_check_begins_with() {
    let mut sample = Sample::new();
    let eyes = Eyes::new();
    let known = |sample: &Sample, session: Option<&SessionId>| {
        WeightingView::of(&sample.now, &eyes.reader(RENATE), &student(1), session).unwrap()
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
    assert_eq!(known(&sample, None).last, None);
    check(&mut sample, 5_000, WeightVerdict::Right);
    check(&mut sample, 9_000, WeightVerdict::Heavy);
    let last = known(&sample, None).last.unwrap();
    assert_eq!(
        (last.lead.to_string(), last.pressure.to_string()),
        ("5.0 kg".to_owned(), "50 bar".to_owned())
    );
    check(&mut sample, 6_000, WeightVerdict::Right);
    let last = known(&sample, None).last.unwrap();
    assert_eq!(last.lead.to_string(), "6.0 kg");
    let mut cold = plan(Setting::Open, "2026-06-07T09:00:00+02:00");
    cold.water.temperature_dc = Some(85);
    let session = session(9);
    let plan = cold.clone();
    sample.add(OFFICE, &[], SessionPlanned { session, plan });
    let next = known(&sample, Some(&session));
    assert_eq!(
        (next.water, next.temperature.unwrap().to_string()),
        (Some(cold.water.kind), "8.5 °C".to_owned())
    );
    let nobody = WeightingView::of(&sample.now, &eyes.reader(RENATE), &student(99), None);
    assert_eq!(nobody, None);
}

#[test]
fn a_recorded_dive_says_how_it_came_up_and_one_without_samples_nothing() {
    let mut sample = Sample::new();
    let one = Who::Student(student(1));
    // Up from 12 m at 9 m/min, three minutes and 20 s at 5 m, the last way in half a minute.
    let mut recorded = log("09:30", "09:50", 1_200);
    recorded.profile = vec![
        (0, 0),
        (90, 1_200),
        (500, 1_200),
        (547, 500),
        (747, 500),
        (777, 0),
    ];
    dive(&mut sample, one, recorded.clone());
    let rushed = DiveLog {
        down: time(&format!("{DAY}T11:00:00+02:00")),
        up: time(&format!("{DAY}T11:10:00+02:00")),
        profile: vec![(0, 0), (60, 1_200), (300, 1_200), (340, 0)],
        ..recorded
    };
    dive(&mut sample, one, rushed);
    dive(&mut sample, one, log("14:00", "14:20", 1_000));
    let eyes = Eyes::new();
    let view = WaterView::of(&sample.now, &eyes.reader(RENATE), None);
    let [good, fast, unknown] = view.dives.as_slice() else {
        panic!("three dives");
    };
    let good = good.climb.as_ref().unwrap();
    assert_eq!(good.limit.to_string(), "9.1 m/min");
    assert_eq!(
        (
            good.stop.as_ref().unwrap().to_string(),
            good.stop_depth.as_ref().unwrap().to_string()
        ),
        ("3:20".to_owned(), "5 m".to_owned())
    );
    assert_eq!(good.last_metres.as_ref().unwrap().to_string(), "30 s");
    let fast = fast.climb.as_ref().unwrap();
    assert_eq!(fast.verdict, Verdict::TooFast);
    assert_eq!(
        (fast.sustained.to_string(), &fast.stop),
        ("18.0 m/min".to_owned(), &None)
    );
    assert_eq!(unknown.climb, None);
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
    assert!(
        view.skills.iter().all(|one| one.too_few),
        "two students say little"
    );
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

#[test]
fn the_hardest_skill_comes_first_and_those_too_few_have_tried_come_last() {
    let mut sample = Sample::new();
    for student in 3..=6 {
        sample.enrol(student);
    }
    for student in 1..=6 {
        sample.mark(RENATE, student, "once", Mark::Met, 1);
        let hard = if student < 3 { Mark::Met } else { Mark::NotYet };
        sample.mark(RENATE, student, "both", hard, 1);
    }
    sample.mark(RENATE, 1, "twice", Mark::NotYet, 1);
    let eyes = Eyes::new();
    let view = JudgingView::of(&EvidenceView::of(&[&sample.now]), &eyes.reader(RENATE));
    let told = view
        .skills
        .iter()
        .map(|one| (one.skill.as_str(), one.too_few));
    assert_eq!(
        told.collect::<Vec<_>>(),
        [("both", false), ("once", false), ("twice", true)]
    );
}
