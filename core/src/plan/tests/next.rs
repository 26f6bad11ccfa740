//! The next session, and what is left.

use crate::course::Setting;
use crate::entry::Mark;
use crate::plan::{forecast, minutes_for, next_session, still_needs};
use crate::standing::sample::{PELLE, RENATE, Sample, skill, skill_id, student};

fn ids(plan: &crate::plan::NextPlan) -> Vec<&str> {
    plan.run.iter().map(|next| next.skill.as_str()).collect()
}

#[test]
fn everything_that_is_open_is_proposed_in_teaching_order() {
    let sample = Sample::new();
    let plan = next_session(
        &sample.now,
        Setting::Confined,
        &[student(1), student(2)],
        600,
    );
    assert_eq!(
        ids(&plan),
        ["once", "twice", "both", "ways", "builds", "extra"]
    );
    assert!(plan.left_over.is_empty());
    // Each of six: 5 minutes for the first student and 2 for the other.
    assert_eq!(plan.minutes, 6 * 7);
}

#[test]
fn a_skill_waits_for_what_it_builds_on_unless_that_is_run_through_before_it() {
    let mut sample = Sample::new();
    let only = [student(1)];
    // 5 minutes are enough for one skill: the first.
    let plan = next_session(&sample.now, Setting::Confined, &only, 5);
    assert_eq!(ids(&plan), ["once"]);
    assert!(
        plan.left_over
            .iter()
            .any(|next| next.skill == skill_id("builds"))
    );
    // Nothing fits: what builds on a skill that is not run is not proposed at all.
    let plan = next_session(&sample.now, Setting::Confined, &only, 0);
    assert!(plan.run.is_empty());
    assert!(
        !plan
            .left_over
            .iter()
            .any(|next| next.skill == skill_id("builds"))
    );
    sample.mark(PELLE, 1, "once", Mark::Met, 1);
    let plan = next_session(&sample.now, Setting::Confined, &only, 600);
    assert!(ids(&plan).contains(&"builds"), "shown is enough to go on");
    assert!(!ids(&plan).contains(&"once"));
}

#[test]
fn a_setting_where_a_skill_may_not_be_shown_does_not_propose_it() {
    let sample = Sample::new();
    let plan = next_session(&sample.now, Setting::Classroom, &[student(1)], 600);
    assert!(plan.run.is_empty() && plan.left_over.is_empty());
}

#[test]
fn only_those_who_still_need_a_skill_are_named() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    let plan = next_session(
        &sample.now,
        Setting::Confined,
        &[student(1), student(2)],
        600,
    );
    assert_eq!(plan.run[0].students, [student(2)]);
    assert_eq!(plan.run[0].minutes, 5);
}

#[test]
fn a_slip_since_is_needed_again() {
    let mut sample = Sample::new();
    let once = skill("once");
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    assert!(!still_needs(&sample.now, &student(1), &once));
    sample.mark(RENATE, 1, "once", Mark::Nearly, 2);
    assert!(still_needs(&sample.now, &student(1), &once));
    assert!(!still_needs(&sample.now, &student(9), &once));
}

#[test]
fn minutes_of_a_line_up_are_one_slow_try_and_quick_ones() {
    let once = skill("once");
    assert_eq!(minutes_for(&once, 1), 5);
    assert_eq!(minutes_for(&once, 4), 5 + 3 * 2);
    assert_eq!(minutes_for(&once, usize::MAX), u16::MAX);
}

#[test]
fn a_forecast_is_a_span_of_minutes_and_sessions_over_required_skills() {
    let mut sample = Sample::new();
    let both = [student(1), student(2)];
    let left = forecast(&sample.now, &both, 15).unwrap();
    assert_eq!((left.quick_minutes, left.slow_minutes), (20, 50));
    assert_eq!((left.quick_sessions, left.slow_sessions), (2, 4));
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    let left = forecast(&sample.now, &both, 15).unwrap();
    assert_eq!((left.quick_minutes, left.slow_minutes), (18, 45));
    assert_eq!(forecast(&sample.now, &both, 0), None);
    let none = forecast(&sample.now, &[], 15).unwrap();
    assert_eq!((none.quick_sessions, none.slow_sessions), (0, 0));
}

#[test]
fn without_an_outline_there_is_nothing_to_propose() {
    let sample = Sample::empty();
    let plan = next_session(&sample.now, Setting::Confined, &[student(1)], 600);
    assert!(plan.run.is_empty());
    assert_eq!(forecast(&sample.now, &[student(1)], 60), None);
}
