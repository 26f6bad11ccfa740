//! The school's sites, their emergency plans and who confirmed them; and the moment at which
//! something went wrong in the water.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::rules::{Asked, Rule};
use super::{Kind, Refusal, Who, bounds};
use crate::course::{Alarm, EmergencyPlan, EntryId, SessionId, Site, SiteId};

/// A site is described, or described anew.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SiteSet {
    /// Which.
    pub site: SiteId,
    /// What is known of it.
    pub details: Site,
}

/// What is done at a site in an emergency. It holds for nothing until somebody confirms it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct EmergencySet {
    /// Where.
    pub site: SiteId,
    /// The plan.
    pub plan: EmergencyPlan,
}

/// Somebody called the numbers, looked for the oxygen and found the plan right.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct EmergencyConfirmed {
    /// Where.
    pub site: SiteId,
    /// The entry with the plan that was confirmed, and no other.
    pub plan: EntryId,
}

/// Something went wrong in the water: one press, and the clock does the rest.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AlarmRaised {
    /// In which session.
    pub session: SessionId,
    /// What.
    pub what: Alarm,
    /// When.
    pub when: DateTime<FixedOffset>,
    /// Who is missing, where that is known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<Who>,
    /// Who reported it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reported_by: Option<Who>,
}

/// What was raised is over.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AlarmEnded {
    /// The entry that raised it.
    pub alarm: EntryId,
    /// How it ended.
    pub how: AlarmEnd,
    /// When.
    pub when: DateTime<FixedOffset>,
}

/// How an alarm ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum AlarmEnd {
    /// Whoever was missing was found.
    Found,
    /// Others have taken it over: the emergency service, a search party.
    TakenOver,
}

impl Rule for SiteSet {
    fn may_be_recorded(&self, _: &Asked<'_>) -> Result<(), Refusal> {
        bounds::site(&self.details)
    }
}

impl Rule for EmergencySet {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.site(&self.site)?;
        bounds::emergency(&self.plan)
    }
}

impl Rule for EmergencyConfirmed {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.site(&self.site)?;
        at.entry(&self.plan, Kind::EmergencySet, "plan")
    }
}
