//! The school's slots of pool and site, and who is away when.

use serde::{Deserialize, Serialize};

use super::rules::{Asked, Rule};
use super::{Kind, Refusal, Who, bounds};
use crate::course::{Away, LedgerId, Slot};

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

impl Rule for SlotSet {
    fn may_be_recorded(&self, _: &Asked<'_>) -> Result<(), Refusal> {
        bounds::slot(&self.slot)
    }
}

impl Rule for AwaySet {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        // A student's absence is the course's to know, that of staff the school's.
        if matches!(at.ledger, LedgerId::Shop(_)) == matches!(self.who, Who::Student(_)) {
            let kind = Kind::AwaySet;
            return Err(Refusal::WrongLedger { kind });
        }
        at.who(&self.who)?;
        bounds::away(&self.away)
    }
}
