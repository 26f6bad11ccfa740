//! Sessions as they are drafted, planned and listed, and the ratio.

mod water;

use chrono::NaiveDate;

use super::Eyes;
use crate::course::{AgeKnown, Block, ClearanceKind, Rule, SessionPlan, Setting, SkillId};
use crate::entry::{ClearanceResult, Kind, Mark, OutlineSet, Passage, SessionPlanned, Who};
use crate::plan::Missing;
use crate::standing::sample::{
    OFFICE, PELLE, RENATE, Sample, day, plan, session, skill_id, student, time,
};
use crate::view::{
    BecauseView, Consider, LackingView, Leave, Limit, ProposalView, RatioOf, RatioReason,
    SessionListView, SessionState, SessionView, draft, make_up, ratio,
};

const GROWN: &[AgeKnown] = &[AgeKnown::Born(NaiveDate::MIN); 12];

fn ratio_of(students: usize, instructors: usize, assistants: usize) -> RatioOf<'static> {
    RatioOf {
        setting: Setting::Confined,
        on: day("2026-06-02"),
        students: &GROWN[..students],
        instructors,
        assistants,
    }
}

#[test]
fn a_ceiling_is_a_sum_with_a_cap_and_says_how_it_came_about() {
    let mut sample = Sample::new();
    sample.confirm_rules();
    let of = |students, instructors, assistants| {
        ratio(
            &sample.now,
            ratio_of(students, instructors, assistants),
            Vec::new(),
        )
        .unwrap()
    };
    let view = of(6, 1, 1);
    assert_eq!((view.ceiling, view.limit), (Some(6), Limit::Within));
    assert_eq!(
        view.reasons,
        [
            RatioReason::Instructors { count: 1, each: 4 },
            RatioReason::Assistants { count: 1, each: 2 }
        ]
    );
    assert_eq!(of(7, 1, 1).limit, Limit::Over);
    let capped = of(7, 2, 0);
    assert_eq!((capped.ceiling, capped.limit), (Some(7), Limit::Within));
    assert_eq!(capped.reasons.last(), Some(&RatioReason::Cap(7)));
    let alone = of(1, 0, 3);
    assert_eq!((alone.ceiling, alone.limit), (Some(0), Limit::Over));
    assert_eq!(alone.reasons, [RatioReason::NoInstructor]);
}

#[test]
fn a_ratio_that_nobody_confirmed_is_never_kept() {
    let sample = Sample::new();
    let view = ratio(&sample.now, ratio_of(1, 1, 0), Vec::new()).unwrap();
    assert_eq!(view.limit, Limit::Unconfirmed);
    let over = ratio(&sample.now, ratio_of(9, 1, 0), Vec::new()).unwrap();
    assert_eq!(over.limit, Limit::Over);
    let mut open = ratio_of(1, 1, 0);
    open.setting = Setting::Open;
    let view = ratio(&sample.now, open, Vec::new()).unwrap();
    assert_eq!((view.limit, view.ceiling), (Limit::NoRule, None));
    open.setting = Setting::Classroom;
    assert!(ratio(&sample.now, open, Vec::new()).is_none());
}

#[test]
fn a_session_shows_its_people_with_their_gaps_and_its_skills_with_who_needs_them() {
    let mut sample = Sample::new();
    sample.confirm_rules();
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Cleared);
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    sample.enrol(3);
    let eyes = Eyes::new();
    let view = SessionView::of(&sample.now, &eyes.reader(OFFICE), &session(1)).unwrap();
    assert_eq!(view.state, SessionState::Ahead);
    assert_eq!((view.ends.hour, view.ends.minute), (11, 30));
    let names: Vec<(&str, bool, usize)> = view
        .students
        .iter()
        .map(|one| (one.name.short.as_str(), one.chosen, one.gaps.len()))
        .collect();
    assert_eq!(
        names,
        [
            ("Émile", true, 2),
            ("Ottilie", true, 0),
            ("Zofia", false, 2)
        ],
        "nobody knows Zofia's age"
    );
    assert_eq!(view.students[2].gaps[0].what, Missing::Age);
    assert_eq!(
        view.students[2].gaps[1].what,
        Missing::Clearance(ClearanceKind::Health)
    );
    let staff: Vec<(&str, bool)> = view
        .staff
        .iter()
        .map(|one| (one.name.name.as_str(), one.chosen))
        .collect();
    assert_eq!(
        staff,
        [
            ("Odd Lien", false),
            ("Pelle Strand", true),
            ("Renate Solberg", true)
        ]
    );
    let once = &view.run_list[0];
    assert_eq!((once.place, once.needed_by.len(), once.minutes), (1, 1, 5));
    let builds = view
        .run_list
        .iter()
        .find(|row| row.skill == skill_id("builds"));
    assert_eq!(
        builds.unwrap().not_ready,
        0,
        "once is run through before it"
    );
    assert_eq!(view.run_minutes, 5 + 5 * 7);
    assert!(view.fits);
    let ratio = view.ratio.unwrap();
    assert_eq!((ratio.students, ratio.ceiling), (2, Some(6)));
    assert_eq!(ratio.consider, [Consider::Minors(1)]);
    assert_eq!(view.water.max_depth.unwrap().to_string(), "3.0 m");
    assert_eq!(view.may_plan, Leave::Yes);
    assert_eq!(view.sites, ["Old mill pond"]);
}

