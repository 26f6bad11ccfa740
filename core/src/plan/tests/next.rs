//! The next session, and what is left.

use std::collections::BTreeSet;

use crate::course::{Outline, Role, RunBy, RunForm, Setting, SkillId, StudentId, starter};
use crate::entry::{Mark, OutlineSet};
use crate::plan::{
    Because, Lacking, NextAsked, NextPlan, Station, brings_on, next_session, still_needs,
};
use crate::standing::sample::{OFFICE, PELLE, RENATE, Sample, skill, skill_id, student};

fn asked(setting: Setting, students: &[StudentId], minutes: u16) -> NextAsked {
    NextAsked {
        setting,
        minutes,
        students: students.to_vec(),
        staff: vec![(RENATE.staff, Role::Instructor)],
        minors: BTreeSet::new(),
        pinned: BTreeSet::new(),
        left_out: BTreeSet::new(),
        running: None,
    }
}

fn plan(sample: &Sample, asked: &NextAsked) -> NextPlan {
    next_session(&sample.now, asked, &|_, _| 700).unwrap()
}

fn ids(plan: &NextPlan) -> Vec<&str> {
    plan.run_list.iter().map(SkillId::as_str).collect()
}

fn because<'a>(plan: &'a NextPlan, skill: &str) -> Option<&'a Because> {
    let left = plan
        .left_over
        .iter()
        .find(|left| left.skill.as_str() == skill);
    left.map(|left| &left.because)
}

/// The sample's course with another outline and students 1 to `students`, two at least.
fn following(outline: Outline, students: u128) -> Sample {
    let mut sample = Sample::bare();
    let before = sample.now.outline_entry().unwrap();
    sample.add(OFFICE, &[before], OutlineSet { outline, why: None });
    for n in 3..=students {
        sample.enrol(n);
    }
    sample
}

#[test]
fn everything_that_is_open_is_proposed_when_there_is_time() {
    let sample = Sample::new();
    let plan = plan(
        &sample,
        &asked(Setting::Confined, &[student(1), student(2)], 600),
    );
    let listed: BTreeSet<&str> = ids(&plan).into_iter().collect();
    let all = ["once", "twice", "both", "ways", "builds", "extra"];
    assert_eq!(listed, all.into());
    assert!(plan.left_over.is_empty() && plan.unplaced.is_empty());
    // Each of six: 3 minutes to show, 2 for each and 2 for whoever misses.
    assert_eq!(plan.minutes, 6 * 9);
    assert_eq!(plan.stations[0].spare, 600 - 6 * 9);
    assert!(plan.stations[0].runs.iter().all(|run| run.kept == 1));
    assert_eq!(plan.gap_per_mille, 0);
}

#[test]
fn what_more_waits_for_is_run_before_what_nothing_waits_for() {
    let sample = Sample::new();
    // Time for one skill and one student.
    let one = plan(&sample, &asked(Setting::Confined, &[student(1)], 5));
    assert_eq!(one.run_list.len(), 1);
    let why = one.stations[0].runs[0].why;
    assert!(
        ["once", "twice", "both"].contains(&one.run_list[0].as_str()),
        "not an optional one"
    );
    assert_eq!(why.needed_by, 1);
    let left = because(&one, "extra").unwrap();
    assert_eq!(left, &Because::Minutes(5));
}

#[test]
fn a_skill_waits_for_what_it_builds_on_unless_that_is_run_through_before_it() {
    let mut sample = Sample::new();
    let mut only = asked(Setting::Confined, &[student(1)], 600);
    let whole = plan(&sample, &only);
    let at = |id: &str| ids(&whole).iter().position(|one| *one == id).unwrap();
    assert!(at("once") < at("builds"));
    only.left_out.insert(skill_id("once"));
    let without = plan(&sample, &only);
    assert_eq!(because(&without, "once"), Some(&Because::Asked));
    assert_eq!(
        because(&without, "builds"),
        Some(&Because::First(skill_id("once")))
    );
    sample.mark(PELLE, 1, "once", Mark::Met, 1);
    let after = plan(&sample, &only);
    assert!(ids(&after).contains(&"builds"), "shown is enough to go on");
}

#[test]
fn a_setting_where_a_skill_may_not_be_shown_does_not_propose_it() {
    let sample = Sample::new();
    let plan = plan(&sample, &asked(Setting::Classroom, &[student(1)], 600));
    assert!(plan.run_list.is_empty() && plan.left_over.is_empty());
}

#[test]
fn only_those_who_still_need_a_skill_are_named() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    let plan = plan(
        &sample,
        &asked(Setting::Confined, &[student(1), student(2)], 600),
    );
    let runs = &plan.stations[0].runs;
    let once = runs
        .iter()
        .find(|run| run.skill == skill_id("once"))
        .unwrap();
    assert_eq!(
        (once.students.as_slice(), once.minutes),
        ([student(2)].as_slice(), 5)
    );
}

