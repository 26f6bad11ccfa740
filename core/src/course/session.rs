//! Session: one planned meeting in one setting.

use chrono::{DateTime, FixedOffset};
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
}

/// The water a session expects; what is not known is left out, never guessed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
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
