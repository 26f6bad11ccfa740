//! Policy: the rules a shop works under, each with its source.
//!
//! A rule says what the training organisation, the law or the house wants; it holds for
//! nothing until a person has confirmed it (an entry of its own, see
//! [`crate::entry::PolicyConfirmed`]). Tallywater ships values to start from, never as
//! "the standard says". Whether a policy is sound is asked of
//! [`Policy::faults`].

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::{Condition, KitKind, Role, RuleId, Setting, SkillId, StaffPaper};

/// A named set of rules, adopted by value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Policy {
    /// What it is called: "House rules, pool and lake".
    pub title: String,
    /// Raised by one with each change, from 1.
    pub edition: u32,
    /// The rules, each under its own id.
    pub rules: Vec<PolicyRule>,
}

impl Policy {
    /// The rule with this id, if there is one.
    pub fn rule(&self, id: &RuleId) -> Option<&PolicyRule> {
        self.rules.iter().find(|rule| &rule.id == id)
    }
}

/// One rule and where it comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PolicyRule {
    /// Its id within the policy.
    pub id: RuleId,
    /// What it demands.
    pub rule: Rule,
    /// The standard, law or house decision behind it, in words.
    pub source: String,
}

/// What a rule demands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "is")]
pub enum Rule {
    /// How many students may be in the water: a ceiling, before any reduction.
    Ratio {
        /// Where it holds.
        setting: Setting,
        /// For one instructor.
        per_instructor: u8,
        /// More for each assistant in the water.
        per_assistant: u8,
        /// Never more than this.
        cap: u8,
        /// In the whole water, however many staff there are, or for each instructor.
        #[serde(default)]
        cap_of: CapOf,
    },
    /// How deep a training dive may go.
    Depth {
        /// Where it holds.
        setting: Setting,
        /// For this dive of the course only, counted from 1; none for all others.
        #[serde(default)]
        dive: Option<u8>,
        /// The limit in centimetres.
        max_cm: u32,
    },
    /// How many open-water dives a student may make on one day.
    DivesPerDay {
        /// At most.
        most: u8,
    },
    /// How many open-water dives completion needs.
    DivesNeeded {
        /// At least.
        least: u8,
    },
    /// Skills in which an assistant's `met` counts without an instructor's confirmation.
    AssistantJudges {
        /// None of them: empty.
        skills: BTreeSet<SkillId>,
    },
    /// How long a health declaration counts.
    HealthCurrency {
        /// In days from the day it was seen.
        days: u16,
    },
    /// Under this age a guardian must have consented.
    ConsentUnder {
        /// In years.
        age: u8,
    },
    /// A clearance that must be there. A guardian's consent is asked of students under the
    /// age of [`Rule::ConsentUnder`] alone; a physician's clearance only where the health
    /// declaration asked for one.
    Needs {
        /// Which.
        clearance: ClearanceKind,
        /// Before what.
        before: Gate,
    },
    /// Vertical ascents that somebody should make on one day at most.
    AscentsPerDay {
        /// At most.
        most: u8,
        /// Who.
        #[serde(default)]
        of: AscentsOf,
    },
    /// What a session of this course must not be.
    Forbids {
        /// None of these.
        conditions: BTreeSet<Condition>,
    },
    /// What staff in a role must have renewed before a session in the water.
    StaffNeeds {
        /// In which role.
        role: Role,
        /// What.
        papers: BTreeSet<StaffPaper>,
    },
    /// Skills that a student must have shown before going into some water.
    SkillsFirst {
        /// Which, each as far as it can be shown without that water.
        skills: BTreeSet<SkillId>,
        /// Before what.
        before: Before,
    },
    /// The youngest that a student of this course may be.
    LeastAge {
        /// In years.
        age: u8,
    },
    /// How deep the young may go.
    DepthByAge {
        /// For students under this age, in years.
        under: u8,
        /// The limit in centimetres.
        max_cm: u32,
    },
    /// How many students an instructor may have while the young are among them.
    RatioByAge {
        /// While a student under this age, in years, is in the water.
        under: u8,
        /// Students for each instructor, the grown among them; an assistant adds none.
        per_instructor: u8,
    },
    /// The young dive beside someone who is of age.
    PairWithAdult {
        /// Students under this age, in years.
        under: u8,
    },
    /// What a dive in open water must have been to count as one of the course.
    DiveCounts {
        /// At least as deep, in centimetres.
        least_cm: u32,
        /// At least as long, in minutes.
        least_minutes: u8,
    },
    /// How long a site's emergency plan counts after somebody confirmed it. Before water its
    /// plan must be there, and confirmed as it is.
    EmergencyPlan {
        /// In months.
        months: u8,
    },
    /// Kit of these kinds that is issued to somebody is neither faulty nor past a date of its
    /// own when they go into the water.
    KitReady {
        /// Which.
        kinds: BTreeSet<KitKind>,
    },
    /// How long a class of records is kept.
    Keep {
        /// Which records.
        class: RecordClass,
        /// Years after the last entry.
        years: u8,
        /// For someone who was a minor: at least to this age.
        #[serde(default)]
        minors_to_age: Option<u8>,
    },
}

/// The papers and tests that gate water and completion.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum ClearanceKind {
    /// The health declaration was read and assessed; its answers are never stored.
    Health,
    /// A physician's clearance, where the declaration asked for one.
    Physician,
    /// A guardian's written consent.
    Consent,
    /// The surface swim.
    Swim,
    /// The float or tread.
    Float,
    /// The theory result.
    Theory,
}

impl ClearanceKind {
    /// All of them, in the order they are asked for.
    pub const ALL: [Self; 6] = [
        Self::Health,
        Self::Physician,
        Self::Consent,
        Self::Swim,
        Self::Float,
        Self::Theory,
    ];
}

/// Whose ascents a rule counts.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum AscentsOf {
    /// Each member of staff's.
    #[default]
    Staff,
    /// Each student's.
    Students,
}

/// Whose cap a ratio's cap is.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum CapOf {
    /// The whole water's: the stricter reading.
    #[default]
    Water,
    /// Each instructor's.
    Instructor,
}

/// The water before which skills must stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "water")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Before {
    /// A session in this setting, or in one that is deeper.
    Setting {
        /// Which.
        setting: Setting,
    },
    /// This dive in open water, counted from 1, and every later one.
    OpenDive {
        /// Which.
        dive: u8,
    },
    /// A session planned deeper than this. One whose depth nobody planned counts as deeper.
    Deeper {
        /// In centimetres.
        than_cm: u32,
    },
}

/// What a clearance must be there for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Gate {
    /// Before any session in water.
    Water,
    /// Before the first open-water session.
    OpenWater,
    /// Before completion.
    Completion,
}

/// Records that are kept for different times.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum RecordClass {
    /// A person's details: name, contacts, birth date.
    Details,
    /// The training record.
    Training,
    /// Incident reports.
    Incident,
}
