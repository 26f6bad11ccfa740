//! The season: what marks say of minutes, of what is held on another day, and of the order.

use crate::course::{Block, Outline, RunForm, Setting, Skill, starter};
use crate::entry::{Mark, OutlineSet, SessionPlanned};
use crate::plan::season::{Change, Ran, Told, TriedAgain, changed, fitted, may_swap};
use crate::standing::sample::{ODD, OFFICE, RENATE, Sample, outline, plan, session, skill_id};

/// Session 1 of the sample is on from ten to half past eleven.
fn at(clock: &str) -> String {
    format!("2026-06-02T{clock}:00+02:00")
}

fn line(sample: &mut Sample, skill: &str, clocks: &[&str]) {
    for (n, clock) in (1..).zip(clocks) {
        sample.clock(&at(clock));
        sample.mark(RENATE, n, skill, Mark::Met, 1);
    }
}

fn told(sample: &Sample) -> Told {
    Told::of(&sample.now)
}

fn ran(skill: &str, students: usize, minutes: u32) -> Ran {
    Ran {
        skill: skill_id(skill),
        students,
        seconds: minutes * 60,
    }
}

#[test]
fn a_line_takes_from_the_last_mark_before_it_to_its_own_last_mark() {
    let mut sample = Sample::new();
    line(&mut sample, "once", &["10:05", "10:08"]);
    line(&mut sample, "both", &["10:15", "10:20"]);
    line(&mut sample, "twice", &["10:22"]);
    // Nobody knows when the first line began.
    assert_eq!(told(&sample).ran, [ran("both", 2, 12), ran("twice", 1, 2)]);
}

#[test]
fn what_another_person_marked_is_a_line_of_their_own() {
    let mut sample = Sample::new();
    line(&mut sample, "once", &["10:05"]);
    sample.clock(&at("10:10"));
    sample.mark(ODD, 2, "both", Mark::Met, 1);
    line(&mut sample, "twice", &["10:20"]);
    assert_eq!(told(&sample).ran, [ran("twice", 1, 15)]);
}

#[test]
fn a_line_that_was_interrupted_or_tapped_afterwards_is_not_counted() {
    let mut sample = Sample::new();
    line(&mut sample, "once", &["10:05"]);
    line(&mut sample, "both", &["10:15"]);
    line(&mut sample, "twice", &["10:20"]);
    sample.clock(&at("10:30"));
    sample.mark(RENATE, 2, "both", Mark::Met, 1);
    assert_eq!(
        told(&sample).ran,
        [ran("twice", 1, 5)],
        "both was taken up twice"
    );

    let mut sample = Sample::new();
    line(&mut sample, "once", &["10:05"]);
    // Tapped one after the other, seconds apart: nobody knows when the first ended.
    line(&mut sample, "both", &["10:40"]);
    sample.mark(RENATE, 1, "twice", Mark::Met, 1);
    assert_eq!(told(&sample).ran, []);
}

#[test]
fn a_second_try_a_withdrawn_mark_and_the_evening_after_say_nothing_of_minutes() {
    let mut sample = Sample::new();
    line(&mut sample, "once", &["10:05"]);
    sample.clock(&at("10:10"));
    sample.mark(RENATE, 1, "both", Mark::NotYet, 1);
    sample.mark(RENATE, 1, "both", Mark::Met, 1);
    assert_eq!(told(&sample).ran, [], "two tries of one student");

    let mut sample = Sample::new();
    line(&mut sample, "once", &["10:05"]);
    sample.clock(&at("10:12"));
    let wrong = sample.mark(RENATE, 1, "both", Mark::Met, 1);
    sample.withdraw(RENATE, wrong);
    line(&mut sample, "twice", &["10:20"]);
    assert_eq!(told(&sample).ran, [ran("twice", 1, 15)]);

    let mut sample = Sample::new();
    line(&mut sample, "once", &["21:05"]);
    line(&mut sample, "both", &["21:15"]);
    assert_eq!(told(&sample).ran, [], "long after the session");
}

