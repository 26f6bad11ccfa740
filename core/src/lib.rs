//! Tallywater's core.

pub mod calc;
pub mod course;
pub mod demo;
pub mod desk;
pub mod entry;
pub mod ledger;
pub mod link;
pub mod plan;
pub mod stamp;
pub mod standing;
pub mod store;
pub mod sync;
pub mod trust;
pub mod view;
