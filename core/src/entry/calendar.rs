//! The school's slots of pool and site, and who is away when.

use serde::{Deserialize, Serialize};

use super::Who;
use crate::course::{Away, Slot};

/// A slot is had, changed, or lost again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SlotSet {
    /// Which and when.
    pub slot: Slot,
    /// Whether the school has it no more.
    #[serde(default)]
    pub dropped: bool,
}

/// Somebody is away, at another time, or not after all. Of a student it stands in the course,
/// of staff in the school's book.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AwaySet {
    /// Who.
    pub who: Who,
    /// When.
    pub away: Away,
    /// Whether they come after all.
    #[serde(default)]
    pub dropped: bool,
}
