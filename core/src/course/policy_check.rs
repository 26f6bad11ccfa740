//! Is a policy sound? Every fault is named, so that an editor can show them all at once.
//!
//! Sound means that it can be read one way and that no figure is absurd; whether a figure is
//! the right one, only a person can confirm. It does not know the outline: a skill named in
//! [`Rule::AssistantJudges`] that no outline has judges nothing and harms nothing.

use std::collections::{BTreeMap, BTreeSet};

use super::{
    AscentsOf, Before, ClearanceKind, Gate, Policy, RecordClass, Role, Rule, RuleId, Setting,
};

/// The most rules a policy may have.
const MOST_RULES: usize = 100;

/// The longest title, in characters.
const TITLE: usize = 80;

/// The longest source, in characters.
const SOURCE: usize = 400;

/// Something wrong with a policy.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum PolicyFault {
    /// More rules than a person can confirm one by one; nothing else was looked at.
    #[error("the policy has more than {most} rules")]
    TooMany {
        /// The most allowed.
        most: usize,
    },
    /// The edition is nought.
    #[error("editions are counted from 1")]
    Edition,
    /// The title is empty or too long.
    #[error("the title must be 1 to {most} characters")]
    Title {
        /// The longest allowed.
        most: usize,
    },
    /// Two rules share an id.
    #[error("the rule {id} is there twice")]
    Twice {
        /// The id.
        id: RuleId,
    },
    /// Two rules, each under its own id, answer the same question.
    #[error("the rules {first} and {second} answer the same question")]
    Clash {
        /// The earlier one.
        first: RuleId,
        /// The later one.
        second: RuleId,
    },
    /// A rule without a source.
    #[error("the rule {id} does not say where it comes from")]
    NoSource {
        /// The rule.
        id: RuleId,
    },
    /// A source that is too long to be read beside its value.
    #[error("the source of the rule {id} is longer than {most} characters")]
    LongSource {
        /// The rule.
        id: RuleId,
        /// The longest allowed.
        most: usize,
    },
    /// A figure outside what can be meant.
    #[error("the rule {id} has a figure outside {least} to {most}")]
    Figure {
        /// The rule.
        id: RuleId,
        /// Lowest sensible.
        least: u32,
        /// Highest sensible.
        most: u32,
        /// Whether it is a depth, in centimetres; all others are bare numbers.
        of_depth: bool,
    },
    /// A ratio that never lets one instructor have what it allows for one.
    #[error("the rule {id} allows one instructor {per_instructor} and caps all at {cap}")]
    CapBelowOne {
        /// The rule.
        id: RuleId,
        /// For one instructor.
        per_instructor: u8,
        /// The cap.
        cap: u8,
    },
}

impl Policy {
    /// Everything that is wrong with it, in a stable order; empty when it is sound.
    pub fn faults(&self) -> Vec<PolicyFault> {
        if self.rules.len() > MOST_RULES {
            return vec![PolicyFault::TooMany { most: MOST_RULES }];
        }
        let mut faults = BTreeSet::new();
        if self.edition == 0 {
            faults.insert(PolicyFault::Edition);
        }
        if self.title.trim().is_empty() || self.title.chars().count() > TITLE {
            faults.insert(PolicyFault::Title { most: TITLE });
        }
        let mut ids = BTreeSet::new();
        let mut answered: BTreeMap<Question, &RuleId> = BTreeMap::new();
        for rule in &self.rules {
            let id = || rule.id.clone();
            if !ids.insert(&rule.id) {
                faults.insert(PolicyFault::Twice { id: id() });
            } else if let Some(first) = answered.insert(question(&rule.rule), &rule.id) {
                faults.insert(PolicyFault::Clash {
                    first: first.clone(),
                    second: id(),
                });
            }
            if rule.source.trim().is_empty() {
                faults.insert(PolicyFault::NoSource { id: id() });
            }
            if rule.source.chars().count() > SOURCE {
                faults.insert(PolicyFault::LongSource {
                    id: id(),
                    most: SOURCE,
                });
            }
            let plain = figures(&rule.rule)
                .into_iter()
                .map(|figure| (figure, false));
            let deep = rule.rule.depth().map(|figure| (figure, true));
            for ((figure, least, most), of_depth) in plain.chain(deep) {
                if !(least..=most).contains(&figure) {
                    faults.insert(PolicyFault::Figure {
                        id: id(),
                        least,
                        most,
                        of_depth,
                    });
                }
            }
            if let Rule::Ratio {
                per_instructor,
                cap,
                ..
            } = rule.rule
                && cap < per_instructor
            {
                faults.insert(PolicyFault::CapBelowOne {
                    id: id(),
                    per_instructor,
                    cap,
                });
            }
        }
        faults.into_iter().collect()
    }
}