#[test]
fn what_was_met_in_the_pool_and_is_asked_again_in_open_water_is_not_run_in_the_pool() {
    let mut sample = Sample::new();
    let both = sample
        .now
        .outline()
        .unwrap()
        .skill(&skill_id("both"))
        .unwrap()
        .clone();
    let on = |sample: &Sample, setting| brings_on(&sample.now, &student(1), &both, setting);
    assert!(on(&sample, Setting::Confined));
    sample.mark(RENATE, 1, "both", Mark::Met, 1);
    assert!(still_needs(&sample.now, &student(1), &both));
    assert!(!on(&sample, Setting::Confined) && on(&sample, Setting::Open));
    // Not held since: it is run again wherever it may be.
    sample.mark(RENATE, 1, "twice", Mark::Met, 1);
    let twice = sample
        .now
        .outline()
        .unwrap()
        .skill(&skill_id("twice"))
        .unwrap()
        .clone();
    assert!(
        brings_on(&sample.now, &student(1), &twice, Setting::Confined),
        "a second session"
    );
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
    let plan = plan(&sample, &asked(Setting::Confined, &[student(1)], 600));
    let again = plan.stations[0]
        .runs
        .iter()
        .find(|run| run.skill == once.id)
        .unwrap();
    assert_eq!(again.why.slipped, 1);
}

#[test]
fn minutes_of_a_line_up_are_one_slow_try_and_quick_ones() {
    let once = skill("once");
    assert_eq!(once.run_minutes(1), 5);
    assert_eq!(once.run_minutes(4), 5 + 3 * 2);
    assert_eq!(once.run_minutes(usize::MAX), u16::MAX);
}

#[test]
fn a_line_longer_than_a_session_is_run_in_parts_until_everyone_has_had_a_turn() {
    let mut lonely = starter::outline().unwrap();
    lonely
        .skills
        .retain(|skill| skill.id.as_str() == "reg-clear");
    lonely.blocks.clear();
    let mut sample = following(lonely, 8);
    let eight: Vec<StudentId> = (1..=8).map(student).collect();
    // The whole line takes 17 minutes, the session lasts 10.
    let mut sessions = 0;
    let mut open: BTreeSet<StudentId> = eight.iter().copied().collect();
    while !open.is_empty() {
        let plan = plan(&sample, &asked(Setting::Confined, &eight, 10));
        let tried = plan.stations[0].runs[0].students.clone();
        assert!(
            !tried.is_empty(),
            "nobody has a turn: the course never ends"
        );
        for one in tried {
            let n = (1..=8).find(|n| student(*n) == one).unwrap();
            sample.mark(RENATE, n, "reg-clear", Mark::Met, 1);
            open.remove(&one);
        }
        sessions += 1;
    }
    // Without a turn kept for whoever misses it would be two.
    assert_eq!(sessions, 3);
}

#[test]
fn eight_students_and_a_pool_evening_of_the_starter_outline_fit_and_stay_within_the_limits() {
    let sample = following(starter::outline().unwrap(), 8);
    let eight: Vec<StudentId> = (1..=8).map(student).collect();
    let outline = starter::outline().unwrap();
    let plan = plan(&sample, &asked(Setting::Confined, &eight, 90));
    assert!(plan.minutes <= 90 && plan.minutes > 60, "{}", plan.minutes);
    let runs = &plan.stations[0].runs;
    let mut minute = 0;
    for run in runs {
        let skill = outline.skill(&run.skill).unwrap();
        assert_eq!(run.starts, minute);
        let kept = run.kept * skill.turn_minutes();
        assert!(run.minutes <= skill.run_minutes(8) + kept);
        assert!(skill.run.form != RunForm::Together || run.kept == 0);
        assert!(skill.run.ascents == 0 || run.kept == 0, "{}", skill.id);
        minute += run.minutes;
        let before = |id: &SkillId| {
            runs.iter()
                .any(|one| &one.skill == id && one.starts < run.starts)
        };
        assert!(skill.run.before.iter().all(before), "{}", skill.id);
    }
    assert_eq!(plan.stations[0].buddies.len(), 4);
}

