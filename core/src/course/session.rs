//! Session: one planned meeting in one setting.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset, TimeDelta};
use serde::{Deserialize, Serialize};

use super::{BlockId, Setting, SkillId, StaffId, StudentId, WaterKind};

/// A session as planned; planning it again replaces it, and the record shows both.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SessionPlan {
    /// "Pool 2: mask and regulator".
    pub title: String,
    /// The block of the outline it carries out, if it does.
    #[serde(default)]
    pub block: Option<BlockId>,
    /// Where it is held.
    pub setting: Setting,
    /// The pool, lake or beach, in words.
    pub site: String,
    /// When it starts.
    pub starts: DateTime<FixedOffset>,
    /// How long it is planned, in minutes.
    pub minutes: u16,
    /// Who should be there.
    pub students: Vec<StudentId>,
    /// Who teaches and assists.
    pub staff: Vec<StaffId>,
    /// The skills, in running order.
    pub run_list: Vec<SkillId>,
    /// The water, as expected.
    pub water: WaterPlan,
    /// Who runs what with whom, where that was laid down.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stations: Vec<StationPlan>,
    /// What it is besides; a current is said of the water.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub also: BTreeSet<Condition>,
    /// What each student is to bring, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bring: Option<String>,
}

impl SessionPlan {
    /// When it ends, as planned; its start, where the calendar ends before it does.
    pub fn ends(&self) -> DateTime<FixedOffset> {
        let length = TimeDelta::minutes(self.minutes.into());
        self.starts
            .checked_add_signed(length)
            .unwrap_or(self.starts)
    }

    /// Whether it goes on at any moment between these two.
    pub fn meets(&self, from: DateTime<FixedOffset>, until: DateTime<FixedOffset>) -> bool {
        self.starts < until && from < self.ends()
    }

    /// Everything that the session is besides its setting, a current among it.
    pub fn conditions(&self) -> BTreeSet<Condition> {
        let mut all = self.also.clone();
        if self.water.moving {
            all.insert(Condition::Current);
        }
        all
    }
}

/// What a session can be besides its setting, and what a rule may forbid for a course.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Condition {
    /// In the dark.
    Night,
    /// In current or surf.
    Current,
    /// Under something that bars the straight way up.
    Overhead,
    /// Under or between ice.
    Ice,
    /// From a boat.
    Boat,
}

impl Condition {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Night,
        Self::Current,
        Self::Overhead,
        Self::Ice,
        Self::Boat,
    ];
}

/// What one member of staff runs in a session, and with whom.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StationPlan {
    /// Who runs it.
    pub staff: StaffId,
    /// What, in order.
    pub runs: Vec<StationRunPlan>,
    /// Buddies; three where one would be alone.
    #[serde(default)]
    pub buddies: Vec<Vec<StudentId>>,
}

/// One skill at a station.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StationRunPlan {
    /// Which.
    pub skill: SkillId,
    /// Minutes after the start of the session at which it begins.
    pub starts: u16,
    /// Minutes it takes, with the turns that are kept.
    pub minutes: u16,
    /// Of its turns, those that are kept for whoever misses the first.
    #[serde(default)]
    pub kept: u16,
    /// Who tries it; nobody where everyone does it unjudged.
    #[serde(default)]
    pub students: Vec<StudentId>,
}

/// The water a session expects; what is not known is left out, never guessed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct WaterPlan {
    /// Fresh, brackish or salt.
    pub kind: WaterKind,
    /// Deepest planned, in centimetres.
    #[serde(default)]
    pub max_depth_cm: Option<u32>,
    /// Height of the surface above the sea, in metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub altitude_m: Option<i16>,
    /// At depth, in tenths of a degree Celsius.
    #[serde(default)]
    pub temperature_dc: Option<i16>,
    /// Sideways, in decimetres.
    #[serde(default)]
    pub visibility_dm: Option<u16>,
    /// Whether there is current or surf to reckon with.
    #[serde(default)]
    pub moving: bool,
}
