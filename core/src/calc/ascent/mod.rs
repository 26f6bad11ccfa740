//! Coming up: how fast a recorded dive did, and how often staff have done it today.
//!
//! Knows no diver. Neighbour: `profile` holds the samples.

mod count;
mod rate;
mod stop;
mod window;

pub use count::{AscentBatch, AscentDay, AscentStanding, HOUSE_LIMIT, ascent_day, count_ascents};
pub use rate::{AscentReport, NAVY_RATE, Resolution, Verdict, ascent_report};
pub use stop::Stop;
pub use window::TooFast;
