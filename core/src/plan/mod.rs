//! Plan: gaps, the next session, a forecast. Pure; asks [`crate::standing`], decides
//! nothing for a person.

pub mod expect;
mod gap;
mod gather;
mod lay;
mod need;
mod next;
mod outlook;
pub mod solve;

pub use gap::{Gap, Missing, before_completion, before_session, counts_until, open_water_dives};
pub use need::{brings_on, may_go_on, still_needs};
pub use next::{
    Because, Lacking, LeftOver, NextAsked, NextPlan, Station, StationRun, Why, next_session,
};
pub use outlook::{Outlook, OutlookAsked, OutlookQuestion, WAYS, chances, outlook};

#[cfg(test)]
mod tests;
