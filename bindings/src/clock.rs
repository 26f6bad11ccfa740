//! Clock: another clock than the device's, for a demo day and for pictures that stay the
//! same.

use std::sync::Arc;

use chrono::{DateTime, FixedOffset, NaiveDateTime};
use tallywater_core::stamp::{DeviceStamps, NoChance, Stamps};

use crate::Fault;

/// A clock of the shell's own.
#[uniffi::export(with_foreign)]
pub trait DeviceClock: Send + Sync {
    /// Now, in RFC 3339 with the place's offset: "2026-06-06T09:00:00+02:00".
    fn now(&self) -> Result<String, Fault>;
}

/// A shell's clock as the core knows one. Chance is the device's own.
pub(crate) struct ShellClock(pub(crate) Arc<dyn DeviceClock>);

impl Stamps for ShellClock {
    /// What the shell's clock says; the device's own time where that is no time at all, for
    /// a mark must not be lost to a clock.
    fn now(&self) -> DateTime<FixedOffset> {
        self.0
            .now()
            .ok()
            .and_then(|text| DateTime::parse_from_rfc3339(&text).ok())
            .unwrap_or_else(|| DeviceStamps.now())
    }

    /// The place's own rules where the shell's clock is in that place now, else its present
    /// offset.
    fn offset_at(&self, local: NaiveDateTime) -> FixedOffset {
        let now = self.now();
        if DeviceStamps.offset_at(now.naive_local()) == *now.offset() {
            DeviceStamps.offset_at(local)
        } else {
            *now.offset()
        }
    }

    fn chance(&self, bytes: &mut [u8]) -> Result<(), NoChance> {
        DeviceStamps.chance(bytes)
    }
}
