//! A clock that is set, and chance that can be drawn again.

use std::sync::Mutex;

use chrono::{DateTime, Duration, FixedOffset};
use tallywater_core::stamp::{NoChance, Stamps};

/// Stamps of a test device: the clock moves by a second a reading, chance comes from a seed.
#[derive(Debug)]
pub(crate) struct SetStamps {
    state: Mutex<(DateTime<FixedOffset>, u64)>,
}

impl SetStamps {
    pub(crate) fn new(at: &str, seed: u64) -> Self {
        let at = DateTime::parse_from_rfc3339(at).expect("a time");
        // A seed of nought would stay nought.
        Self {
            state: Mutex::new((at, seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)),
        }
    }

    /// Puts the clock forward or back.
    pub(crate) fn shift(&self, by: Duration) {
        self.state.lock().expect("stamps").0 += by;
    }
}

impl Stamps for SetStamps {
    fn now(&self) -> DateTime<FixedOffset> {
        let mut state = self.state.lock().expect("stamps");
        state.0 += Duration::seconds(1);
        state.0
    }

    fn chance(&self, bytes: &mut [u8]) -> Result<(), NoChance> {
        let state = &mut self.state.lock().expect("stamps").1;
        for byte in bytes {
            // xorshift64*: plenty for telling devices and entries apart in a test.
            *state ^= *state >> 12;
            *state ^= *state << 25;
            *state ^= *state >> 27;
            *byte = state.wrapping_mul(0x2545_F491_4F6C_DD1D).to_be_bytes()[0];
        }
        Ok(())
    }
}