#[test]
fn a_draft_is_looked_at_as_if_it_were_planned() {
    let sample = Sample::new();
    let eyes = Eyes::new();
    let mut plan = plan(Setting::Open, "2026-06-07T09:00:00+02:00");
    plan.run_list = vec![skill_id("builds")];
    plan.minutes = 6;
    plan.water.max_depth_cm = Some(1_500);
    let view = SessionView::of_draft(&sample.now, &eyes.reader(PELLE), &plan);
    assert_eq!(view.session, None);
    assert_eq!(view.run_list[0].not_ready, 2, "once is not run before it");
    assert!(!view.fits, "7 minutes in 6");
    assert_eq!(view.could_add.len(), 5);
    assert_eq!(
        view.water.depth_limit,
        Limit::Over,
        "the first dive goes to 12 m"
    );
    assert_eq!(view.water.depth_allowed.unwrap().to_string(), "12.0 m");
    let rule = view.water.depth_rule.unwrap();
    let rules = &sample.now.policy().unwrap().policy.rules;
    let of_depth = rules.iter().find(|one| one.id == rule).unwrap();
    assert!(
        matches!(of_depth.rule, Rule::Depth { max_cm: 1_200, .. }),
        "{of_depth:?}"
    );
    assert_eq!(view.may_plan, Leave::Role);
}

#[test]
fn a_plan_begins_with_who_is_in_the_course_and_the_place_used_last() {
    let sample = Sample::new();
    let eyes = Eyes::new();
    let plan = draft(&sample.now, &eyes.reader(RENATE), None);
    assert_eq!(plan.students, [student(2), student(1)], "by name");
    assert_eq!(plan.site, "Old mill pond");
    assert_eq!(plan.starts, time("2026-06-03T10:00:00+02:00"));
    let nothing = draft(&Sample::empty().now, &eyes.reader(RENATE), None);
    assert_eq!(nothing.starts, eyes.now, "the next half hour");
    assert!(nothing.site.is_empty() && nothing.students.is_empty());
}

#[test]
fn once_every_block_is_planned_the_one_most_open_is_held_again_for_those_who_need_it() {
    let mut sample = Sample::new();
    let eyes = Eyes::new();
    let mut outline = sample.now.outline().unwrap().clone();
    outline.edition += 1;
    let skills: Vec<SkillId> = outline.skills.iter().map(|one| one.id.clone()).collect();
    outline.blocks = vec![Block {
        id: "pool".parse().unwrap(),
        title: "Pool: everything".into(),
        setting: Setting::Confined,
        run_list: skills.clone(),
        minutes: 90,
    }];
    let after = sample.now.all_of_kind(Kind::OutlineSet);
    sample.add(RENATE, &after, OutlineSet { outline, why: None });
    let first = draft(&sample.now, &eyes.reader(RENATE), None);
    assert_eq!(first.title, "Pool: everything");
    assert_eq!(first.run_list, skills, "the whole of it");
    sample.add(
        RENATE,
        &[],
        SessionPlanned {
            session: session(9),
            plan: first,
        },
    );
    sample.mark(RENATE, 1, "once", Mark::Met, 9);
    let again = draft(&sample.now, &eyes.reader(RENATE), None);
    assert_eq!(again.title, "Pool: everything");
    assert!(
        again.run_list.contains(&skill_id("once")),
        "another needs it"
    );
    sample.mark(RENATE, 2, "once", Mark::Met, 9);
    let again = draft(&sample.now, &eyes.reader(RENATE), None);
    assert!(!again.run_list.contains(&skill_id("once")));
    assert!(again.run_list.len() < skills.len());
}

