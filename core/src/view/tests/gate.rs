//! The gate on screens: who is ready, how deep, how many, beside whom.

use super::{Eyes, named};
use crate::calc::reserve::TurnRule;
use crate::course::{AgeKnown, Before, CapOf, ClearanceKind, Rule, Setting};
use crate::entry::{ClearanceResult, Mark, Override, SessionPlanned, Who};
use crate::standing::sample::{
    ODD, OFFICE, PELLE, RENATE, Sample, day, plan, policy, rule_id, session, skill_id, student,
};
use crate::view::{
    DepthAgainst, ExposureView, GasView, HeadcountView, Leave, Limit, NextDive, PolicyView,
    RatioOf, RatioReason, SessionListView, SessionView, WaterView, pairing, ratio,
};

fn before_lake(skills: &[&str]) -> (&'static str, Rule) {
    let skills = skills.iter().map(|id| skill_id(id)).collect();
    let before = Before::Setting {
        setting: Setting::Open,
    };
    ("first", Rule::SkillsFirst { skills, before })
}

fn papers(sample: &mut Sample) {
    for n in [1, 2] {
        for what in [
            ClearanceKind::Health,
            ClearanceKind::Swim,
            ClearanceKind::Consent,
        ] {
            sample.clear(n, what, ClearanceResult::Cleared);
        }
    }
}

#[test]
fn all_go_in_leaves_out_whoever_lacks_a_skill_until_an_instructor_sets_it_aside() {
    let mut sample = Sample::with_rules(vec![before_lake(&["once"])]);
    papers(&mut sample);
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    let eyes = Eyes::new().at("2026-06-06T09:00:00+02:00");
    let ready = |sample: &Sample| {
        let view = HeadcountView::of(&sample.now, &eyes.reader(RENATE), &session(3)).unwrap();
        let students = view.ready.into_iter();
        let is_student = |who: &Who| matches!(who, Who::Student(_));
        students.filter(is_student).collect::<Vec<Who>>()
    };
    assert_eq!(ready(&sample), [Who::Student(student(1))]);
    let session_of = |sample: &Sample, who| {
        let view = SessionView::of(&sample.now, &eyes.reader(who), &session(3)).unwrap();
        let mut students = view.students.into_iter();
        students.find(|one| one.name.student == student(2)).unwrap()
    };
    let before = session_of(&sample, RENATE);
    assert_eq!(before.may_override, [skill_id("once")]);
    assert!(session_of(&sample, PELLE).may_override.is_empty());
    assert!(session_of(&sample, OFFICE).may_override.is_empty());
    sample.add(
        RENATE,
        &[],
        Override {
            student: student(2),
            session: session(3),
            skills: [skill_id("once")].into(),
            why: "Shown at the lake first".to_owned(),
        },
    );
    assert_eq!(ready(&sample).len(), 2);
    let after = session_of(&sample, PELLE);
    assert!(after.gaps.is_empty());
    assert_eq!(after.overrides[0].skills, ["The once"]);
    assert_eq!(after.overrides[0].why, "Shown at the lake first");
    assert_eq!(after.overrides[0].by.name, "Renate Solberg");
    assert_eq!(after.overrides[0].may_withdraw, Leave::Role);
}

#[test]
fn pool_dives_in_the_log_are_no_way_past_the_depth_of_the_first_dives() {
    let mut sample = Sample::with_rules(Vec::new());
    let who = Who::Student(student(1));
    for n in 8..12 {
        let (down, up) = (format!("{n:02}:00"), format!("{n:02}:20"));
        sample.dive(who, Some(1), (&down, &up), 300);
    }
    sample.dive(who, Some(3), ("13:00", "13:25"), 1_700);
    let eyes = Eyes::new();
    let view = WaterView::of(&sample.now, &eyes.reader(RENATE), Some(&student(1)));
    let last = view.dives.last().unwrap();
    assert_eq!((last.number, last.depth_limit), (Some(1), Limit::Over));
    assert!(
        view.dives
            .iter()
            .rev()
            .skip(1)
            .all(|dive| dive.number.is_none())
    );
}

#[test]
fn a_dive_that_no_session_places_is_held_against_the_open_water() {
    let mut sample = Sample::with_rules(Vec::new());
    sample.dive(Who::Student(student(1)), None, ("13:00", "13:25"), 3_000);
    let eyes = Eyes::new();
    let view = WaterView::of(&sample.now, &eyes.reader(RENATE), None);
    assert_eq!(view.dives[0].depth_limit, Limit::Over);
    assert_eq!(view.dives[0].number, None);
}

