//! Guard: Automerge behind a wall.
//!
//! Automerge 0.12 can panic on hostile input: a corrupted change with a recomputed
//! checksum did so 450 times in 10,000. Whatever reads bytes from elsewhere runs here, on
//! a clone, so that a panic costs that message and never the document.

use std::panic::{AssertUnwindSafe, catch_unwind};

use super::LedgerError;

/// Runs the step; a panic or an error of the engine becomes an error.
pub(crate) fn guarded<T, E: std::fmt::Display>(
    during: &'static str,
    step: impl FnOnce() -> Result<T, E>,
) -> Result<T, LedgerError> {
    // Unwind safety: the step works on values it owns or that the caller throws away when
    // this returns an error.
    match catch_unwind(AssertUnwindSafe(step)) {
        Ok(Ok(value)) => Ok(value),
        Ok(Err(error)) => Err(LedgerError::Engine {
            during,
            detail: error.to_string(),
        }),
        Err(_) => Err(LedgerError::Engine {
            during,
            detail: "the engine gave up on these bytes".into(),
        }),
    }
}
