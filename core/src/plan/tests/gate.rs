//! The gate before water: skills that must stand, and the rules on age.

use std::collections::BTreeSet;

use crate::course::{
    AgeKnown, Before, ClearanceKind, Condition, Measure, Role, Rule, SessionPlan, Setting, SkillId,
    StaffPaper,
};
use crate::entry::{
    Body, ClearanceResult, Kind, Mark, OutlineSet, Override, Resolution, StaffRenewed, Who,
};
use crate::plan::{
    Going, Missing, StaffMissing, ascents_of_day, ascents_planned, before_session, before_staff,
};
use crate::standing::sample::{
    ODD, PELLE, RENATE, Sample, day, plan, policy, read_text, rule_id, session, shop, skill_id,
    student,
};
use crate::standing::{CellState, ShopStanding};

const ON: &str = "2026-06-06";

fn grown() -> AgeKnown {
    AgeKnown::Born(day("1990-05-05"))
}

fn lake(depth_cm: Option<u32>, held: Option<u128>) -> Going {
    Going {
        setting: Setting::Open,
        on: day(ON),
        depth_cm,
        session: held.map(session),
        conditions: BTreeSet::new(),
    }
}

/// Skills and ages alone: the papers are another test's.
fn missing(sample: &Sample, going: &Going, age: AgeKnown) -> Vec<Missing> {
    let gaps = before_session(
        &ShopStanding::default(),
        &sample.now,
        &student(1),
        going,
        age,
    );
    let what = gaps.into_iter().map(|gap| gap.what);
    what.filter(|what| !matches!(what, Missing::Clearance(_)))
        .collect()
}

fn first(skills: &[&str], before: Before) -> Vec<(&'static str, Rule)> {
    let skills = skills.iter().map(|id| skill_id(id)).collect();
    vec![("first", Rule::SkillsFirst { skills, before })]
}

const OPEN: Before = Before::Setting {
    setting: Setting::Open,
};

fn open(skill: &str) -> Missing {
    Missing::Skill {
        skill: skill_id(skill),
        state: CellState::Open,
        met: 0,
        of: 1,
    }
}

#[test]
fn open_water_asks_for_the_skills_that_must_stand_and_the_pool_does_not() {
    let mut sample = Sample::with_rules(first(&["once", "builds"], OPEN));
    let going = lake(Some(1_200), Some(3));
    assert_eq!(
        missing(&sample, &going, grown()),
        [open("builds"), open("once")]
    );
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    assert_eq!(missing(&sample, &going, grown()), [open("builds")]);
    let pool = Going {
        setting: Setting::Confined,
        ..going
    };
    assert_eq!(missing(&sample, &pool, grown()), []);
}

#[test]
fn a_skill_that_the_lake_also_asks_for_stands_once_the_pool_has_seen_it() {
    let mut sample = Sample::with_rules(first(&["both"], OPEN));
    let going = lake(None, Some(3));
    assert_eq!(missing(&sample, &going, grown()), [open("both")]);
    sample.mark(RENATE, 1, "both", Mark::Met, 1);
    assert_eq!(missing(&sample, &going, grown()), []);
}

#[test]
fn what_waits_slipped_or_was_seen_in_two_ways_does_not_stand() {
    let mut sample = Sample::with_rules(first(&["builds", "both", "ways"], OPEN));
    let going = lake(None, Some(3));
    sample.mark(PELLE, 1, "builds", Mark::Met, 1);
    sample.mark(RENATE, 1, "both", Mark::Met, 1);
    sample.mark(RENATE, 1, "both", Mark::NotYet, 2);
    sample.mark_way(RENATE, 1, "ways", "purge", 1);
    let gaps = before_session(
        &ShopStanding::default(),
        &sample.now,
        &student(1),
        &going,
        grown(),
    );
    let closing = |skill: &str| {
        let of = |what: &Missing| {
            if let Missing::Skill { skill, .. } | Missing::SlippedSince(skill) = what {
                Some(skill.clone())
            } else {
                None
            }
        };
        let mut gaps = gaps.iter();
        gaps.find(|gap| of(&gap.what) == Some(skill_id(skill)))
            .map(|gap| gap.closes_with)
    };
    assert_eq!(closing("builds"), Some(Kind::Confirmation));
    assert_eq!(closing("both"), Some(Kind::Resolution));
    assert_eq!(closing("ways"), Some(Kind::Attempt));
    let seen = sample.seen(1, "both");
    let word = Resolution {
        student: student(1),
        skill: skill_id("both"),
        mark: Mark::Met,
        why: "Shown again".to_owned(),
    };
    sample.add(RENATE, &seen, word);
    let left = missing(&sample, &going, grown());
    assert!(
        !left.contains(&Missing::SlippedSince(skill_id("both"))),
        "{left:?}"
    );
}