#[test]
fn an_assistant_runs_a_station_of_what_assistants_may_run_and_nothing_else() {
    let sample = following(starter::outline().unwrap(), 8);
    let outline = starter::outline().unwrap();
    let eight: Vec<StudentId> = (1..=8).map(student).collect();
    let alone = asked(Setting::Confined, &eight, 60);
    let mut two = alone.clone();
    two.staff.push((PELLE.staff, Role::Assistant));
    let plan = plan(&sample, &two);
    let helper = |station: &&Station| station.role == Role::Assistant;
    let theirs = plan
        .stations
        .iter()
        .filter(helper)
        .flat_map(|station| &station.runs);
    for run in theirs {
        assert_eq!(
            outline.skill(&run.skill).unwrap().run.by,
            RunBy::Assistant,
            "{}",
            run.skill
        );
    }
    // Nobody is at two stations at once.
    let all = plan.stations.iter().enumerate();
    let runs: Vec<_> = all
        .flat_map(|(at, station)| station.runs.iter().map(move |run| (at, run)))
        .collect();
    for (at, run) in &runs {
        for (other, beside) in runs.iter().filter(|(other, _)| other != at) {
            let apart = run.starts + run.minutes <= beside.starts
                || beside.starts + beside.minutes <= run.starts;
            let shared = run.students.iter().any(|one| beside.students.contains(one));
            assert!(
                apart || !shared,
                "{} at {at}, {} at {other}",
                run.skill,
                beside.skill
            );
        }
    }
    assert!(plan.stations.iter().all(|station| station.spare < 60));
    // Without an instructor nothing that only an instructor may run.
    let mut helpers = alone;
    helpers.staff = vec![(PELLE.staff, Role::Assistant)];
    let left = next_session(&sample.now, &helpers, &|_, _| 700).unwrap();
    assert_eq!(because(&left, "reg-clear"), Some(&Because::Instructor));
}

#[test]
fn nobody_is_planned_beyond_the_ratio() {
    let mut sample = Sample::new();
    for n in 3..=8 {
        sample.enrol(n);
    }
    // Four for an instructor by the sample's rules.
    let eight: Vec<StudentId> = (1..=8).map(student).collect();
    let plan = plan(&sample, &asked(Setting::Confined, &eight, 600));
    assert_eq!(plan.unplaced.len(), 4);
}

#[test]
fn a_minor_has_an_adult_as_buddy_where_there_is_one() {
    let sample = following(starter::outline().unwrap(), 4);
    let mut four = asked(Setting::Confined, &[1, 2, 3, 4].map(student), 90);
    four.minors = [student(1), student(2)].into();
    let plan = plan(&sample, &four);
    for pair in &plan.stations[0].buddies {
        assert_eq!(
            pair.iter().filter(|one| four.minors.contains(one)).count(),
            1
        );
    }
}

#[test]
fn what_a_person_pins_is_run_and_the_rest_is_solved_anew() {
    let sample = Sample::new();
    let mut one = asked(Setting::Confined, &[student(1)], 5);
    one.pinned.insert(skill_id("extra"));
    let pinned = plan(&sample, &one);
    assert_eq!(ids(&pinned), ["extra"]);
    assert!(pinned.stations[0].runs[0].why.pinned);
}

#[test]
fn what_is_missing_is_said_and_no_plan_is_made() {
    let sample = Sample::new();
    let whole = asked(Setting::Confined, &[student(1)], 60);
    let lacking = |sample: &Sample, asked: &NextAsked| {
        next_session(&sample.now, asked, &|_, _| 700).unwrap_err()
    };
    let nobody = NextAsked {
        students: Vec::new(),
        ..whole.clone()
    };
    assert_eq!(lacking(&sample, &nobody), Lacking::Students);
    let no_staff = NextAsked {
        staff: vec![(OFFICE.staff, Role::Shop)],
        ..whole.clone()
    };
    assert_eq!(lacking(&sample, &no_staff), Lacking::Staff);
    let no_time = NextAsked {
        minutes: 0,
        ..whole.clone()
    };
    assert_eq!(lacking(&sample, &no_time), Lacking::Minutes);
    assert_eq!(lacking(&Sample::empty(), &whole), Lacking::Outline);
    let mut ring = starter::outline().unwrap();
    let first = ring.skills[0].id.clone();
    ring.skills[0].needs = vec![first.clone()];
    assert_eq!(lacking(&following(ring, 1), &whole), Lacking::Ring(first));
}

#[test]
fn the_same_course_gives_the_same_plan() {
    let sample = following(starter::outline().unwrap(), 6);
    let six: Vec<StudentId> = (1..=6).map(student).collect();
    let mut wanted = asked(Setting::Confined, &six, 75);
    wanted.staff.push((PELLE.staff, Role::Assistant));
    assert_eq!(plan(&sample, &wanted), plan(&sample, &wanted));
}

#[test]
fn pairs_count_once_a_pair() {
    let outline = starter::outline().unwrap();
    let hover = outline.skill(&skill_id("weight-check")).unwrap();
    assert_eq!(hover.run.form, RunForm::Pairs);
    assert_eq!(hover.run_minutes(8), 3 + 4 * 3);
}
