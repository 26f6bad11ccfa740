//! Who may be in the water now: a ceiling from the adopted policy, less what the day takes away.
//!
//! Knows no student, no session and no signature: whether a policy was confirmed is told from
//! outside. An unconfirmed policy is never shown as satisfied.

mod ceiling;
mod conditions;
mod policy;

pub use ceiling::{CeilingStep, StaffNow, Standing, StepReason, Supervision, supervision};
pub use conditions::{Conditions, Experience, HouseReductions, WaterMotion};
pub use policy::{Assistant, CeilingPolicy, Confirmation, Setting, starter_policy};