/// What a rule answers: two answers to one question, and which of them holds would hang on
/// their order in a file.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Question {
    Ratio(Setting),
    Depth(Setting, Option<u8>),
    DivesPerDay,
    DivesNeeded,
    AssistantJudges,
    HealthCurrency,
    ConsentUnder,
    Needs(ClearanceKind, Gate),
    AscentsPerDay(AscentsOf),
    Forbids,
    StaffNeeds(Role),
    SkillsFirst(Before),
    LeastAge,
    DepthByAge(u8),
    RatioByAge(u8),
    PairWithAdult,
    DiveCounts,
    EmergencyPlan,
    KitReady,
    Keep(RecordClass),
}

const fn question(rule: &Rule) -> Question {
    match rule {
        Rule::Ratio { setting, .. } => Question::Ratio(*setting),
        Rule::Depth { setting, dive, .. } => Question::Depth(*setting, *dive),
        Rule::DivesPerDay { .. } => Question::DivesPerDay,
        Rule::DivesNeeded { .. } => Question::DivesNeeded,
        Rule::AssistantJudges { .. } => Question::AssistantJudges,
        Rule::HealthCurrency { .. } => Question::HealthCurrency,
        Rule::ConsentUnder { .. } => Question::ConsentUnder,
        Rule::Needs { clearance, before } => Question::Needs(*clearance, *before),
        Rule::AscentsPerDay { of, .. } => Question::AscentsPerDay(*of),
        Rule::Forbids { .. } => Question::Forbids,
        Rule::StaffNeeds { role, .. } => Question::StaffNeeds(*role),
        Rule::SkillsFirst { before, .. } => Question::SkillsFirst(*before),
        Rule::LeastAge { .. } => Question::LeastAge,
        Rule::DepthByAge { under, .. } => Question::DepthByAge(*under),
        Rule::RatioByAge { under, .. } => Question::RatioByAge(*under),
        Rule::PairWithAdult { .. } => Question::PairWithAdult,
        Rule::DiveCounts { .. } => Question::DiveCounts,
        Rule::EmergencyPlan { .. } => Question::EmergencyPlan,
        Rule::KitReady { .. } => Question::KitReady,
        Rule::Keep { class, .. } => Question::Keep(*class),
    }
}

impl Rule {
    /// The depth of a rule in centimetres, with the least and the most that can be meant by it.
    pub(crate) const fn depth(&self) -> Option<(u32, u32, u32)> {
        match self {
            Rule::Depth { max_cm, .. } | Rule::DepthByAge { max_cm, .. } => {
                Some((*max_cm, 100, 4_000))
            }
            Rule::SkillsFirst {
                before: Before::Deeper { than_cm },
                ..
            } => Some((*than_cm, 100, 4_000)),
            Rule::DiveCounts { least_cm, .. } => Some((*least_cm, 100, 2_000)),
            Rule::SkillsFirst {
                before: Before::Setting { .. } | Before::OpenDive { .. },
                ..
            }
            | Rule::Ratio { .. }
            | Rule::DivesPerDay { .. }
            | Rule::DivesNeeded { .. }
            | Rule::AssistantJudges { .. }
            | Rule::HealthCurrency { .. }
            | Rule::ConsentUnder { .. }
            | Rule::Needs { .. }
            | Rule::AscentsPerDay { .. }
            | Rule::Forbids { .. }
            | Rule::StaffNeeds { .. }
            | Rule::LeastAge { .. }
            | Rule::RatioByAge { .. }
            | Rule::PairWithAdult { .. }
            | Rule::EmergencyPlan { .. }
            | Rule::KitReady { .. }
            | Rule::Keep { .. } => None,
        }
    }
}