#[test]
fn a_rule_that_nobody_confirmed_opens_no_gate() {
    let mut sample = Sample::new();
    let after = sample.now.all_of_kind(Kind::PolicySet);
    let mut asked = policy();
    for (id, rule) in first(&["once"], OPEN) {
        asked.rules.push(crate::course::PolicyRule {
            id: rule_id(id),
            rule,
            source: "Invented for a test".to_owned(),
        });
    }
    let confirmed = asked
        .rules
        .iter()
        .filter(|rule| rule.id != rule_id("first"))
        .map(|rule| crate::entry::RuleConfirmed {
            rule: rule.id.clone(),
            by: RENATE.staff,
            on: day("2026-06-01"),
            read: read_text(),
        })
        .collect();
    let set = crate::entry::PolicySet {
        policy: asked,
        confirmed,
        proofs: Vec::new(),
    };
    sample.add(RENATE, &after, set);
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    assert_eq!(
        missing(&sample, &lake(None, Some(3)), grown()),
        [Missing::RuleUnconfirmed(rule_id("first"))]
    );
}

#[test]
fn a_rule_on_a_dive_asks_from_that_dive_on() {
    let mut sample = Sample::with_rules(first(&["once"], Before::OpenDive { dive: 2 }));
    let going = lake(None, Some(3));
    assert_eq!(missing(&sample, &going, grown()), []);
    sample.dive(Who::Student(student(1)), Some(1), ("08:00", "08:30"), 300);
    assert_eq!(missing(&sample, &going, grown()), [], "a pool is no dive");
    sample.dive(Who::Student(student(1)), Some(3), ("09:00", "09:30"), 900);
    assert_eq!(missing(&sample, &going, grown()), [open("once")]);
}

#[test]
fn a_rule_on_a_depth_asks_of_a_deeper_plan_and_of_one_without_a_depth() {
    let sample = Sample::with_rules(first(&["once"], Before::Deeper { than_cm: 1_200 }));
    assert_eq!(missing(&sample, &lake(Some(1_200), None), grown()), []);
    let deeper = lake(Some(1_201), None);
    assert_eq!(missing(&sample, &deeper, grown()), [open("once")]);
    assert_eq!(missing(&sample, &lake(None, None), grown()), [open("once")]);
}

#[test]
fn a_skill_that_the_outline_lost_is_named_and_not_forgotten() {
    let sample = Sample::with_rules(first(&["gone"], OPEN));
    assert_eq!(
        missing(&sample, &lake(None, None), grown()),
        [Missing::SkillNotThere(skill_id("gone"))]
    );
}

fn set_aside(skills: &[&str], held: u128) -> Override {
    Override {
        student: student(1),
        session: session(held),
        skills: skills
            .iter()
            .map(|id| skill_id(id))
            .collect::<BTreeSet<SkillId>>(),
        why: "Shown at the lake first, beside me".to_owned(),
    }
}

#[test]
fn an_override_holds_for_its_session_its_student_and_its_skills_alone() {
    let mut sample = Sample::with_rules(first(&["once", "builds"], OPEN));
    let entry = sample.add(ODD, &[], set_aside(&["once"], 3));
    let this = lake(None, Some(3));
    assert_eq!(missing(&sample, &this, grown()), [open("builds")]);
    for other in [lake(None, Some(2)), lake(None, None)] {
        assert_eq!(missing(&sample, &other, grown()).len(), 2);
    }
    let second = before_session(
        &ShopStanding::default(),
        &sample.now,
        &student(2),
        &this,
        grown(),
    );
    let skills = second
        .iter()
        .filter(|gap| matches!(gap.what, Missing::Skill { .. }));
    assert_eq!(skills.count(), 2, "nobody else");
    sample.withdraw(ODD, entry);
    assert_eq!(missing(&sample, &this, grown()).len(), 2);
}

