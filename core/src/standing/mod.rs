//! Standing: what the entries mean, the same in any order. Pure.
//!
//! Lines come from [`crate::ledger`] with their verdicts from [`crate::trust`];
//! [`crate::plan`] asks what is missing, [`crate::view`] shows it.

mod answer;
mod away;
mod cell;
mod course;
mod dived;
mod files;
mod kit;
mod listing;
#[cfg(test)]
pub(crate) mod sample;
mod session;
mod shop;
mod tally;

pub use cell::{Cell, CellState, MarkFact, MarkKind, Parts};
pub use course::{CourseStanding, PolicyNow, RuleHeld, SessionNow, TeamsNow, TeamsSaid, Touched};
pub use dived::{Dive, altitude, dived, each_once};
#[cfg(test)]
pub(crate) use files::students_of;
pub use kit::{FaultNow, PieceNow};
pub use shop::ShopStanding;
pub use tally::{Counted, Tally};

#[cfg(test)]
pub(crate) mod tests;
