//! Secants over a profile, and the stretches in which they are too fast.
//!
//! Method of our own; see `rate` for why a window and not a pair of samples.

use crate::calc::profile::depth_at;
use crate::calc::unit::{Metres, MetresPerMinute, Seconds};

pub(super) const WINDOW: f64 = 15.0; // s

/// A stretch that was too fast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TooFast {
    /// Where its first window began.
    pub from: Seconds,
    /// Where its last window ended.
    pub until: Seconds,
    /// The fastest window in it.
    pub fastest: MetresPerMinute,
    /// Depth at its end.
    pub depth: Metres,
}

/// The way between two times.
pub(super) struct Window {
    pub(super) from: f64,
    pub(super) until: f64,
    pub(super) rate: f64, // m/min, up is positive
    pub(super) depth: f64,
}

/// A window that ends and one that begins at every sample, wherever it fits into the dive; a dive
/// shorter than the window is one window.
pub(super) fn windows(points: &[(f64, f64)], length: f64) -> Vec<Window> {
    let (Some((begin, _)), Some((end, _))) = (points.first(), points.last()) else {
        return Vec::new();
    };
    let length = length.min(end - begin);
    let mut starts: Vec<f64> = points
        .iter()
        .flat_map(|(time, _)| [*time, *time - length])
        .collect();
    starts.retain(|start| *start >= *begin && *start + length <= *end);
    starts.sort_by(f64::total_cmp);
    // A millisecond apart is the same window: two must be two views, not one counted twice.
    starts.dedup_by(|later, earlier| *later - *earlier < 0.001);
    starts
        .into_iter()
        .filter_map(|from| {
            let until = (from + length).min(*end);
            let (above, below) = (depth_at(points, until)?, depth_at(points, from)?);
            Some(Window {
                from,
                until,
                rate: (below - above) / length * 60.0,
                depth: above,
            })
        })
        .collect()
}

/// Two or more windows running above the mark.
pub(super) fn stretches(windows: &[Window], mark: f64) -> Vec<TooFast> {
    windows
        .chunk_by(|one, next| (one.rate > mark) == (next.rate > mark))
        .filter(|run| run.len() >= 2 || windows.len() == 1)
        .filter_map(|run| {
            let (first, last) = (run.first()?, run.last()?);
            (first.rate > mark).then(|| TooFast {
                from: Seconds(first.from),
                until: Seconds(last.until),
                fastest: MetresPerMinute(run.iter().map(|window| window.rate).fold(0.0, f64::max)),
                depth: Metres(last.depth),
            })
        })
        .collect()
}
