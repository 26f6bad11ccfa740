//! Tallywater's core.

pub mod course;