#[test]
fn the_young_go_less_deep_and_an_unknown_age_keeps_nothing() {
    let by_age = Rule::DepthByAge {
        under: 18,
        max_cm: 1_000,
    };
    let mut sample = Sample::with_rules(vec![("young", by_age)]);
    let mut eyes = Eyes::new();
    let mut asked = plan(Setting::Open, "2026-06-06T09:00:00+02:00");
    let limit = |eyes: &Eyes, sample: &Sample, cm| {
        let mut asked = asked.clone();
        asked.water.max_depth_cm = Some(cm);
        let view = SessionView::of_draft(&sample.now, &eyes.reader(RENATE), &asked);
        let most = view.water.depth_allowed.map(|figure| figure.to_string());
        (view.water.depth_limit, most)
    };
    let ten = Some("10.0 m".to_owned());
    assert_eq!(limit(&eyes, &sample, 1_100), (Limit::Over, ten.clone()));
    assert_eq!(limit(&eyes, &sample, 1_000), (Limit::Within, ten));
    // Émile's age is not known any more: 11 m may be too deep, 10 m is right either way.
    eyes.people
        .students
        .insert(student(2), named("Émile Aasen", None));
    assert_eq!(limit(&eyes, &sample, 1_100).0, Limit::Unknown);
    assert_eq!(limit(&eyes, &sample, 1_000).0, Limit::Within);
    assert_eq!(
        limit(&eyes, &sample, 1_300).0,
        Limit::Over,
        "the first dive"
    );
    // The log is held against the age as well.
    sample.dive(Who::Student(student(2)), Some(3), ("09:00", "09:30"), 1_100);
    let view = WaterView::of(&sample.now, &eyes.reader(RENATE), None);
    assert_eq!(view.dives[0].depth_limit, Limit::Unknown);
    asked.students.clear();
    let view = SessionView::of_draft(&sample.now, &eyes.reader(RENATE), &asked);
    assert_eq!(view.water.depth_limit, Limit::Within);
}

fn of<'a>(ages: &'a [AgeKnown]) -> RatioOf<'a> {
    RatioOf {
        setting: Setting::Confined,
        on: day("2026-06-02"),
        students: ages,
        instructors: 1,
        assistants: 1,
    }
}

#[test]
fn one_of_the_young_lowers_the_ceiling_and_an_unknown_age_is_never_within() {
    let by_age = Rule::RatioByAge {
        under: 15,
        per_instructor: 2,
    };
    let sample = Sample::with_rules(vec![("young", by_age)]);
    let (grown, child) = (
        AgeKnown::Born(day("1990-05-05")),
        AgeKnown::Born(day("2013-05-05")),
    );
    let asked = |ages: &[AgeKnown]| ratio(&sample.now, of(ages), Vec::new()).unwrap();
    assert_eq!(asked(&[grown; 6]).limit, Limit::Within);
    let with = asked(&[grown, grown, child]);
    assert_eq!((with.ceiling, with.limit), (Some(2), Limit::Over));
    assert_eq!(
        with.reasons.last(),
        Some(&RatioReason::Young { under: 15, each: 2 })
    );
    assert_eq!(asked(&[grown, child]).limit, Limit::Within);
    let unknown = asked(&[grown, grown, AgeKnown::Nothing]);
    assert_eq!((unknown.ceiling, unknown.limit), (Some(6), Limit::Unknown));
    assert_eq!(asked(&[grown, AgeKnown::Nothing]).limit, Limit::Within);
    assert_eq!(asked(&[AgeKnown::Nothing; 7]).limit, Limit::Over);
}

#[test]
fn each_of_the_young_needs_someone_of_age_who_does_not_lead() {
    let pairs = Rule::PairWithAdult { under: 15 };
    let mut sample = Sample::with_rules(vec![("pairs", pairs)]);
    sample.enrol(3);
    let mut asked = plan(Setting::Confined, "2026-06-02T10:00:00+02:00");
    let (grown, child) = (
        AgeKnown::Born(day("1990-05-05")),
        AgeKnown::Born(day("2013-05-05")),
    );
    let of = |sample: &Sample, plan: &crate::course::SessionPlan, ages: [AgeKnown; 2]| {
        pairing(&sample.now, plan, |id| ages[usize::from(*id == student(2))])
    };
    assert_eq!(of(&sample, &asked, [grown, grown]), None);
    let one = of(&sample, &asked, [grown, child]).unwrap();
    assert_eq!(
        (one.young, one.grown, one.assistants, one.limit),
        (1, 1, 1, Limit::Within)
    );
    assert_eq!(
        of(&sample, &asked, [child, child]).unwrap().limit,
        Limit::Over
    );
    let unknown = of(&sample, &asked, [grown, AgeKnown::Nothing]).unwrap();
    assert_eq!((unknown.unknown, unknown.limit), (1, Limit::Unknown));
    asked.staff = vec![RENATE.staff, ODD.staff];
    let led = of(&sample, &asked, [child, child]).unwrap();
    assert_eq!((led.grown, led.limit), (0, Limit::Over));
    // An assistant's age is asked nowhere: it passes neither for known nor for too few.
    let mut alone = plan(Setting::Confined, "2026-06-02T10:00:00+02:00");
    alone.students.truncate(1);
    let rests = of(&sample, &alone, [child, child]).unwrap();
    assert_eq!(
        (rests.young, rests.grown, rests.assistants, rests.limit),
        (1, 0, 1, Limit::Unknown)
    );
    let session_of = SessionPlanned {
        session: session(1),
        plan: asked,
    };
    sample.add(OFFICE, &[], session_of);
    let view = SessionView::of(&sample.now, &Eyes::new().reader(RENATE), &session(1)).unwrap();
    assert_eq!(view.pairing, None, "Ottilie is grown and Émile is 17");
}

