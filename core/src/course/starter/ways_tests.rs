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