#[test]
fn a_make_up_is_of_the_block_that_was_held_with_what_that_student_still_needs() {
    let mut sample = Sample::new();
    let eyes = Eyes::new();
    let mut outline = sample.now.outline().unwrap().clone();
    outline.edition += 1;
    let skills: Vec<SkillId> = outline.skills.iter().map(|one| one.id.clone()).collect();
    let block = |id: &str, run_list: &[SkillId]| Block {
        id: id.parse().unwrap(),
        title: format!("Pool: {id}"),
        setting: Setting::Confined,
        run_list: run_list.to_vec(),
        minutes: 90,
    };
    outline.blocks = vec![
        block("held", std::slice::from_ref(&skill_id("once"))),
        block("ahead", &skills),
    ];
    let after = sample.now.all_of_kind(Kind::OutlineSet);
    sample.add(RENATE, &after, OutlineSet { outline, why: None });
    let held = draft(&sample.now, &eyes.reader(RENATE), None);
    assert_eq!(held.title, "Pool: held");
    let mut held = held;
    held.starts -= chrono::TimeDelta::days(3);
    sample.add(
        RENATE,
        &[],
        SessionPlanned {
            session: session(9),
            plan: held,
        },
    );
    let missed = make_up(&sample.now, &eyes.reader(RENATE), student(2)).unwrap();
    assert_eq!(missed.title, "Pool: held", "before what is still to come");
    assert_eq!(missed.run_list, [skill_id("once")]);
    assert_eq!(missed.students, [student(2)]);
    // Once it is met there, the next that is needed.
    sample.mark(RENATE, 2, "once", Mark::Met, 9);
    let next = make_up(&sample.now, &eyes.reader(RENATE), student(2)).unwrap();
    assert_eq!(next.title, "Pool: ahead");
    assert!(!next.run_list.contains(&skill_id("once")));
}

#[test]
fn a_proposal_is_a_plan_with_stations_and_says_why() {
    let sample = Sample::new();
    let eyes = Eyes::new();
    let mut asked = plan(Setting::Confined, "2026-06-02T10:00:00+02:00");
    asked.minutes = 15;
    let view = |plan: &SessionPlan, pinned: &[_], left: &[_]| {
        ProposalView::of(&sample.now, &eyes.reader(RENATE), plan, pinned, left)
    };
    let found = view(&asked, &[], &[]);
    assert_eq!(found.lacking, None);
    assert!(found.minutes <= 15 && !found.plan.run_list.is_empty());
    assert_eq!(found.stations[0].runs[0].from.minute, 0);
    assert_eq!(found.stations[0].buddies[0].len(), 2);
    assert!(!found.left_over.is_empty());
    // Pinned and left out by hand.
    let extra = skill_id("extra");
    assert!(!found.plan.run_list.contains(&extra), "not required: last");
    let pinned = view(&asked, std::slice::from_ref(&extra), &[]);
    assert!(pinned.plan.run_list.contains(&extra));
    let first = found.plan.run_list[0].clone();
    let without = view(&asked, &[], std::slice::from_ref(&first));
    assert!(!without.plan.run_list.contains(&first));
    let left = without.left_over.iter().find(|row| row.skill == first);
    assert_eq!(left.unwrap().because, BecauseView::Asked);
    // Nothing to run it with.
    asked.staff.clear();
    assert_eq!(view(&asked, &[], &[]).lacking, Some(LackingView::Staff));
}

#[test]
fn what_is_left_of_a_session_is_proposed_for_those_who_missed_today() {
    let mut sample = Sample::new();
    let eyes = Eyes::new();
    let once = skill_id("once");
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.mark(RENATE, 2, "once", Mark::Met, 1);
    let mut left = plan(Setting::Confined, "2026-06-02T10:00:00+02:00");
    // One turn; with a briefing it would be five minutes.
    left.minutes = 2;
    let reader = eyes.reader(RENATE);
    let found = ProposalView::of_what_is_left(&sample.now, &reader, session(1), &left, &[], &[]);
    assert_eq!(found.plan.run_list, std::slice::from_ref(&once));
    assert_eq!(found.plan.stations[0].runs[0].students, [student(1)]);
    let next = ProposalView::of(&sample.now, &reader, &left, &[], &[]);
    assert_eq!(next.lacking, Some(LackingView::Nothing));
}

