//! Gas that is not for the dive: what two divers need to come up on one cylinder, and the
//! pressure at which to turn so that it is still there.
//!
//! Knows no student; a diver of a class is a place in a list. Neighbours: `breathing` gives the
//! rates, `cylinder` what a pressure holds, `water` the pressure at depth.

mod class;
mod minimum;
mod turn;

pub use class::{ClassDiver, ClassReserve, DiverReserve, EarlyTurn, GivesTo, class_reserve};
pub use minimum::{AscentPlan, FLOOR, Governs, MinimumReserve, ReserveParts, minimum_reserve};
pub use turn::{Turn, TurnRule, turn_pressure};