#[test]
fn a_cap_is_the_whole_waters_unless_a_rule_says_for_each_instructor() {
    let rule = |cap_of| Rule::Ratio {
        setting: Setting::Open,
        per_instructor: 4,
        per_assistant: 2,
        cap: 6,
        cap_of,
    };
    let ceiling = |cap_of| {
        let sample = Sample::with_rules(vec![("open", rule(cap_of))]);
        let of = RatioOf {
            setting: Setting::Open,
            on: day("2026-06-06"),
            students: &[AgeKnown::Born(day("1990-05-05")); 8],
            instructors: 2,
            assistants: 3,
        };
        let view = ratio(&sample.now, of, Vec::new()).unwrap();
        (view.ceiling, view.limit, view.reasons.last().copied())
    };
    assert_eq!(
        ceiling(CapOf::Water),
        (Some(6), Limit::Over, Some(RatioReason::Cap(6)))
    );
    assert_eq!(
        ceiling(CapOf::Instructor),
        (Some(12), Limit::Within, Some(RatioReason::CapEach(6)))
    );
}

#[test]
fn before_a_cap_is_confirmed_it_is_worked_out_with_the_staff_of_the_next_session() {
    let mut sample = Sample::new();
    let mut both = plan(Setting::Confined, "2026-06-02T10:00:00+02:00");
    both.staff = vec![RENATE.staff, ODD.staff, PELLE.staff];
    let planned = SessionPlanned {
        session: session(1),
        plan: both,
    };
    let after = sample.now.session_entries(&session(1));
    sample.add(OFFICE, &after, planned);
    let eyes = Eyes::new();
    let example = |view: PolicyView| {
        let mut rules = view.rules.into_iter();
        rules
            .find(|row| row.id == rule_id("ratio"))
            .unwrap()
            .example
            .unwrap()
    };
    let of = example(PolicyView::of_course(&sample.now, &eyes.reader(RENATE)).unwrap());
    assert_eq!((of.instructors, of.assistants, of.of_session), (2, 1, true));
    assert_eq!(
        (of.students, of.otherwise),
        (7, 10),
        "4 + 4 + 2, capped at 7 or at 14"
    );
    let made_up = example(PolicyView::of_draft(&policy(), None, &eyes.reader(OFFICE)));
    assert_eq!((made_up.instructors, made_up.of_session), (2, false));
}

#[test]
fn a_planned_depth_beyond_the_settings_rule_is_said_beside_every_figure_made_from_it() {
    let pool = Rule::Depth {
        setting: Setting::Confined,
        dive: None,
        max_cm: 400,
    };
    let mut sample = Sample::with_rules(vec![("pool", pool)]);
    let mut deep = plan(Setting::Confined, "2026-06-02T10:00:00+02:00");
    deep.water.max_depth_cm = Some(1_800);
    let after = sample.now.session_entries(&session(1));
    let planned = SessionPlanned {
        session: session(1),
        plan: deep.clone(),
    };
    sample.add(OFFICE, &after, planned);
    let eyes = Eyes::new();
    let reader = eyes.reader(RENATE);
    let says = |against: &DepthAgainst| {
        let most = against.most.as_ref().map(ToString::to_string);
        (against.limit, most, against.rule.clone())
    };
    let over = (Limit::Over, Some("4.0 m".to_owned()), Some(rule_id("pool")));
    let gas = GasView::of(&sample.now, &[], &reader, &session(1), TurnRule::Thirds).unwrap();
    assert_eq!(says(&gas.depth_against), over);
    let next = NextDive::of(&session(1), &deep, eyes.now, false).unwrap();
    let day = ExposureView::of(&sample.now, &[], &reader, &next);
    assert_eq!(says(&day.depth_against), over);
    let list = SessionListView::of(&sample.now, &reader);
    let card = list
        .rows
        .iter()
        .find(|row| row.session == session(1))
        .unwrap();
    assert_eq!(card.depth_limit, Limit::Over);
    let view = SessionView::of(&sample.now, &reader, &session(1)).unwrap();
    assert_eq!(view.water.depth_limit, Limit::Over);
}