#[test]
fn what_now_fills_the_minutes_that_are_left_and_keeps_what_was_tried_on_the_list() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "twice", Mark::Met, 1);
    sample.mark(RENATE, 2, "twice", Mark::Met, 1);
    let starts = "2026-06-02T10:00:00+02:00";
    let mut whole = plan(Setting::Confined, starts);
    // At 10:20:30 of an hour the twenty-first minute has begun.
    whole.minutes = 60;
    let eyes = Eyes::new().at("2026-06-02T10:20:30+02:00");
    let reader = eyes.reader(RENATE);
    let now = |plan: &SessionPlan| {
        ProposalView::of_what_is_left(&sample.now, &reader, session(1), plan, &[], &[])
    };
    let found = now(&whole);
    assert_eq!(found.lacking, None);
    assert!(found.minutes <= 39, "{}", found.minutes);
    assert_eq!(found.plan.run_list[0], skill_id("twice"), "as it was held");
    assert!(found.plan.run_list.len() > 1);
    assert_eq!((found.plan.minutes, found.plan.starts), (60, time(starts)));
    let laid = found.plan.stations.iter().flat_map(|one| &one.runs);
    assert_eq!(laid.map(|run| run.starts).min(), Some(21));
    let shown = found.stations.iter().flat_map(|one| &one.runs);
    assert_eq!(shown.map(|run| run.from.minute).min(), Some(21));
    assert_eq!(now(&found.plan).plan, found.plan, "asked again, the same");
    // Who stays away is not planned for, and stays on the session.
    let mut sample = sample.clone();
    let away = Who::Student(student(2));
    sample.pass(away, 1, Passage::Absent, "2026-06-02T10:01:00+02:00");
    let found = ProposalView::of_what_is_left(&sample.now, &reader, session(1), &whole, &[], &[]);
    let mut tries = found.plan.stations.iter().flat_map(|one| &one.runs);
    assert!(tries.all(|run| !run.students.contains(&student(2))));
    assert_eq!(found.plan.students, whole.students);
    // Past its end nothing is left, until it is given more minutes.
    let eyes = Eyes::new().at("2026-06-02T11:00:00+02:00");
    let reader = eyes.reader(RENATE);
    let now = |plan: &SessionPlan| {
        ProposalView::of_what_is_left(&sample.now, &reader, session(1), plan, &[], &[])
    };
    let over = now(&whole);
    assert_eq!(
        (over.lacking, &over.plan),
        (Some(LackingView::Over), &whole)
    );
    let mut longer = whole;
    longer.minutes = 90;
    assert_eq!(now(&longer).lacking, None);
}

#[test]
fn turns_that_are_kept_for_second_tries_stand_in_the_plan_and_beside_its_stations() {
    let sample = Sample::new();
    let eyes = Eyes::new();
    let mut asked = plan(Setting::Confined, "2026-06-02T10:00:00+02:00");
    asked.staff = vec![RENATE.staff];
    let found = ProposalView::of(&sample.now, &eyes.reader(RENATE), &asked, &[], &[]);
    let laid = found.plan.stations.iter().flat_map(|one| &one.runs);
    let shown = found.stations.iter().flat_map(|one| &one.runs);
    let once = skill_id("once");
    let kept: u16 = laid
        .filter(|run| run.skill == once)
        .map(|run| run.kept)
        .sum();
    assert_eq!(
        kept, 1,
        "two students, of whom seven in ten are likely to meet it"
    );
    let beside: u16 = shown
        .filter(|run| run.skill == once)
        .map(|run| run.kept)
        .sum();
    assert_eq!(beside, kept);
}

#[test]
fn sessions_stand_in_order_and_the_next_is_the_first_not_over() {
    let mut sample = Sample::new();
    let eyes = Eyes::new().at("2026-06-02T11:29:00+02:00");
    let list =
        |sample: &Sample, eyes: &Eyes| SessionListView::of(&sample.now, &eyes.reader(RENATE));
    let view = list(&sample, &eyes);
    assert_eq!(view.next, Some(session(1)));
    assert_eq!(view.rows[0].state, SessionState::Running);
    assert_eq!(view.rows[0].with_gaps, 2);
    let eyes = eyes.at("2026-06-02T11:30:00+02:00");
    let view = list(&sample, &eyes);
    assert_eq!(
        (view.rows[0].state, view.next),
        (SessionState::Over, Some(session(2)))
    );
    let after = sample.now.session_entries(&session(2));
    let why = "Thunder".to_owned();
    let cancelled = crate::entry::SessionCancelled {
        session: session(2),
        why,
    };
    sample.add(RENATE, &after, cancelled);
    let view = list(&sample, &eyes);
    assert_eq!(view.next, Some(session(3)));
    assert_eq!(view.rows[1].cancelled.as_deref(), Some("Thunder"));
    assert_eq!(
        (view.rows[1].state, view.rows[1].changes),
        (SessionState::Cancelled, 1)
    );
}
