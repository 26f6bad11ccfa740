//! Tallywater's shell: the screens, and what joins them to the border.
//!
//! A tap is a callback of a screen's door; `screen` turns it into a request, [`shell`]
//! hands it to the border and shows what came of it. No rule, no reckoning, no date is
//! worked out here: what a screen draws, the border has worked out.

#![expect(
    clippy::result_large_err,
    reason = "the border's fault crosses by value, is rare, and is shown at once"
)]

pub mod account;
pub mod drawing;
pub mod microphone;
pub mod picture;
pub mod shell;
pub mod start;
pub mod system;

#[cfg(target_os = "android")]
mod android;
mod screen;
mod words;

pub use tallywater_screens as ui;
