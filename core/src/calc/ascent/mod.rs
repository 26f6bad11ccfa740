//! Coming up: how fast a recorded dive did, and how often staff have done it today.
//!
//! Knows no diver. Neighbour: `profile` holds the samples.

mod count;
mod rate;

pub use count::{AscentBatch, AscentDay, AscentStanding, HOUSE_LIMIT, ascent_day, count_ascents};
pub use rate::{AscentReport, NAVY_RATE, Resolution, Stop, TooFast, Verdict, ascent_report};
