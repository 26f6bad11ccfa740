//! Climb: how a dive came up, read off its recorded samples.

use super::gas::samples;
use super::{Figure, Reader, figure};
use crate::calc::ascent::{NAVY_RATE, Resolution, Verdict, ascent_report};
use crate::calc::unit::{Measured as _, Seconds};
use crate::course::DiveLog;

/// How a dive came up.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ClimbView {
    /// The fastest 30 seconds running.
    pub sustained: Figure,
    /// The rate that it is held against: 30 ft/min.
    pub limit: Figure,
    /// Against it.
    pub verdict: Verdict,
    /// The last way from 5 m to the surface; `None` where the samples do not show it.
    pub last_metres: Option<Figure>,
    /// How long it stayed between 3 and 6 m on the way up; `None` for less than 15 seconds.
    pub stop: Option<Figure>,
    /// The average depth of that stay.
    pub stop_depth: Option<Figure>,
}

impl ClimbView {
    /// As the samples show it; `None` without samples, and for such as say nothing of an
    /// ascent: fewer than two, or more than ten minutes apart.
    pub fn of(reader: &Reader<'_>, log: &DiveLog) -> Option<Self> {
        let report = ascent_report(&samples(log), NAVY_RATE, Resolution::USUAL).ok()?;
        let units = reader.units;
        Some(Self {
            sustained: Figure::of(report.sustained.amount(), units),
            limit: Figure::of(NAVY_RATE.amount(), units),
            verdict: report.verdict,
            last_metres: report
                .last_metres
                .map(|time| Figure::of(time.amount(), units)),
            stop: report.stop.map(|stop| stopwatch(stop.time)),
            stop_depth: report
                .stop
                .map(|stop| Figure::of(stop.depth.amount(), units)),
        })
    }
}

/// Minutes and seconds, as a dive computer shows them.
pub(super) fn stopwatch(time: Seconds) -> Figure {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a sample's time lies between 0 and 86,400 seconds"
    )]
    let seconds = time.0.round() as u32;
    figure::clock(seconds)
}
