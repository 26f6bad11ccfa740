//! Lead: where to begin the check in the water, and nothing more.
//!
//! The student's own last checked figure beats every estimate and is used as soon as it exists.
//! Knows no student; words for causes, notes and checks live in the shell. Neighbours: `suit`,
//! `cylinder` and `water` give the parts.

mod body;
mod change;
mod check;
mod drop;
mod estimate;
mod start;
mod worn;

pub use change::OwnCheck;
pub use check::InWaterCheck;
pub use drop::{DropOutcome, DropQuestion, DropVerdict, drop_lead};
pub use estimate::{LeadQuestion, TYPICAL_KIT};
pub use start::{LeadCause, LeadNote, LeadReason, LeadSource, LeadStart, lead_start};
pub use worn::{WornLead, judge_worn};

use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::Kilograms;

const LEAD_DENSITY: f64 = 11_340.0; // kg/m3, CRC Handbook of Chemistry and Physics

/// The share of lead's weight that is left to pull in water of `water` kg/m3.
fn pull(water: f64) -> f64 {
    1.0 - water / LEAD_DENSITY
}

fn checked_lead(lead: Kilograms) -> Result<f64, OutsideTable> {
    within(Quantity::Lead, lead, Kilograms(0.0), Kilograms(40.0))
}