#[test]
fn an_override_sets_no_paper_age_or_depth_aside() {
    let mut rules = first(&["once"], OPEN);
    rules.push(("least", Rule::LeastAge { age: 12 }));
    rules.push((
        "deep",
        Rule::DepthByAge {
            under: 15,
            max_cm: 1_000,
        },
    ));
    let mut sample = Sample::with_rules(rules);
    sample.add(ODD, &[], set_aside(&["once"], 3));
    let child = AgeKnown::Born(day("2015-01-01"));
    let gaps = before_session(
        &ShopStanding::default(),
        &sample.now,
        &student(1),
        &lake(Some(1_200), Some(3)),
        child,
    );
    let what: Vec<Missing> = gaps.into_iter().map(|gap| gap.what).collect();
    assert!(what.contains(&Missing::TooYoung { least: 12 }), "{what:?}");
    let deep = Missing::TooDeepForAge {
        under: 15,
        max_cm: 1_000,
    };
    assert!(what.contains(&deep), "{what:?}");
    let papers = what
        .iter()
        .filter(|what| matches!(what, Missing::Clearance(_)));
    assert_eq!(papers.count(), 3, "health, swim and consent: {what:?}");
}

#[test]
fn nobody_without_a_known_age_is_an_adult() {
    let sample = Sample::with_rules(Vec::new());
    let pool = Going::somewhere(Setting::Confined, day(ON));
    assert_eq!(missing(&sample, &pool, AgeKnown::Nothing), [Missing::Age]);
    let seen = AgeKnown::Adult(day("2026-06-01"));
    assert_eq!(missing(&sample, &pool, seen), []);
    let land = Going::somewhere(Setting::Classroom, day(ON));
    assert_eq!(missing(&sample, &land, AgeKnown::Nothing), []);
}

#[test]
fn a_rule_on_the_young_is_asked_of_the_young_alone() {
    let pairs = Rule::PairWithAdult { under: 15 };
    let mut sample = Sample::with_rules(vec![("pairs", pairs)]);
    let now = sample.now.policy().unwrap().clone();
    let after = sample.now.all_of_kind(Kind::PolicySet);
    let set = crate::entry::PolicySet {
        policy: now.policy,
        confirmed: now
            .confirmed
            .iter()
            .filter(|(rule, _)| **rule != rule_id("pairs"))
            .map(|(rule, held)| crate::entry::RuleConfirmed {
                rule: rule.clone(),
                by: held.by,
                on: held.on,
                read: held.read.clone(),
            })
            .collect(),
        proofs: Vec::new(),
    };
    sample.add(RENATE, &after, set);
    let pool = Going::somewhere(Setting::Confined, day(ON));
    let unconfirmed = Missing::RuleUnconfirmed(rule_id("pairs"));
    assert_eq!(missing(&sample, &pool, grown()), []);
    let fourteen = AgeKnown::Born(day("2011-06-07"));
    assert_eq!(missing(&sample, &pool, fourteen), [unconfirmed]);
}

#[test]
fn a_session_that_is_what_a_rule_forbids_lets_nobody_in() {
    let forbids = Rule::Forbids {
        conditions: [Condition::Night, Condition::Current].into(),
    };
    let sample = Sample::with_rules(vec![("forbids", forbids)]);
    let with = |conditions: &[Condition]| Going {
        conditions: conditions.iter().copied().collect(),
        ..lake(None, Some(3))
    };
    assert_eq!(missing(&sample, &with(&[Condition::Boat]), grown()), []);
    assert_eq!(
        missing(
            &sample,
            &with(&[Condition::Boat, Condition::Night, Condition::Current]),
            grown()
        ),
        [
            Missing::Forbidden(Condition::Night),
            Missing::Forbidden(Condition::Current)
        ]
    );
    let mut flowing = plan(Setting::Open, "2026-06-06T09:00:00+02:00");
    flowing.water.moving = true;
    let going = Going::of(&flowing, Some(session(3)));
    assert_eq!(
        missing(&sample, &going, grown()),
        [Missing::Forbidden(Condition::Current)],
        "a current is said of the water, and once"
    );
}

#[test]
fn a_test_that_is_a_skill_is_asked_for_on_the_board_and_nowhere_else() {
    let mut sample = Sample::with_rules(Vec::new());
    let mut outline = sample.now.outline().unwrap().clone();
    outline.edition = 2;
    outline.skills[0].proves = Some(ClearanceKind::Swim);
    let after = sample.now.all_of_kind(Kind::OutlineSet);
    sample.add(RENATE, &after, OutlineSet { outline, why: None });
    let asked = |sample: &Sample| {
        let gaps = before_session(
            &ShopStanding::default(),
            &sample.now,
            &student(1),
            &lake(None, None),
            grown(),
        );
        let what = gaps.into_iter().map(|gap| gap.what);
        what.filter(|what| *what != Missing::Clearance(ClearanceKind::Health))
            .collect::<Vec<Missing>>()
    };
    assert_eq!(asked(&sample), [open("once")]);
    sample.clear(1, ClearanceKind::Swim, ClearanceResult::Cleared);
    assert_eq!(asked(&sample), [open("once")], "a paper is not the swim");
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    assert_eq!(asked(&sample), []);
}

