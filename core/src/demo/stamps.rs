//! Stamps of the demo: real chance, and a clock that the story sets.

use std::sync::{Mutex, PoisonError};

use chrono::{DateTime, Duration, FixedOffset};

use crate::stamp::{DeviceStamps, NoChance, Stamps};

/// A clock that stands where the story put it and moves a few seconds a reading.
#[derive(Debug)]
pub(super) struct StoryStamps {
    at: Mutex<DateTime<FixedOffset>>,
}

impl StoryStamps {
    pub(super) fn new(at: DateTime<FixedOffset>) -> Self {
        Self { at: Mutex::new(at) }
    }

    /// The story goes on at this moment.
    pub(super) fn set(&self, at: DateTime<FixedOffset>) {
        *self.at.lock().unwrap_or_else(PoisonError::into_inner) = at;
    }
}

impl Stamps for StoryStamps {
    fn now(&self) -> DateTime<FixedOffset> {
        let mut at = self.at.lock().unwrap_or_else(PoisonError::into_inner);
        *at += Duration::seconds(4);
        *at
    }

    fn chance(&self, bytes: &mut [u8]) -> Result<(), NoChance> {
        DeviceStamps.chance(bytes)
    }
}
