//! What is left of a session that is being held, and turns for those who miss.

use std::collections::BTreeSet;

use crate::course::{Role, RunForm, Setting, Skill, SkillId, StudentId, starter};
use crate::entry::{Mark, OutlineSet};
use crate::plan::{NextAsked, NextPlan, StationRun, brings_on, brings_on_today, next_session};
use crate::standing::sample::{OFFICE, RENATE, Sample, session, skill_id, student};

fn asked(students: &[u128], minutes: u16, running: Option<u128>) -> NextAsked {
    NextAsked {
        setting: Setting::Confined,
        minutes,
        students: students.iter().copied().map(student).collect(),
        staff: vec![(RENATE.staff, Role::Instructor)],
        minors: BTreeSet::new(),
        pinned: BTreeSet::new(),
        left_out: BTreeSet::new(),
        running: running.map(session),
    }
}

fn plan(sample: &Sample, asked: &NextAsked, likely: u16) -> NextPlan {
    next_session(&sample.now, asked, &|_, _| likely).unwrap()
}

fn run<'a>(plan: &'a NextPlan, skill: &str) -> Option<&'a StationRun> {
    let mut runs = plan.stations.iter().flat_map(|one| &one.runs);
    runs.find(|run| run.skill == skill_id(skill))
}

/// A skill as the sample's outline has it.
fn skill(sample: &Sample, id: &str) -> Skill {
    let outline = sample.now.outline().unwrap();
    outline.skill(&skill_id(id)).unwrap().clone()
}

fn today(sample: &Sample, id: &str, held: u128) -> bool {
    let skill = skill(sample, id);
    brings_on_today(
        &sample.now,
        &student(1),
        &skill,
        Setting::Confined,
        &session(held),
    )
}

#[test]
fn whoever_missed_goes_again_in_what_is_left_without_a_second_briefing() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    let left = plan(&sample, &asked(&[1, 2], 600, Some(1)), 700);
    let once = run(&left, "once").unwrap();
    assert_eq!(once.students.len(), 2);
    // Two turns of 2 minutes and one that is kept; 3 minutes to show it have been.
    assert_eq!((once.minutes, once.kept), (6, 1));
    let another = plan(&sample, &asked(&[1, 2], 600, None), 700);
    assert_eq!(run(&another, "once").unwrap().minutes, 9);
}

#[test]
fn a_try_that_was_withdrawn_has_shown_nothing_and_counts_for_no_try() {
    let mut sample = Sample::new();
    let wrong = sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.withdraw(RENATE, wrong);
    let left = plan(&sample, &asked(&[1, 2], 600, Some(1)), 700);
    assert_eq!(run(&left, "once").unwrap().minutes, 9);
}

#[test]
fn what_was_met_today_and_is_asked_for_in_another_session_waits_for_that() {
    let mut sample = Sample::new();
    assert!(today(&sample, "twice", 1));
    sample.mark(RENATE, 1, "twice", Mark::Met, 1);
    assert!(
        brings_on(
            &sample.now,
            &student(1),
            &skill(&sample, "twice"),
            Setting::Confined
        ),
        "on another day"
    );
    assert!(!today(&sample, "twice", 1));
    assert!(today(&sample, "twice", 2));
    let left = plan(&sample, &asked(&[1], 600, Some(1)), 700);
    assert!(run(&left, "twice").is_none());
}

#[test]
fn another_way_of_a_skill_may_follow_the_same_day() {
    let mut sample = Sample::new();
    let ways: Vec<String> = skill(&sample, "ways")
        .methods_asked()
        .map(|method| method.id.as_str().to_owned())
        .collect();
    assert!(ways.len() > 1);
    sample.mark_way(RENATE, 1, "ways", &ways[0], 1);
    assert!(today(&sample, "ways", 1));
}

#[test]
fn after_three_misses_it_is_left_for_another_day() {
    let mut sample = Sample::new();
    for _ in 0..3 {
        assert!(today(&sample, "once", 1));
        sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    }
    assert!(!today(&sample, "once", 1));
    assert!(today(&sample, "once", 2));
}

#[test]
fn what_is_not_held_since_today_is_tried_again_today() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    assert!(!today(&sample, "once", 1));
    sample.mark(RENATE, 1, "once", Mark::Nearly, 1);
    assert!(today(&sample, "once", 1));
}

#[test]
fn the_likelier_a_miss_the_more_turns_are_kept() {
    let sample = Sample::new();
    let kept = |likely| {
        let plan = plan(&sample, &asked(&[1, 2], 600, None), likely);
        run(&plan, "once").unwrap().kept
    };
    assert_eq!([kept(1_000), kept(700), kept(200)], [0, 1, 2]);
}

#[test]
fn what_must_be_met_on_several_days_is_begun_before_what_is_met_on_one() {
    // Two lessons of everyone at once, of 10 minutes: time for one of them.
    let mut two = starter::outline().unwrap();
    let ids = ["kit-assemble", "partner-check"];
    two.skills.retain(|one| ids.contains(&one.id.as_str()));
    two.blocks.clear();
    for one in &mut two.skills {
        one.needs.clear();
        one.run.before.clear();
        (one.run.setup, one.run.turn) = (Some(0), Some(10));
        assert_eq!(one.run.form, RunForm::Together);
    }
    let mut sample = Sample::bare();
    let before = sample.now.outline_entry().unwrap();
    let outline = OutlineSet {
        outline: two,
        why: None,
    };
    sample.add(OFFICE, &[before], outline);
    let plan = plan(&sample, &asked(&[1, 2], 10, None), 700);
    let listed: Vec<&str> = plan.run_list.iter().map(SkillId::as_str).collect();
    assert_eq!(listed, ["partner-check"], "three sessions, not one");
    let all: Vec<StudentId> = vec![student(1), student(2)];
    assert_eq!(plan.stations[0].runs[0].students, all);
}
