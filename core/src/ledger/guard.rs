//! Guard: Automerge behind a wall.
//!
//! Automerge 0.12 can panic on hostile input: a corrupted change with a recomputed
//! checksum did so 450 times in 10,000. Whatever reads bytes from elsewhere runs here, on
//! a clone, so that a panic costs that message and never the document.

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Once;

use super::LedgerError;

#[cfg(not(panic = "unwind"))]
compile_error!("a hostile message would end the program: the guard needs panics that unwind");

thread_local! {
    /// How many guards this thread is inside of.
    static INSIDE: Cell<usize> = const { Cell::new(0) };
}

/// Runs the step; a panic or an error of the engine becomes an error.
pub(crate) fn guarded<T, E: std::fmt::Display>(
    during: &'static str,
    step: impl FnOnce() -> Result<T, E>,
) -> Result<T, LedgerError> {
    hush();
    INSIDE.set(INSIDE.get() + 1);
    // Unwind safety: the step works on values it owns or that the caller throws away when
    // this returns an error.
    let outcome = catch_unwind(AssertUnwindSafe(step));
    INSIDE.set(INSIDE.get() - 1);
    match outcome {
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

/// Keeps the message of a guarded panic out of the log, once for the whole program: it may
/// print the bytes, and they may be someone's name. Every other panic is reported as
/// before, by the hook that was there.
fn hush() {
    static ONCE: Once = Once::new();
    // Setting a hook while unwinding is itself a panic.
    if ONCE.is_completed() || std::thread::panicking() {
        return;
    }
    ONCE.call_once(|| {
        let before = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |panic| {
            // A thread that is shutting down has no count any more, and no guard either.
            if INSIDE.try_with(Cell::get).unwrap_or(0) == 0 {
                before(panic);
            }
        }));
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_an_error_and_the_next_step_runs() {
        for _ in 0..3 {
            let error = guarded("try", || -> Result<(), String> { panic!("engine") });
            assert!(matches!(error, Err(LedgerError::Engine { .. })));
        }
        assert_eq!(guarded("try", || Ok::<_, String>(7)), Ok(7));
        assert_eq!(INSIDE.get(), 0);
    }
}
