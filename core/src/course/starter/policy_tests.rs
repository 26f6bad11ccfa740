//! The starter rules checked as data: soundness, honesty, and what they answer.

use std::collections::BTreeSet;

use super::*;
use crate::course::{ClearanceKind, Gate, RecordClass, Rule, Setting};

#[test]
fn the_starter_policy_is_sound() {
    assert_eq!(policy().unwrap().faults(), []);
    assert_eq!(policy().unwrap().edition, 1);
}

#[test]
fn every_starter_rule_says_how_far_to_trust_it() {
    for rule in policy().unwrap().rules {
        let honest = ["rom memory", "no published source", "ouse decision"]
            .iter()
            .any(|words| rule.source.contains(words));
        assert!(honest, "{}: {}", rule.id, rule.source);
    }
}

#[test]
fn the_starter_policy_answers_every_question_that_gates_a_student() {
    let rules: Vec<Rule> = policy()
        .unwrap()
        .rules
        .into_iter()
        .map(|r| r.rule)
        .collect();
    for clearance in ClearanceKind::ALL {
        let asked = |r: &Rule| matches!(r, Rule::Needs { clearance: c, .. } if *c == clearance);
        assert_eq!(
            rules.iter().filter(|r| asked(r)).count(),
            1,
            "{clearance:?}"
        );
    }
    for clearance in [
        ClearanceKind::Health,
        ClearanceKind::Physician,
        ClearanceKind::Consent,
    ] {
        assert!(
            rules.contains(&Rule::Needs {
                clearance,
                before: Gate::Water
            }),
            "{clearance:?}"
        );
    }
    for wet in Setting::ALL.into_iter().filter(|setting| setting.is_wet()) {
        let ratio = |r: &Rule| matches!(r, Rule::Ratio { setting, .. } if *setting == wet);
        assert!(rules.iter().any(ratio), "a ratio for {wet:?}");
    }
    for class in [
        RecordClass::Details,
        RecordClass::Training,
        RecordClass::Incident,
    ] {
        let kept = |r: &Rule| matches!(r, Rule::Keep { class: c, .. } if *c == class);
        assert!(rules.iter().any(kept), "{class:?}");
    }
    assert!(rules.contains(&Rule::AssistantJudges {
        skills: BTreeSet::new()
    }));
    assert!(rules.contains(&Rule::ConsentUnder { age: 18 }));
}

#[test]
fn the_first_dives_are_the_shallowest() {
    let rules = policy().unwrap().rules;
    let has = |dive, max_cm| {
        let setting = Setting::Open;
        let limit = Rule::Depth {
            setting,
            dive,
            max_cm,
        };
        rules.iter().any(|rule| rule.rule == limit)
    };
    assert!(has(Some(1), 1_200) && has(Some(2), 1_200), "12 m at first");
    assert!(has(None, 1_800), "18 m after that");
}