/// The other figures of a rule, each with the least and the most that can be meant by it.
fn figures(rule: &Rule) -> Vec<(u32, u32, u32)> {
    match rule {
        Rule::Ratio {
            per_instructor,
            per_assistant,
            cap,
            ..
        } => vec![
            (u32::from(*per_instructor), 1, 24),
            (u32::from(*per_assistant), 0, 12),
            (u32::from(*cap), 1, 24),
        ],
        Rule::Depth { dive, .. } => {
            let dive = dive.map(|dive| (u32::from(dive), 1, 20));
            dive.into_iter().collect()
        }
        Rule::DivesPerDay { most } => vec![(u32::from(*most), 1, 5)],
        Rule::DivesNeeded { least } => vec![(u32::from(*least), 0, 20)],
        Rule::HealthCurrency { days } => vec![(u32::from(*days), 1, 730)],
        Rule::ConsentUnder { age } => vec![(u32::from(*age), 12, 25)],
        Rule::AscentsPerDay { most, .. } => vec![(u32::from(*most), 1, 30)],
        Rule::Forbids { conditions } => vec![(named(conditions.len()), 1, 5)],
        Rule::StaffNeeds { papers, .. } => vec![(named(papers.len()), 1, 5)],
        Rule::SkillsFirst { skills, before } => {
            let before = match before {
                Before::Setting { .. } | Before::Deeper { .. } => None,
                Before::OpenDive { dive } => Some((u32::from(*dive), 1, 20)),
            };
            [(named(skills.len()), 1, 60)]
                .into_iter()
                .chain(before)
                .collect()
        }
        Rule::LeastAge { age } => vec![young(*age)],
        Rule::DepthByAge { under, .. } => vec![young(*under)],
        Rule::RatioByAge {
            under,
            per_instructor,
        } => vec![young(*under), (u32::from(*per_instructor), 1, 12)],
        Rule::PairWithAdult { under } => vec![young(*under)],
        Rule::DiveCounts { least_minutes, .. } => vec![(u32::from(*least_minutes), 1, 60)],
        Rule::EmergencyPlan { months } => vec![(u32::from(*months), 1, 60)],
        Rule::KitReady { kinds } => vec![(named(kinds.len()), 1, 10)],
        Rule::Keep {
            years,
            minors_to_age,
            ..
        } => {
            let to_age = minors_to_age.map(|age| (u32::from(age), 18, 99));
            [(u32::from(*years), 0, 99)]
                .into_iter()
                .chain(to_age)
                .collect()
        }
        Rule::AssistantJudges { .. } | Rule::Needs { .. } => Vec::new(),
    }
}

