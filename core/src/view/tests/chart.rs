//! Pictures of figures: each stands where its figures put it.

use super::Eyes;
use crate::calc::no_stop::Limit as NoStopLimit;
use crate::calc::reserve::{Turn, TurnRule};
use crate::course::{DiveLog, Setting, WaterKind};
use crate::entry::{DiveLogged, Mark, SessionPlanned, Who};
use crate::standing::sample::{OFFICE, RENATE, Sample, plan, session, student, time};
use crate::view::{
    CHART_HEIGHT, CHART_WIDTH, Chart, ChartFact, ChartOf, ExposureView, FactIs, GasView, LineIs,
    NextDive, Shows, Spot,
};
use crate::words::Language;

const NOW: &str = "2026-06-06T09:00:00+02:00";

fn open_water(cm: u32) -> Sample {
    let mut sample = Sample::new();
    let mut plan = plan(Setting::Open, "2026-06-06T14:00:00+02:00");
    plan.water.max_depth_cm = Some(cm);
    let session = session(9);
    sample.add(OFFICE, &[], SessionPlanned { session, plan });
    sample
}

fn dive(sample: &mut Sample, profile: Vec<(u32, u32)>) {
    let log = DiveLog {
        down: time("2026-06-06T12:00:00+02:00"),
        up: time("2026-06-06T12:40:00+02:00"),
        max_depth_cm: 1_800,
        mean_depth_cm: None,
        ascents: None,
        gas: None,
        water: WaterKind::Fresh,
        temperature_dc: None,
        profile,
    };
    let who = Who::Student(student(1));
    let (session, site) = (None, None);
    sample.add(
        RENATE,
        &[],
        DiveLogged {
            who,
            session,
            site,
            log,
        },
    );
}

fn asked(sample: &Sample, of: ChartOf) -> Option<Chart> {
    let eyes = Eyes::new().at(NOW);
    let reader = eyes.reader(RENATE);
    Some(Chart::of(&sample.now, &[], &reader, of)?.0)
}

fn fact(chart: &Chart, is: FactIs) -> String {
    let found = chart.facts.iter().find(|one| one.what == is).unwrap();
    found.figure.to_string()
}

#[test]
fn the_gas_of_a_diver_falls_from_the_fill_to_the_reserve_with_the_turn_between() {
    let sample = open_water(1_200);
    let (who, session) = (Who::Student(student(1)), session(9));
    let rule = TurnRule::ThereAndBack;
    let chart = asked(&sample, ChartOf::Gas { session, who, rule }).unwrap();
    assert_eq!(chart.shows, Shows::Gas);
    let y = |is| {
        let line = chart.lines.iter().find(|line| line.what == is).unwrap();
        line.spots.iter().map(|spot| spot.y).collect::<Vec<_>>()
    };
    let (pressure, turn, reserve) = (y(LineIs::Pressure), y(LineIs::Turn), y(LineIs::Reserve));
    assert_eq!(pressure, [0, reserve[0]], "from 200 bar to the reserve");
    assert!(0 < turn[0] && turn[0] < reserve[0] && reserve[0] < CHART_HEIGHT);
    // The same figures as the table beside it.
    let eyes = Eyes::new().at(NOW);
    let gas = GasView::of(&sample.now, &[], &eyes.reader(RENATE), &session, rule).unwrap();
    let row = gas
        .students
        .iter()
        .find(|row| row.reserve.is_some())
        .unwrap();
    let kept = row.reserve.unwrap();
    let Turn::At { pressure, .. } = kept.turn else {
        panic!("not enough gas")
    };
    assert_eq!(
        fact(&chart, FactIs::TurnAt),
        format!("{:.0} bar", pressure.0)
    );
    assert_eq!(
        fact(&chart, FactIs::KeptBack),
        format!("{:.0} bar", kept.reserve.pressure.0)
    );
    // By hand: on a scale down to nought, 200 bar at the top.
    let place = 400.0 - kept.reserve.pressure.0 / 200.0 * 400.0;
    assert!((f64::from(reserve[0]) - place).abs() <= 1.0, "{place}");
}

#[test]
fn without_a_depth_there_is_no_picture_of_gas_or_of_time() {
    let mut sample = Sample::new();
    let mut dry = plan(Setting::Open, "2026-06-06T14:00:00+02:00");
    dry.water.max_depth_cm = None;
    let session = session(9);
    sample.add(OFFICE, &[], SessionPlanned { session, plan: dry });
    let who = Who::Student(student(1));
    let (rule, live_there) = (TurnRule::Thirds, false);
    assert!(asked(&sample, ChartOf::Gas { session, who, rule }).is_none());
    let time = ChartOf::NoStop {
        session,
        who,
        live_there,
    };
    assert!(asked(&sample, time).is_none());
}

