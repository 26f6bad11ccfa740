//! Tallywater's core.

pub mod course;
pub mod entry;
pub mod ledger;
pub mod stamp;
pub mod trust;
