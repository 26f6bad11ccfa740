//! Pairing: the young of a session beside those who are of age, by the course's rule. Who
//! dives with whom, a person at the edge decides; here it is only asked whether it can be
//! done at all. Nobody's age is taken for granted: an assistant's is asked nowhere, so a
//! pairing that needs an assistant rests on what is not known, and is said to.

use chrono::NaiveDate;

use super::reader::count;
use super::water::{Limit, against};
use crate::course::{AgeKnown, OF_AGE, Role, RuleId, SessionPlan, StudentId};
use crate::plan::{PairRule, pair_rule};
use crate::standing::CourseStanding;

/// The young of a session, and who of age can dive beside them.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct PairingView {
    /// Students under this age dive beside someone who is of age.
    pub under: u8,
    /// So many students are under it.
    pub young: u32,
    /// So many students are of age.
    pub grown: u32,
    /// So many assistants, whose age nobody recorded: a person looks at it. An instructor
    /// leads, and is nobody's partner.
    pub assistants: u32,
    /// So many students' ages are not known.
    pub unknown: u32,
    /// Whether there is one of age for each of the young; not known where that rests on a
    /// student whose age is not known, or on an assistant.
    pub limit: Limit,
    /// The rule.
    pub rule: RuleId,
}

/// The pairing of a planned session; `None` without a rule, on land, and where nobody in it
/// is or may be young.
pub fn pairing(
    course: &CourseStanding,
    plan: &SessionPlan,
    age: impl Fn(&StudentId) -> AgeKnown,
) -> Option<PairingView> {
    let PairRule { rule, under } = pair_rule(course, plan)?;
    let on: NaiveDate = plan.starts.date_naive();
    let ages: Vec<AgeKnown> = plan.students.iter().map(age).collect();
    let under_age = |years: u8, is: Option<bool>| {
        let of = ages.iter().filter(|age| age.under(years, on) == is);
        of.count()
    };
    let (young, unknown) = (under_age(under, Some(true)), under_age(under, None));
    if young + unknown == 0 {
        return None;
    }
    let assigned = course.staff();
    let assistants = plan
        .staff
        .iter()
        .filter(|id| assigned.get(id) == Some(&Role::Assistant));
    let (grown, assistants) = (under_age(OF_AGE, Some(false)), assistants.count());
    let known = unknown == 0 && young <= grown;
    let limit = match against(course, rule, young <= grown + assistants) {
        Limit::Within | Limit::Unconfirmed if !known => Limit::Unknown,
        limit @ (Limit::Within
        | Limit::Unconfirmed
        | Limit::Over
        | Limit::Unknown
        | Limit::NoRule) => limit,
    };
    Some(PairingView {
        under,
        young: count(young),
        grown: count(grown),
        assistants: count(assistants),
        unknown: count(unknown),
        limit,
        rule: rule.clone(),
    })
}