/// Student 1 and 2 go up in two skills of the run list.
fn going_up() -> Sample {
    let mut sample = Sample::with_rules(Vec::new());
    let mut outline = sample.now.outline().unwrap().clone();
    outline.edition = 2;
    for skill in outline.skills.iter_mut().take(2) {
        let up = Measure::AscentRate { cm_per_minute: 900 };
        skill.requirement.measures = vec![up];
    }
    let after = sample.now.all_of_kind(Kind::OutlineSet);
    sample.add(RENATE, &after, OutlineSet { outline, why: None });
    sample
}

#[test]
fn ascents_are_estimated_from_who_still_goes_up_and_with_whom() {
    let mut sample = going_up();
    let mut lake = plan(Setting::Open, "2026-06-06T09:00:00+02:00");
    let of =
        |sample: &Sample, plan: &SessionPlan, who: Who| ascents_planned(&sample.now, plan, &who);
    let ottilie = Who::Student(student(1));
    assert_eq!(of(&sample, &lake, ottilie), 3, "two skills, and the end");
    assert_eq!(
        of(&sample, &lake, Who::Staff(RENATE.staff)),
        5,
        "2 x 2, and the end"
    );
    assert_eq!(of(&sample, &lake, Who::Staff(PELLE.staff)), 1);
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    assert_eq!(of(&sample, &lake, ottilie), 2);
    assert_eq!(of(&sample, &lake, Who::Staff(RENATE.staff)), 4);
    lake.staff.push(ODD.staff);
    assert_eq!(
        of(&sample, &lake, Who::Staff(ODD.staff)),
        3,
        "two instructors share them"
    );
    lake.setting = Setting::Classroom;
    assert_eq!(of(&sample, &lake, ottilie), 0);
}

#[test]
fn ascents_of_a_day_add_up_what_was_logged_and_what_is_planned_before() {
    let mut sample = going_up();
    let renate = Who::Staff(RENATE.staff);
    let noon = plan(Setting::Open, "2026-06-06T12:00:00+02:00");
    let of = |sample: &Sample| ascents_of_day(&sample.now, &noon, None, &renate);
    assert_eq!(
        of(&sample),
        10,
        "session 3 in the morning, planned, and this one"
    );
    sample.dive(renate, Some(3), ("09:10", "09:40"), 1_000);
    assert_eq!(of(&sample), 6, "the log takes the plan's place");
    let other_day = plan(Setting::Open, "2026-06-07T12:00:00+02:00");
    assert_eq!(ascents_of_day(&sample.now, &other_day, None, &renate), 5);
}

fn renewed(what: StaffPaper, until: Option<&str>) -> Body {
    Body::StaffRenewed(StaffRenewed {
        staff: RENATE.staff,
        what,
        until: until.map(day),
    })
}

#[test]
fn staff_who_lack_something_in_date_are_missing_it_like_a_student() {
    let needs = Rule::StaffNeeds {
        role: Role::Instructor,
        papers: [StaffPaper::Insurance, StaffPaper::Oxygen].into(),
    };
    let sample = Sample::with_rules(vec![("staff", needs)]);
    let lacks = |shop: &ShopStanding, who: crate::entry::Writer, setting| {
        let gaps = before_staff(shop, &sample.now, &who.staff, (setting, day(ON)));
        gaps.into_iter()
            .map(|gap| gap.what)
            .collect::<Vec<StaffMissing>>()
    };
    let none = shop(Vec::new());
    let both = [
        StaffMissing::NotRecorded(StaffPaper::Insurance),
        StaffMissing::NotRecorded(StaffPaper::Oxygen),
    ];
    assert_eq!(lacks(&none, RENATE, Setting::Open), both);
    assert_eq!(lacks(&none, RENATE, Setting::Classroom), []);
    assert_eq!(
        lacks(&none, PELLE, Setting::Open),
        [],
        "no rule for assistants"
    );
    let some = shop(vec![
        renewed(StaffPaper::Insurance, Some("2026-06-06")),
        renewed(StaffPaper::Oxygen, Some("2026-06-05")),
    ]);
    assert_eq!(
        lacks(&some, RENATE, Setting::Open),
        [StaffMissing::Ended(StaffPaper::Oxygen, day("2026-06-05"))]
    );
    let again = shop(vec![
        renewed(StaffPaper::Insurance, None),
        renewed(StaffPaper::Oxygen, Some("2026-06-05")),
        renewed(StaffPaper::Oxygen, Some("2028-06-05")),
    ]);
    assert_eq!(lacks(&again, RENATE, Setting::Open), []);
}
