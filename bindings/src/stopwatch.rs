//! Stopwatch: one a device; what it does and keeps is the core's.

use crate::{StopwatchView, Tallywater, Timed};

#[uniffi::export]
impl Tallywater {
    /// The stopwatch as it stands, against a bound in seconds where one is given.
    pub fn stopwatch(&self, bound: Option<u32>) -> StopwatchView {
        self.stopwatch.shown(&self.desk, bound)
    }

    /// Starts it, or lets it go on; for another cell it begins at nought.
    pub fn start_stopwatch(&self, timed: Option<Timed>) -> StopwatchView {
        self.stopwatch.start(&self.desk, timed)
    }

    /// Stops it.
    pub fn stop_stopwatch(&self) -> StopwatchView {
        self.stopwatch.stop(&self.desk)
    }

    /// Puts it back to nought.
    pub fn reset_stopwatch(&self) -> StopwatchView {
        self.stopwatch.reset(&self.desk)
    }
}
