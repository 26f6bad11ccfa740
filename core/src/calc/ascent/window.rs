//! Secants over a profile, and the stretches in which they are too fast.
//!
//! Method of our own; see `rate` for why a window and not a pair of samples.

use crate::calc::profile::Depths;
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

/// The length of a window in this profile: a dive shorter than it is one window.
pub(super) fn window_of(points: &[(f64, f64)], length: f64) -> f64 {
    let begin = points.first().map_or(0.0, |(time, _)| *time);
    let end = points.last().map_or(0.0, |(time, _)| *time);
    length.min(end - begin)
}

/// A window that ends and one that begins at every sample, wherever it fits into the dive.
pub(super) fn windows(points: &[(f64, f64)], length: f64) -> impl Iterator<Item = Window> {
    let begin = points.first().map_or(0.0, |(time, _)| *time);
    let end = points.last().map_or(0.0, |(time, _)| *time);
    let length = window_of(points, length);
    let (mut deep, mut shallow) = (Depths::of(points), Depths::of(points));
    starts(points, length)
        // The one window of a short dive ends where the dive does, but for the last bit.
        .filter(move |from| *from >= begin && *from + length <= end + 1e-6)
        .filter_map(move |from| {
            let until = (from + length).min(end);
            let (below, above) = (deep.at(from)?, shallow.at(until)?);
            let rate = (below - above) / length * 60.0;
            Some(Window {
                from,
                until,
                rate,
                depth: above,
            })
        })
}

/// The samples' times and those a window earlier, merged in order.
fn starts(points: &[(f64, f64)], length: f64) -> impl Iterator<Item = f64> {
    let mut at = points.iter().map(|(time, _)| *time).peekable();
    let mut before = points
        .iter()
        .map(move |(time, _)| *time - length)
        .peekable();
    let mut last = f64::NEG_INFINITY;
    std::iter::from_fn(move || {
        loop {
            let next = match (at.peek(), before.peek()) {
                (Some(one), Some(other)) if one <= other => at.next(),
                (Some(_), None) => at.next(),
                (_, Some(_)) => before.next(),
                (None, None) => None,
            }?;
            // A millisecond apart is the same window: two must be two views, not one counted twice.
            if next - last >= 0.001 {
                last = next;
                return Some(next);
            }
        }
    })
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
