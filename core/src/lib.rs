//! Tallywater's core.

pub mod calc;
pub mod course;
pub mod entry;
pub mod ledger;
pub mod plan;
pub mod stamp;
pub mod standing;
pub mod trust;