#[test]
fn after_a_dive_little_no_stop_time_is_left_and_it_grows_with_every_hour() {
    let mut sample = open_water(1_800);
    dive(&mut sample, Vec::new());
    let live_there = false;
    let of = |n| ChartOf::NoStop {
        session: session(9),
        who: Who::Student(student(n)),
        live_there,
    };
    let chart = asked(&sample, of(1)).unwrap();
    let [line] = chart.lines.as_slice() else {
        panic!("{:?}", chart.lines)
    };
    assert!(line.spots.windows(2).all(|pair| pair[0].y >= pair[1].y));
    assert!(line.spots.first().unwrap().y > line.spots.last().unwrap().y);
    assert_eq!(line.spots.last().unwrap().x, CHART_WIDTH);
    // Its first point is what the list says of the same dive.
    let eyes = Eyes::new().at(NOW);
    let reader = eyes.reader(RENATE);
    let plan = &sample.now.sessions()[&session(9)].plan;
    let next = NextDive::of(&session(9), plan, time(NOW), live_there).unwrap();
    let day = ExposureView::of(&sample.now, &[], &reader, &next);
    let Some(NoStopLimit::Minutes(least)) = day.limit else {
        panic!("{:?}", day.limit)
    };
    assert_eq!(
        fact(&chart, FactIs::LeftAtFirst),
        format!("{} min", least.0)
    );
    // Who did not dive has the same all day.
    let rested = asked(&sample, of(2)).unwrap();
    assert_eq!(
        fact(&rested, FactIs::LeftAtFirst),
        fact(&rested, FactIs::LeftAtLast)
    );
}

#[test]
fn no_limit_is_drawn_as_a_line_that_says_so_and_said_in_words() {
    // So shallow that neither the table nor the model sets a limit.
    let sample = open_water(300);
    let chart = asked(
        &sample,
        ChartOf::NoStop {
            session: session(9),
            who: Who::Student(student(1)),
            live_there: false,
        },
    );
    let chart = chart.unwrap();
    let lines: Vec<LineIs> = chart.lines.iter().map(|line| line.what).collect();
    assert_eq!(lines, [LineIs::NoStop, LineIs::NoLimit]);
    let level = &chart.lines[1];
    assert!(
        chart.lines[0]
            .spots
            .iter()
            .all(|spot| spot.y == level.spots[0].y)
    );
    assert!(level.named_at().is_some(), "its name stands on it");
    assert_eq!(fact(&chart, FactIs::DrawnUpTo), "120 min");
    let depth = fact(&chart, FactIs::AskedDepth);
    assert_eq!(fact(&chart, FactIs::NoLimitAtFirst), depth);
    assert_eq!(fact(&chart, FactIs::NoLimitAtLast), depth);
    let minutes = |one: &ChartFact| matches!(one.what, FactIs::LeftAtFirst | FactIs::LeftAtLast);
    assert!(!chart.facts.iter().any(minutes));
    let file = chart.svg(Language::English);
    assert!(
        file.contains("longer, or no limit, is drawn as 120 min"),
        "{file}"
    );
    assert!(file.contains(">longer, or no limit</text>"), "{file}");
}

#[test]
fn a_profile_is_drawn_of_the_dive_that_is_asked_for_and_of_no_other() {
    let mut sample = open_water(1_800);
    dive(&mut sample, vec![(0, 0), (300, 1_800), (2_400, 0)]);
    dive(&mut sample, Vec::new());
    let kind = crate::entry::Kind::DiveLogged;
    let dives: Vec<_> = sample.now.of_kind(kind).map(|one| one.entry.id).collect();
    let drawn: Vec<bool> = dives
        .iter()
        .map(|id| asked(&sample, ChartOf::Profile(*id)).is_some())
        .collect();
    assert_eq!(drawn.iter().filter(|drawn| **drawn).count(), 1);
}

#[test]
fn the_way_rises_by_one_with_each_skill_and_ends_at_what_is_met() {
    let mut sample = Sample::new();
    let way = |sample: &Sample| asked(sample, ChartOf::Way(student(1)));
    assert!(way(&sample).is_none() && asked(&sample, ChartOf::Tries).is_none());
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    sample.mark(RENATE, 1, "builds", Mark::NotYet, 1);
    let chart = way(&sample).unwrap();
    let met = chart.lines.iter().find(|line| line.what == LineIs::Met);
    let spots = &met.unwrap().spots;
    let rises = |pair: &[Spot]| pair[0].y >= pair[1].y && pair[0].x <= pair[1].x;
    assert!(spots.windows(2).all(rises));
    assert_eq!(fact(&chart, FactIs::SkillsMet), "1");
    let needed: u16 = fact(&chart, FactIs::SkillsRequired).parse().unwrap();
    // The sample requires no more than five: the axis ends at that, or at five.
    let (of, last) = (chart.down.last().unwrap(), spots.last().unwrap());
    assert_eq!(of.at, 0);
    let top: u16 = of.says.parse().unwrap();
    assert!(top >= needed);
    assert_eq!(last.y, CHART_HEIGHT - CHART_HEIGHT / top);
}

#[test]
fn each_bar_ends_where_the_share_that_met_it_ends_and_too_few_have_none() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    sample.mark(RENATE, 2, "once", Mark::Met, 1);
    let few = asked(&sample, ChartOf::Tries).unwrap();
    let bar = few.bars.iter().find(|bar| bar.of == 2).unwrap();
    assert!(bar.parts.is_empty(), "two are too few to say");
    for n in 3..=10 {
        sample.enrol(n);
        sample.mark(RENATE, n, "once", Mark::Met, 1);
    }
    let chart = asked(&sample, ChartOf::Tries).unwrap();
    let bar = chart.bars.iter().find(|bar| bar.of >= 9).unwrap();
    let met_at_once = 1_000 - 1_000 / u16::try_from(bar.of).unwrap();
    assert_eq!(bar.parts, [met_at_once, 1_000, 1_000, 1_000]);
}