#[test]
fn the_first_session_after_one_in_which_it_was_met_says_whether_it_is_held() {
    let mut sample = Sample::new();
    // Session 1 on the second, 2 on the third, 3 in the lake on the sixth of June.
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    sample.mark(RENATE, 1, "once", Mark::NotYet, 2);
    sample.mark(RENATE, 1, "once", Mark::Met, 3);
    sample.mark(RENATE, 2, "both", Mark::Met, 1);
    sample.mark(RENATE, 2, "both", Mark::Met, 3);
    let again = |skill: &str, setting, days, held| TriedAgain {
        skill: skill_id(skill),
        setting,
        days,
        held,
    };
    // What was missed on the third was not met any more when it was tried on the sixth.
    assert_eq!(
        told(&sample).again,
        [
            again("once", Setting::Confined, 1, false),
            again("both", Setting::Open, 4, true),
        ]
    );
}

#[test]
fn sitting_out_is_no_try_and_a_wrong_clock_moves_no_day() {
    let mut sample = Sample::new();
    sample.clock("2031-01-01T09:00:00+01:00");
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    sample.clock("2020-01-01T09:00:00+01:00");
    sample.mark(RENATE, 1, "once", Mark::SatOut, 2);
    sample.mark(RENATE, 1, "once", Mark::Met, 3);
    let again = told(&sample).again;
    assert_eq!(again.len(), 1);
    assert_eq!((again[0].days, again[0].held), (4, true));
}

fn with_block() -> Outline {
    let mut outline = outline();
    outline.blocks = vec![Block {
        id: "pool-1".parse().unwrap(),
        title: "Pool 1".to_owned(),
        setting: Setting::Confined,
        run_list: ["once", "both", "builds"].map(skill_id).to_vec(),
        minutes: 90,
    }];
    outline
}

#[test]
fn the_order_is_told_of_sessions_that_carry_out_a_block() {
    let mut sample = Sample::new();
    line(&mut sample, "both", &["10:05"]);
    assert_eq!(told(&sample).order, [], "a session of no block");
    let after = sample.now.all_of_kind(crate::entry::Kind::OutlineSet);
    let outline = with_block();
    sample.add(OFFICE, &after, OutlineSet { outline, why: None });
    let mut planned = plan(Setting::Confined, &at("10:00"));
    planned.block = Some("pool-1".parse().unwrap());
    let after = sample.now.session_entries(&session(1));
    let session = session(1);
    let plan = planned;
    sample.add(OFFICE, &after, SessionPlanned { session, plan });
    line(&mut sample, "once", &["10:10"]);
    let order = told(&sample).order;
    assert_eq!(order.len(), 1);
    assert_eq!(order[0].skills, ["both", "once"].map(skill_id));
}

#[test]
fn neighbours_change_places_and_what_builds_on_a_skill_stays_behind_it() {
    let outline = with_block();
    assert!(may_swap(&outline, &skill_id("once"), &skill_id("both")));
    assert!(!may_swap(&outline, &skill_id("once"), &skill_id("builds")));
    let order = |skill: &str, before: &str| Change::Order {
        block: "pool-1".parse().unwrap(),
        skill: skill_id(skill),
        before: skill_id(before),
    };
    let next = changed(&outline, &[order("both", "once")]);
    let expected = ["both", "once", "builds"].map(skill_id);
    assert_eq!(next.blocks[0].run_list, expected);
    assert_eq!(next.edition, outline.edition + 1);
    // They are no neighbours: it stays.
    let same = changed(&outline, &[order("builds", "once")]);
    assert_eq!(same.blocks, outline.blocks);
}

#[test]
fn fitted_minutes_are_whole_and_the_outline_with_them_stays_sound() {
    let outline = starter::outline().unwrap();
    let take = outline.skill(&skill_id("gas-take")).unwrap();
    let (setup, turn) = (take.setup_minutes(), take.turn_minutes());
    assert_eq!((setup, turn, take.run.form), (3, 3, RunForm::Pairs));
    let minutes = |skill: &Skill| (skill.setup_minutes(), skill.turn_minutes());
    let next = changed(&outline, &[fitted(take, 150)]);
    assert_eq!(minutes(next.skill(&take.id).unwrap()), (5, 5));
    let none = changed(&outline, &[fitted(take, 1)]);
    assert_eq!(minutes(none.skill(&take.id).unwrap()), (0, 1));
    assert_eq!((next.faults(), none.faults()), (vec![], vec![]));
}