fn named(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// An age that can be meant by a rule about the young.
fn young(age: u8) -> (u32, u32, u32) {
    (u32::from(age), 8, 25)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course::{CapOf, PolicyRule};

    fn rule(id: &str, rule: Rule) -> PolicyRule {
        PolicyRule {
            id: id.parse().unwrap(),
            rule,
            source: "house decision".to_owned(),
        }
    }

    fn policy(rules: Vec<PolicyRule>) -> Policy {
        Policy {
            title: "House rules".to_owned(),
            edition: 1,
            rules,
        }
    }

    fn faults_of(asked: Rule) -> Vec<PolicyFault> {
        policy(vec![rule("r", asked)]).faults()
    }

    fn ratio(per_instructor: u8, per_assistant: u8, cap: u8) -> Rule {
        Rule::Ratio {
            setting: Setting::Open,
            per_instructor,
            per_assistant,
            cap,
            cap_of: CapOf::Water,
        }
    }

    fn depth(dive: Option<u8>, max_cm: u32) -> Rule {
        Rule::Depth {
            setting: Setting::Open,
            dive,
            max_cm,
        }
    }

    #[test]
    fn a_sound_policy_has_no_fault() {
        let sound = policy(vec![
            rule("ratio-open", ratio(8, 2, 12)),
            rule("first-dive", depth(Some(1), 1_200)),
            rule("other-dives", depth(None, 1_800)),
        ]);
        assert_eq!(sound.faults(), []);
        assert_eq!(
            policy(Vec::new()).faults(),
            [],
            "no rules allow nothing and break nothing"
        );
    }

    #[test]
    fn the_head_of_a_policy_is_checked() {
        let mut bad = policy(Vec::new());
        bad.edition = 0;
        bad.title = "é".repeat(81);
        assert_eq!(
            bad.faults(),
            [PolicyFault::Edition, PolicyFault::Title { most: 80 }]
        );
        bad.title = " ".to_owned();
        assert!(bad.faults().contains(&PolicyFault::Title { most: 80 }));
        bad.title = "é".repeat(80);
        assert_eq!(bad.faults(), [PolicyFault::Edition]);
    }

    #[test]
    fn a_flood_of_rules_is_named_once_and_not_walked() {
        let many = |n| policy(vec![rule("r", Rule::DivesPerDay { most: 0 }); n]);
        assert_eq!(many(101).faults(), [PolicyFault::TooMany { most: 100 }]);
        assert!(
            !many(100)
                .faults()
                .contains(&PolicyFault::TooMany { most: 100 })
        );
    }

    #[test]
    fn two_rules_under_one_id_are_named() {
        let r = || rule("r", Rule::DivesPerDay { most: 3 });
        let id = "r".parse().unwrap();
        assert_eq!(policy(vec![r(), r()]).faults(), [PolicyFault::Twice { id }]);
    }

    #[test]
    fn two_answers_to_one_question_clash() {
        let both = policy(vec![
            rule("a", depth(Some(1), 1_200)),
            rule("b", depth(Some(1), 1_800)),
        ]);
        let clash = PolicyFault::Clash {
            first: "a".parse().unwrap(),
            second: "b".parse().unwrap(),
        };
        assert_eq!(both.faults(), [clash]);
        let apart = policy(vec![
            rule("a", depth(Some(1), 1_200)),
            rule("b", depth(Some(2), 1_200)),
        ]);
        assert_eq!(apart.faults(), []);
    }

    #[test]
    fn a_rule_says_where_it_comes_from_and_briefly() {
        let id = || "r".parse().unwrap();
        let mut one = rule("r", Rule::DivesPerDay { most: 3 });
        one.source = "  ".to_owned();
        assert_eq!(
            policy(vec![one.clone()]).faults(),
            [PolicyFault::NoSource { id: id() }]
        );
        one.source = "x".repeat(401);
        let long = PolicyFault::LongSource {
            id: id(),
            most: 400,
        };
        assert_eq!(policy(vec![one]).faults(), [long]);
    }

    #[test]
    fn a_cap_below_one_instructors_share_is_named() {
        let id = "r".parse().unwrap();
        let fault = PolicyFault::CapBelowOne {
            id,
            per_instructor: 8,
            cap: 6,
        };
        assert_eq!(faults_of(ratio(8, 2, 6)), [fault]);
        assert_eq!(faults_of(ratio(8, 0, 8)), []);
    }

    #[test]
    fn every_figure_has_bounds_and_the_fault_names_them() {
        let keep = |years, minors_to_age| Rule::Keep {
            class: RecordClass::Training,
            years,
            minors_to_age,
        };
        let ascents = |most| Rule::AscentsPerDay {
            most,
            of: AscentsOf::Staff,
        };
        let first = |skills: &[&str], before| Rule::SkillsFirst {
            skills: skills.iter().map(|id| id.parse().unwrap()).collect(),
            before,
        };
        let by_age = |under, max_cm| Rule::DepthByAge { under, max_cm };
        let young_ratio = |under, per_instructor| Rule::RatioByAge {
            under,
            per_instructor,
        };
        let counts = |least_cm, least_minutes| Rule::DiveCounts {
            least_cm,
            least_minutes,
        };
        let cases = [
            (ratio(0, 2, 12), 1, 24),
            (ratio(25, 2, 25), 1, 24),
            (ratio(8, 13, 12), 0, 12),
            (depth(None, 400_000), 100, 4_000),
            (depth(None, 99), 100, 4_000),
            (depth(Some(0), 1_200), 1, 20),
            (Rule::DivesPerDay { most: 0 }, 1, 5),
            (Rule::DivesPerDay { most: 6 }, 1, 5),
            (Rule::DivesNeeded { least: 21 }, 0, 20),
            (Rule::HealthCurrency { days: 0 }, 1, 730),
            (Rule::HealthCurrency { days: 731 }, 1, 730),
            (Rule::ConsentUnder { age: 11 }, 12, 25),
            (ascents(31), 1, 30),
            (
                Rule::Forbids {
                    conditions: BTreeSet::new(),
                },
                1,
                5,
            ),
            (
                Rule::StaffNeeds {
                    role: Role::Instructor,
                    papers: BTreeSet::new(),
                },
                1,
                5,
            ),
            (first(&[], Before::OpenDive { dive: 1 }), 1, 60),
            (first(&["mask"], Before::OpenDive { dive: 0 }), 1, 20),
            (first(&["mask"], Before::OpenDive { dive: 21 }), 1, 20),
            (first(&["mask"], Before::Deeper { than_cm: 99 }), 100, 4_000),
            (
                first(&["mask"], Before::Deeper { than_cm: 4_001 }),
                100,
                4_000,
            ),
            (Rule::LeastAge { age: 7 }, 8, 25),
            (Rule::LeastAge { age: 26 }, 8, 25),
            (Rule::PairWithAdult { under: 26 }, 8, 25),
            (by_age(7, 1_200), 8, 25),
            (by_age(15, 99), 100, 4_000),
            (young_ratio(15, 0), 1, 12),
            (young_ratio(26, 4), 8, 25),
            (counts(99, 15), 100, 2_000),
            (counts(500, 0), 1, 60),
            (Rule::EmergencyPlan { months: 0 }, 1, 60),
            (Rule::EmergencyPlan { months: 61 }, 1, 60),
            (
                Rule::KitReady {
                    kinds: BTreeSet::new(),
                },
                1,
                10,
            ),
            (keep(100, None), 0, 99),
            (keep(7, Some(17)), 18, 99),
        ];
        for (asked, least, most) in cases {
            let fault = PolicyFault::Figure {
                id: "r".parse().unwrap(),
                least,
                most,
                // No other figure of a rule begins at a hundred.
                of_depth: least == 100,
            };
            assert_eq!(faults_of(asked.clone()), [fault], "{asked:?}");
        }
    }

    #[test]
    fn a_rule_without_a_figure_has_none_to_be_wrong() {
        let needs = Rule::Needs {
            clearance: ClearanceKind::Health,
            before: Gate::Water,
        };
        assert_eq!(faults_of(needs), []);
        assert_eq!(
            faults_of(Rule::AssistantJudges {
                skills: BTreeSet::new()
            }),
            []
        );
    }
}
