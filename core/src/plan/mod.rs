//! Plan: gaps, the next session, a forecast. Pure; asks [`crate::standing`], decides
//! nothing for a person.

mod gap;
mod next;

pub use gap::{Gap, Missing, before_completion, before_session, counts_until, open_water_dives};
pub use next::{Forecast, NextPlan, NextSkill, forecast, minutes_for, next_session, still_needs};

#[cfg(test)]
mod tests;
