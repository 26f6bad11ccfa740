//! Backoff: how long to wait before trying a device again.

use std::time::Duration;

use super::Patience;

/// Doubles with each failure, up to a bound, and never twice the same for two devices.
#[derive(Debug, Clone, Copy)]
pub(super) struct Backoff {
    first: Duration,
    most: Duration,
    failures: u32,
}

impl Backoff {
    pub(super) const fn new(patience: &Patience) -> Self {
        Self {
            first: patience.redial_first,
            most: patience.redial_most,
            failures: 0,
        }
    }

    /// The next wait. `chance` spreads it over its upper half, so that two tablets that
    /// lost the same shop do not both come back at once, time after time.
    pub(super) fn next(&mut self, chance: u8) -> Duration {
        let doubled = self.first.saturating_mul(1 << self.failures.min(16));
        self.failures = self.failures.saturating_add(1);
        let whole = doubled.min(self.most);
        whole / 2 + whole.saturating_mul(u32::from(chance)) / 512
    }

    /// All went well: the next failure starts over.
    pub(super) const fn reset(&mut self) {
        self.failures = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_double_up_to_the_bound_and_start_over() {
        let patience = Patience::default();
        let mut backoff = Backoff::new(&patience);
        let waits: Vec<u64> = (0..8).map(|_| backoff.next(0).as_secs()).collect();
        assert_eq!(waits, [0, 1, 2, 4, 8, 15, 15, 15]);
        backoff.reset();
        assert_eq!(backoff.next(0), Duration::from_millis(500));
        for _ in 0..100 {
            assert!(backoff.next(255) < patience.redial_most);
        }
    }

    /// How often a device that is never there is tried within an hour, where nothing but the
    /// waits takes time and where each try lasts as long as one may.
    #[test]
    fn a_device_that_is_not_there_is_tried_some_hundred_times_an_hour() {
        let patience = Patience::default();
        let tries = |chance: u8, each: Duration| {
            let mut backoff = Backoff::new(&patience);
            let (mut at, mut tries) = (Duration::ZERO, 0);
            while at < Duration::from_secs(3_600) {
                tries += 1;
                at += each + backoff.next(chance);
            }
            tries
        };
        // A radio is woken at most so often for a device: figures that the documents state.
        assert_eq!(tries(0, Duration::ZERO), 244);
        assert_eq!(tries(255, Duration::ZERO), 125);
        assert_eq!(tries(255, patience.connect), 94);
        // Two tablets that lost the same shop do not come back at once, time after time.
        assert!(tries(0, Duration::ZERO) > tries(255, Duration::ZERO));
    }
}
