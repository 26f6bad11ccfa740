//! What is changed in a draft of the rules beside its figures: rules that come and go, and
//! the skills that a rule names.

use tallywater_bindings::{
    AscentsOf, Before, CapOf, Condition, KitKind, Policy, PolicyRule, Role, Rule, Setting,
    StaffPaper,
};

/// A rule to begin with, by its place among the buttons. It has no source yet, so it cannot
/// be adopted before somebody says where it comes from.
pub(super) fn add(policy: &mut Policy, n: i32) {
    let skills = || Vec::new();
    let rule = match n {
        0 => Rule::SkillsFirst {
            skills: skills(),
            before: Before::Setting {
                setting: Setting::Open,
            },
        },
        1 => Rule::SkillsFirst {
            skills: skills(),
            before: Before::OpenDive { dive: 1 },
        },
        2 => Rule::SkillsFirst {
            skills: skills(),
            before: Before::Deeper { than_cm: 1_200 },
        },
        3 => Rule::LeastAge { age: 12 },
        4 => Rule::DepthByAge {
            under: 15,
            max_cm: 1_200,
        },
        5 => Rule::RatioByAge {
            under: 15,
            per_instructor: 4,
        },
        6 => Rule::PairWithAdult { under: 15 },
        8 => Rule::Forbids {
            conditions: vec![Condition::Overhead],
        },
        9 => Rule::StaffNeeds {
            role: Role::Instructor,
            papers: PAPERS.to_vec(),
        },
        10 => Rule::StaffNeeds {
            role: Role::Assistant,
            papers: PAPERS.to_vec(),
        },
        11 => Rule::AscentsPerDay {
            most: 6,
            of: AscentsOf::Students,
        },
        12 => Rule::EmergencyPlan { months: 12 },
        13 => Rule::KitReady {
            kinds: vec![KitKind::Regulator, KitKind::Cylinder],
        },
        _ => Rule::DiveCounts {
            least_cm: 500,
            least_minutes: 15,
        },
    };
    let taken = |id: &str| policy.rules.iter().any(|one| one.id == id);
    let id = (1_u32..)
        .map(|n| format!("house-{n}"))
        .find(|id| !taken(id))
        .unwrap_or_default();
    policy.rules.push(PolicyRule {
        id,
        rule,
        source: String::new(),
    });
}

/// Sets what a rule chooses between: whose a ratio's cap is.
pub(super) fn choose(policy: &mut Policy, id: &str, _field: &str, choice: i32) {
    for one in policy.rules.iter_mut().filter(|one| one.id == id) {
        if let Rule::Ratio { cap_of, .. } = &mut one.rule {
            *cap_of = if choice == 1 {
                CapOf::Instructor
            } else {
                CapOf::Water
            };
        }
    }
}

/// Takes a rule out.
pub(super) fn take_out(policy: &mut Policy, id: &str) {
    policy.rules.retain(|one| one.id != id);
}

/// Takes a skill into a rule, or out of it.
pub(super) fn pick(policy: &mut Policy, id: &str, skill: &str) {
    for one in policy.rules.iter_mut().filter(|one| one.id == id) {
        match &mut one.rule {
            Rule::Forbids { conditions } => toggle(conditions, &CONDITIONS, skill),
            Rule::StaffNeeds { papers, .. } => toggle(papers, &PAPERS, skill),
            Rule::KitReady { kinds } => toggle(kinds, &crate::words::KIT, skill),
            rule @ (Rule::Ratio { .. }
            | Rule::Depth { .. }
            | Rule::DivesPerDay { .. }
            | Rule::DivesNeeded { .. }
            | Rule::AssistantJudges { .. }
            | Rule::HealthCurrency { .. }
            | Rule::ConsentUnder { .. }
            | Rule::Needs { .. }
            | Rule::AscentsPerDay { .. }
            | Rule::SkillsFirst { .. }
            | Rule::LeastAge { .. }
            | Rule::DepthByAge { .. }
            | Rule::RatioByAge { .. }
            | Rule::PairWithAdult { .. }
            | Rule::DiveCounts { .. }
            | Rule::EmergencyPlan { .. }
            | Rule::Keep { .. }) => {
                if let Some(skills) = skills_of(rule) {
                    crate::words::toggle(skills, skill);
                }
            }
        }
    }
}

/// What a session can be besides its setting, in the order of its numbers.
pub(super) const CONDITIONS: [Condition; 5] = [
    Condition::Night,
    Condition::Current,
    Condition::Overhead,
    Condition::Ice,
    Condition::Boat,
];

/// What staff renew, in the order of its numbers.
pub(super) const PAPERS: [StaffPaper; 5] = [
    StaffPaper::TeachingStatus,
    StaffPaper::Insurance,
    StaffPaper::FirstAid,
    StaffPaper::Oxygen,
    StaffPaper::Medical,
];

/// Takes the one with this number into a list, or out of it.
fn toggle<T: Clone + PartialEq>(list: &mut Vec<T>, all: &[T], number: &str) {
    let Some(one) = number.parse().ok().and_then(|n: usize| all.get(n)) else {
        return;
    };
    let many = list.len();
    list.retain(|other| other != one);
    if list.len() == many {
        list.push(one.clone());
    }
}

/// The same skills that [`named`] answers, to be changed.
fn skills_of(rule: &mut Rule) -> Option<&mut Vec<String>> {
    if let Rule::SkillsFirst { skills, .. } | Rule::AssistantJudges { skills } = rule {
        Some(skills)
    } else {
        None
    }
}

/// The skills that a rule names; `None` for one that is not about skills.
pub(super) fn named(rule: &Rule) -> Option<&[String]> {
    match rule {
        Rule::SkillsFirst { skills, .. } | Rule::AssistantJudges { skills } => Some(skills),
        Rule::Ratio { .. }
        | Rule::Depth { .. }
        | Rule::DivesPerDay { .. }
        | Rule::DivesNeeded { .. }
        | Rule::HealthCurrency { .. }
        | Rule::ConsentUnder { .. }
        | Rule::Needs { .. }
        | Rule::AscentsPerDay { .. }
        | Rule::LeastAge { .. }
        | Rule::DepthByAge { .. }
        | Rule::RatioByAge { .. }
        | Rule::PairWithAdult { .. }
        | Rule::DiveCounts { .. }
        | Rule::EmergencyPlan { .. }
        | Rule::KitReady { .. }
        | Rule::Forbids { .. }
        | Rule::StaffNeeds { .. }
        | Rule::Keep { .. } => None,
    }
}
