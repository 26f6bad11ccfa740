//! The stop on the way up, and the last metres.
//!
//! Source: common practice, no published source; the tables ask for no stop on a no-stop dive.

use super::window::WINDOW;
use crate::calc::unit::{Metres, Seconds};

const LAST_METRES: f64 = 5.0; // m, where the gas of a breath grows fastest
const STOP_BAND: (f64, f64) = (3.0, 6.0); // m, common practice

/// Time spent between 3 and 6 m after the deepest point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// When it began, from the start of the dive.
    pub from: Seconds,
    /// The average depth of that time.
    pub depth: Metres,
    /// The longest unbroken stay.
    pub time: Seconds,
}

/// Seconds from the last time at 5 m to the surface.
pub(super) fn last_metres(points: &[(f64, f64)]) -> Option<f64> {
    let surfaced = points
        .iter()
        .rposition(|(_, depth)| *depth >= LAST_METRES)?;
    let (left, deep) = *points.get(surfaced)?;
    let (next, shallow) = *points.get(surfaced + 1)?;
    let leaving = left + (next - left) * (deep - LAST_METRES) / (deep - shallow);
    // A computer ends its dive a little below the surface.
    let (arrived, _) = *points
        .iter()
        .skip(surfaced + 1)
        .find(|(_, depth)| *depth <= 0.5)?;
    Some(arrived - leaving)
}

/// The longest stay in the stop band after the deepest point.
pub(super) fn stop(points: &[(f64, f64)]) -> Option<Stop> {
    let deepest = points.iter().map(|(_, depth)| *depth).fold(0.0, f64::max);
    let after = points.iter().rposition(|(_, depth)| *depth >= deepest)?;
    let inside = |depth: f64| (STOP_BAND.0..=STOP_BAND.1).contains(&depth);
    let later: Vec<(f64, f64)> = points.iter().skip(after).copied().collect();
    later
        .chunk_by(|one, next| inside(one.1) && inside(next.1))
        .filter(|run| run.len() >= 2)
        .filter_map(|run| {
            let from = run.first()?.0;
            let time = run.last()?.0 - from;
            let area: f64 = run
                .iter()
                .zip(run.iter().skip(1))
                .map(|((earlier, above), (later, below))| {
                    f64::midpoint(*above, *below) * (later - earlier)
                })
                .sum();
            (time >= WINDOW).then(|| Stop {
                from: Seconds(from),
                depth: Metres(area / time),
                time: Seconds(time),
            })
        })
        .max_by(|one, other| one.time.0.total_cmp(&other.time.0))
}
