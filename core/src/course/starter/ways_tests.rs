//! Either-or and both, as the starter outline writes them.

use super::*;
use crate::course::{MethodsNeeded, Skill};

/// What may be shown in one way or in another is two ways, of which either counts; what must be
/// shown in both asks for both.
#[test]
fn an_either_or_counts_either_and_a_both_asks_for_both() {
    let outline = outline().unwrap();
    for (id, ways) in [
        ("weight-check", ["near-empty", "full"]),
        ("no-mask-surface", ["regulator", "snorkel"]),
        ("mask-full", ["hovering", "settled"]),
        ("swim-up", ["level", "on-line"]),
    ] {
        let skill = find(&outline.skills, id);
        assert_eq!(skill.methods_needed, MethodsNeeded::Any, "{id}");
        assert_eq!(skill.methods_asked().count(), 0, "{id}");
        let names: Vec<&str> = skill.methods.iter().map(|way| way.id.as_str()).collect();
        assert_eq!(names, ways, "{id}");
    }
    for id in ["reg-clear", "dive-plan"] {
        let skill = find(&outline.skills, id);
        assert_eq!(skill.methods_needed, MethodsNeeded::All, "{id}");
        assert!(skill.methods_asked().count() > 1, "{id}");
    }
}

fn find<'a>(skills: &'a [Skill], id: &str) -> &'a Skill {
    let mut all = skills.iter();
    all.find(|skill| skill.id.as_str() == id).unwrap()
}

/// Words beside which a figure is measured, in the two languages of the outline.
const UNITS: &[&str] = &[
    "metre", "second", "minute", "times", "degree", "Meter", "Sekunde", "Minute", "Mal", "Grad",
];

/// The places of a sentence that offer one measured figure or another.
fn offers(says: &str) -> Vec<String> {
    let measured = |part: &str| UNITS.iter().any(|unit| part.contains(unit));
    let mut found = Vec::new();
    for sentence in says.split(['.', ';', ':']) {
        for or in [" or ", " oder "] {
            let Some((before, after)) = sentence.split_once(or) else {
                continue;
            };
            // Of a list, what stands right beside the word.
            let before = before.trim_end_matches(',').rsplit(',').next();
            let after = after.split(',').next();
            if before.is_some_and(measured) && after.is_some_and(measured) {
                found.push(sentence.trim().to_owned());
            }
        }
    }
    found
}

/// A requirement's measures are all asked of a try; which of two figures may be short cannot be
/// said in them. So no required skill offers one figure or another.
#[test]
fn no_required_skill_offers_one_measured_figure_or_another() {
    for says in [
        "Swim 200 metres, or keep going for 8 minutes, any stroke.",
        "Hold still for 30 seconds or go 10 metres.",
        "Bleib 30 Sekunden still oder schwimm 10 Meter.",
    ] {
        assert_eq!(offers(says).len(), 1, "{says}");
    }
    for outline in [outline().unwrap(), german_outline().unwrap()] {
        for skill in outline.skills.iter().filter(|skill| skill.required) {
            let mut offered = offers(&skill.requirement.says);
            // Where a buoy is set from is a place, and no figure that is reached.
            offered.retain(|one| !one.contains("vom tiefsten Teil des Beckens"));
            assert!(offered.is_empty(), "{}: {offered:?}", skill.id);
        }
    }
}
