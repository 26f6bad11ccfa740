//! Young: the rules that rest on a student's age. What is not known is missing: somebody
//! without a birth date is never taken for an adult.

use chrono::NaiveDate;

use super::gap::{Gap, Missing, rests_on};
use super::going::Going;
use crate::course::{AgeKnown, Rule, RuleId};
use crate::entry::Kind;
use crate::standing::PolicyNow;

/// The gaps of the rules on age, and the rules they rest on.
///
/// A rule on the young rests on nobody's confirmation where the student is known to be
/// older.
pub(super) fn ages(
    gaps: &mut Vec<Gap>,
    policy: &PolicyNow,
    age: AgeKnown,
    on: NaiveDate,
    going: Option<&Going>,
) {
    let unknown = || Gap {
        what: Missing::Age,
        closes_with: Kind::Amendment,
    };
    for rule in &policy.policy.rules {
        match &rule.rule {
            Rule::LeastAge { age: least } => {
                rests_on(gaps, policy, &rule.id);
                match age.under(*least, on) {
                    Some(false) => {}
                    Some(true) => gaps.push(Gap {
                        what: Missing::TooYoung { least: *least },
                        closes_with: Kind::Amendment,
                    }),
                    None => gaps.push(unknown()),
                }
            }
            Rule::DepthByAge { under, max_cm } => {
                let planned = going.and_then(|going| going.depth_cm);
                match age.under(*under, on) {
                    Some(false) => continue,
                    Some(true) => gaps.extend(planned.filter(|cm| cm > max_cm).map(|_| Gap {
                        what: Missing::TooDeepForAge {
                            under: *under,
                            max_cm: *max_cm,
                        },
                        closes_with: Kind::SessionPlanned,
                    })),
                    None => gaps.push(unknown()),
                }
                rests_on(gaps, policy, &rule.id);
            }
            Rule::RatioByAge { under, .. } | Rule::PairWithAdult { under } => {
                match age.under(*under, on) {
                    Some(false) => continue,
                    Some(true) => {}
                    None => gaps.push(unknown()),
                }
                rests_on(gaps, policy, &rule.id);
            }
            Rule::ConsentUnder { age: under } => {
                rests_on(gaps, policy, &rule.id);
                if age.under(*under, on).is_none() {
                    gaps.push(unknown());
                }
            }
            Rule::Needs { .. }
            | Rule::HealthCurrency { .. }
            | Rule::Ratio { .. }
            | Rule::Depth { .. }
            | Rule::DivesPerDay { .. }
            | Rule::DivesNeeded { .. }
            | Rule::AssistantJudges { .. }
            | Rule::AscentsPerDay { .. }
            | Rule::SkillsFirst { .. }
            | Rule::DiveCounts { .. }
            | Rule::Forbids { .. }
            | Rule::StaffNeeds { .. }
            | Rule::EmergencyPlan { .. }
            | Rule::KitReady { .. }
            | Rule::Keep { .. } => {}
        }
    }
}

/// The shallowest depth that the rules allow somebody of this age, with its rule, and whether
/// a rule could not be asked because the age is not known.
pub fn depth_by_age(policy: &PolicyNow, age: AgeKnown, on: NaiveDate) -> DepthByAge<'_> {
    let mut found = DepthByAge::default();
    for rule in &policy.policy.rules {
        if let Rule::DepthByAge { under, max_cm } = rule.rule {
            match age.under(under, on) {
                Some(false) => {}
                Some(true) => {
                    let least = found.most.is_none_or(|(_, most)| max_cm < most);
                    if least {
                        found.most = Some((&rule.id, max_cm));
                    }
                }
                None => {
                    let least = found.if_young.is_none_or(|most| max_cm < most);
                    if least {
                        found.if_young = Some(max_cm);
                    }
                }
            }
        }
    }
    found
}

/// What the rules on depth by age say of one student.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DepthByAge<'a> {
    /// The limit, in centimetres, with its rule; `None` where no rule is about this age.
    pub most: Option<(&'a RuleId, u32)>,
    /// The limit that would hold if the student were as young as a rule asks.
    pub if_young: Option<u32>,
}
