//! What the starter rules ask before open water, and what their sources say.

use super::*;
use crate::course::{Before, Rule, Setting};

#[test]
fn no_source_says_of_a_rule_whether_it_was_checked() {
    // That is for the confirmation to say: beside a confirmed rule it would contradict it.
    for rule in policy().unwrap().rules {
        assert!(!rule.source.contains("checked"), "{}", rule.id);
    }
}

#[test]
fn the_skills_asked_for_before_open_water_are_the_cautious_ones_and_can_be_met_in_a_pool() {
    let outline = outline().unwrap();
    let rules = policy().unwrap().rules;
    let asked = rules.iter().find_map(|rule| {
        if let Rule::SkillsFirst { skills, before } = &rule.rule {
            Some((skills.clone(), *before))
        } else {
            None
        }
    });
    let (skills, before) = asked.unwrap();
    let setting = Setting::Open;
    assert_eq!(before, Before::Setting { setting });
    for id in [
        "mask-part",
        "mask-full",
        "reg-clear",
        "reg-recover",
        "gas-take",
        "gas-give",
        "neutral-hover",
        "descent",
        "weights-surface",
    ] {
        assert!(skills.contains(&id.parse().unwrap()), "{id}");
    }
    for id in &skills {
        let skill = outline.skill(id).unwrap();
        assert!(skill.settings.contains(&Setting::Confined), "{id}");
    }
}
