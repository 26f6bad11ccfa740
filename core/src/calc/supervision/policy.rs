//! What a policy says about numbers, and who counts.
//!
//! Source: the figures to begin with are those usually quoted for entry-level courses (RSTC, Minimum
//! Course Content for Open Water Diver Certification, 2004), written down from memory: unconfirmed
//! until a person signs them against the standards that bind the school.

use crate::calc::caution::Origin;

/// Where a session is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "CeilingSetting")
)]
pub enum Setting {
    /// A pool, or water like one.
    ConfinedWater,
    /// Everywhere else.
    OpenWater,
}

/// Whether a person has confirmed the policy against the standards that bind the school.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "PolicyConfirmation")
)]
pub enum Confirmation {
    /// By a named person, on a date; both are kept elsewhere.
    Confirmed,
    /// By nobody yet.
    Unconfirmed,
}

/// How many students a policy allows in the water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CeilingPolicy {
    /// For which setting.
    pub setting: Setting,
    /// Students for each instructor, 0 to 20.
    pub per_instructor: u32,
    /// More students for each assistant who counts, 0 to 10.
    pub per_assistant: u32,
    /// Students in the whole water, however many instructors and assistants there are; `None`
    /// where the policy has no such number.
    pub cap: Option<u32>,
    /// Whether anyone has confirmed it.
    pub confirmation: Confirmation,
    /// Where the figures come from.
    pub origin: Origin,
}

impl CeilingPolicy {
    /// What the policy alone allows these staff, before the day takes anything away: so many for
    /// each instructor, more for each assistant who counts, and never more than the cap in the
    /// whole water. Without an instructor nobody.
    ///
    /// ```
    /// use tallywater_core::calc::supervision::{Setting, starter_policy};
    /// let open = starter_policy(Setting::OpenWater);
    /// assert_eq!([open.ceiling(0, 3), open.ceiling(1, 1), open.ceiling(2, 4)], [0, 10, 12]);
    /// ```
    #[must_use]
    pub fn ceiling(&self, instructors: u32, assistants: u32) -> u32 {
        if instructors == 0 {
            return 0;
        }
        let sum = instructors
            .saturating_mul(self.per_instructor)
            .saturating_add(assistants.saturating_mul(self.per_assistant));
        self.cap.map_or(sum, |cap| sum.min(cap))
    }
}

/// Figures to begin with, unconfirmed.
///
/// ```
/// use tallywater_core::calc::supervision::{Confirmation, Setting, starter_policy};
/// assert_eq!(starter_policy(Setting::OpenWater).confirmation, Confirmation::Unconfirmed);
/// ```
#[must_use]
pub const fn starter_policy(setting: Setting) -> CeilingPolicy {
    let (per_instructor, per_assistant, cap) = match setting {
        Setting::ConfinedWater => (10, 4, None),
        Setting::OpenWater => (8, 2, Some(12)),
    };
    CeilingPolicy {
        setting,
        per_instructor,
        per_assistant,
        cap,
        confirmation: Confirmation::Unconfirmed,
        origin: Origin::FromMemory,
    }
}

/// One assistant, as far as counting goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "AssistantCount")
)]
pub enum Assistant {
    /// Certified and current, briefed, and in the water with the class.
    Counts,
    /// Not certified for it, or no longer current.
    NotCurrent,
    /// Has not heard the briefing.
    NotBriefed,
    /// Not in the water.
    OutOfWater,
}
