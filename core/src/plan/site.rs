//! Site: what a session's site lacks before water, as the policy asks it: an emergency plan
//! that somebody confirmed, and not too long ago.

use chrono::{Months, NaiveDate};

use crate::course::{Rule, RuleId, SessionPlan};
use crate::standing::{CourseStanding, ShopStanding};

/// One thing that a site lacks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum SiteMissing {
    /// The rule that this rests on has been confirmed by nobody.
    RuleUnconfirmed(#[cfg_attr(feature = "border", uniffi(name = "rule"))] RuleId),
    /// The school has no emergency plan of this site.
    NoPlan,
    /// Nobody has confirmed the plan as it is now.
    NotConfirmed,
    /// It was confirmed on this day, and the rule asks for it again after so many months.
    TooOld(
        #[cfg_attr(feature = "border", uniffi(name = "on"))] NaiveDate,
        #[cfg_attr(feature = "border", uniffi(name = "months"))] u8,
    ),
}

/// What the site of a session lacks before its water. Without a rule nothing is asked.
pub fn before_site(
    shop: &ShopStanding,
    course: &CourseStanding,
    plan: &SessionPlan,
) -> Vec<SiteMissing> {
    let Some(policy) = course.policy().filter(|_| plan.setting.is_wet()) else {
        return Vec::new();
    };
    let mut missing = Vec::new();
    for rule in &policy.policy.rules {
        let Rule::EmergencyPlan { months } = rule.rule else {
            continue;
        };
        if !policy.confirmed.contains_key(&rule.id) {
            missing.push(SiteMissing::RuleUnconfirmed(rule.id.clone()));
        }
        let Some((site, _)) = shop.site_named(&plan.site) else {
            missing.push(SiteMissing::NoPlan);
            continue;
        };
        if shop.emergency(&site).is_none() {
            missing.push(SiteMissing::NoPlan);
            continue;
        }
        let Some(confirmed) = shop.emergency_confirmed(&site) else {
            missing.push(SiteMissing::NotConfirmed);
            continue;
        };
        let on = confirmed.entry.at.date_naive();
        let until = on.checked_add_months(Months::new(months.into()));
        if until.is_none_or(|until| until < plan.starts.date_naive()) {
            missing.push(SiteMissing::TooOld(on, months));
        }
    }
    missing.sort();
    missing.dedup();
    missing
}
