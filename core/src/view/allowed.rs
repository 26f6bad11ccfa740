//! Allowed: how deep a session may go, by every rule that the chosen students are under.
//!
//! One answer for the plan, the gas, the no-stop times and the sheet: whatever uses a planned
//! depth asks here, so that no figure stands beside a broken rule without a word.

use super::water::{Limit, against, depth, depth_rules};
use super::{Figure, Reader};
use crate::course::{AgeKnown, RuleId, SessionPlan, Setting, StudentId};
use crate::entry::Who;
use crate::plan::{counting_dives, depth_by_age};
use crate::standing::CourseStanding;

/// A planned depth against the rules, as it is said beside every figure made from it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct DepthAgainst {
    /// How it stands.
    pub limit: Limit,
    /// The shallowest limit that somebody in the plan is under.
    pub most: Option<Figure>,
    /// Its rule.
    pub rule: Option<RuleId>,
}

impl DepthAgainst {
    /// Nothing is planned, so nothing is said.
    pub const NOTHING: Self = Self {
        limit: Limit::NoRule,
        most: None,
        rule: None,
    };

    /// Of a plan.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, plan: &SessionPlan) -> Self {
        let allowed = Allowed::of(course, plan, |student| reader.age(student));
        Self {
            limit: allowed.limit(course, plan.water.max_depth_cm),
            most: allowed.most_cm().map(|cm| depth(cm, reader)),
            rule: allowed.rule().cloned(),
        }
    }
}

/// The depth limits of a session.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Allowed {
    /// Every limit that one of the students is under, with its rule, the shallowest first.
    limits: Vec<(u32, RuleId)>,
    /// The limit that would hold if those whose age is not known were young.
    if_young: Option<u32>,
}

impl Allowed {
    /// Of a plan, by the next dive and the age of each chosen student.
    pub fn of(
        course: &CourseStanding,
        plan: &SessionPlan,
        age: impl Fn(&StudentId) -> AgeKnown,
    ) -> Self {
        if !plan.setting.is_wet() {
            return Self::default();
        }
        let rules = depth_rules(course, plan.setting);
        let number =
            |student: &StudentId| counting_dives(course, &Who::Student(*student)).len() + 1;
        let numbers = plan.students.iter().map(number);
        let of_dives = numbers
            .chain(plan.students.is_empty().then_some(1))
            .filter_map(|number| {
                let own = |dive: Option<u8>| {
                    plan.setting == Setting::Open && dive.is_some_and(|n| usize::from(n) == number)
                };
                let of_dive = rules.iter().find(|(_, dive, _)| own(*dive));
                of_dive.or_else(|| rules.iter().find(|(_, dive, _)| dive.is_none()))
            })
            .map(|(id, _, max_cm)| (*max_cm, (*id).clone()));
        let mut found = Self {
            limits: of_dives.collect(),
            if_young: None,
        };
        if let Some(policy) = course.policy() {
            let on = plan.starts.date_naive();
            for student in &plan.students {
                let by_age = depth_by_age(policy, age(student), on);
                found
                    .limits
                    .extend(by_age.most.map(|(id, cm)| (cm, id.clone())));
                found.if_young = match (found.if_young, by_age.if_young) {
                    (Some(one), Some(other)) => Some(one.min(other)),
                    (one, other) => one.or(other),
                };
            }
        }
        found.limits.sort();
        found.limits.dedup();
        found
    }

    /// The shallowest limit, in centimetres.
    pub fn most_cm(&self) -> Option<u32> {
        self.limits.first().map(|(cm, _)| *cm)
    }

    /// The rule of the shallowest limit.
    pub fn rule(&self) -> Option<&RuleId> {
        self.limits.first().map(|(_, rule)| rule)
    }

    /// How a planned depth stands to all of them. Never within while the age of somebody
    /// whom a shallower limit could be about is not known, nor on a rule that nobody
    /// confirmed.
    pub fn limit(&self, course: &CourseStanding, planned_cm: Option<u32>) -> Limit {
        let Some(planned) = planned_cm else {
            return Limit::NoRule;
        };
        let each = self
            .limits
            .iter()
            .map(|(cm, rule)| against(course, rule, planned <= *cm));
        let young = self.if_young.filter(|cm| planned > *cm);
        each.chain(young.map(|_| Limit::Unknown))
            .max_by_key(|limit| limit.weight())
            .unwrap_or(Limit::NoRule)
    }
}
