//! Ascending: how often somebody will come up on the day of a plan, against the rule on it.

use super::water::{Limit, against};
use crate::course::{AscentsOf, Rule, RuleId, SessionId, SessionPlan};
use crate::entry::Who;
use crate::plan::ascents_of_day;
use crate::standing::CourseStanding;

/// The strictest rule on how often somebody may come up in a day.
pub(crate) fn ascents_rule<'a>(course: &'a CourseStanding, who: &Who) -> Option<(&'a RuleId, u8)> {
    let whose = match who {
        Who::Student(_) => AscentsOf::Students,
        Who::Staff(_) => AscentsOf::Staff,
    };
    let rules = course.policy()?.policy.rules.iter();
    rules
        .filter_map(|rule| {
            if let Rule::AscentsPerDay { most, of } = rule.rule {
                (of == whose).then_some((&rule.id, most))
            } else {
                None
            }
        })
        .min_by_key(|(_, most)| *most)
}

/// How so many ascents in a day stand to the rule.
pub(super) fn ascents_limit(course: &CourseStanding, who: &Who, ascents: u32) -> Limit {
    ascents_rule(course, who).map_or(Limit::NoRule, |(rule, most)| {
        against(course, rule, ascents <= u32::from(most))
    })
}

/// How often somebody will come up on the day of a plan, and how that stands to the rule.
pub fn ascents_ahead(
    course: &CourseStanding,
    plan: &SessionPlan,
    session: Option<SessionId>,
    who: &Who,
) -> (u32, Limit) {
    let ascents = ascents_of_day(course, plan, session, who);
    (ascents, ascents_limit(course, who, ascents))
}
