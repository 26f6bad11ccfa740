//! Tallywater's shell.
#![allow(missing_docs)]
slint::include_modules!();
