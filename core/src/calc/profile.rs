//! A sampled dive: times and depths as a diver's computer recorded them.
//!
//! Holds the one check that `breathing` and `ascent` both rely on. Knows no file format.

use super::outside::{OutsideTable, Quantity, listed, within};
use super::unit::{Metres, Seconds};
use super::water::DEEPEST;

/// One sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Time since the dive began.
    pub time: Seconds,
    /// Depth at that time.
    pub depth: Metres,
}

/// A day of one-second samples.
const MOST_SAMPLES: u32 = 86_400;
/// Further apart than this a profile says nothing about an ascent.
const WIDEST: Seconds = Seconds(600.0);

/// The same samples as bare `(seconds, metres)`, when there are at least two, each later than the
/// one before and none deeper than 200 m.
pub(crate) fn checked(samples: &[Sample]) -> Result<Vec<(f64, f64)>, OutsideTable> {
    listed(Quantity::SampleCount, samples, 2, MOST_SAMPLES)?;
    let mut points: Vec<(f64, f64)> = Vec::with_capacity(samples.len());
    for sample in samples {
        let depth = within(Quantity::Depth, sample.depth, Metres(0.0), DEEPEST)?;
        let time = match points.last() {
            // Two samples at one time would be an ascent without end.
            Some((before, _)) => {
                before
                    + within(
                        Quantity::SampleSpacing,
                        Seconds(sample.time.0 - before),
                        Seconds(0.001),
                        WIDEST,
                    )?
            }
            None => within(
                Quantity::SampleTime,
                sample.time,
                Seconds(0.0),
                Seconds(86_400.0),
            )?,
        };
        points.push((time, depth));
    }
    Ok(points)
}

/// Depth at any time within a profile, on the straight line between its samples, for times that
/// only go forward: a search for each of thousands of windows would be seen on the screen.
pub(crate) struct Depths<'a> {
    ahead: &'a [(f64, f64)],
}

impl<'a> Depths<'a> {
    pub(crate) fn of(points: &'a [(f64, f64)]) -> Self {
        Self { ahead: points }
    }

    /// `None` outside the profile, and for a time before the last that was asked.
    pub(crate) fn at(&mut self, time: f64) -> Option<f64> {
        while let [_, (next, _), _, ..] = self.ahead
            && *next < time
        {
            self.ahead = self.ahead.get(1..)?;
        }
        let [(earlier, above), (later, below), ..] = self.ahead else {
            return None;
        };
        (*earlier <= time && time <= *later)
            .then(|| above + (below - above) * (time - earlier) / (later - earlier))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(points: &[(f64, f64)]) -> Result<Vec<(f64, f64)>, OutsideTable> {
        let samples: Vec<Sample> = points
            .iter()
            .map(|(time, depth)| Sample {
                time: Seconds(*time),
                depth: Metres(*depth),
            })
            .collect();
        checked(&samples)
    }

    #[test]
    fn samples_that_go_back_in_time_are_refused() {
        assert_eq!(
            of(&[(0.0, 0.0), (10.0, 3.0), (9.0, 4.0)]).unwrap_err().what,
            Quantity::SampleSpacing
        );
        assert_eq!(
            of(&[(0.0, 0.0), (0.0, 3.0)]).unwrap_err().what,
            Quantity::SampleSpacing
        );
        assert_eq!(of(&[(0.0, 0.0)]).unwrap_err().what, Quantity::SampleCount);
        assert_eq!(
            of(&[(0.0, 0.0), (10.0, -1.0)]).unwrap_err().what,
            Quantity::Depth
        );
        assert_eq!(
            of(&[(0.0, 0.0), (f64::NAN, 1.0)]).unwrap_err().what,
            Quantity::SampleSpacing
        );
    }

    #[test]
    fn depth_between_samples_lies_on_their_line() {
        let points = of(&[(0.0, 0.0), (10.0, 5.0), (30.0, 1.0)]).unwrap();
        let mut depths = Depths::of(&points);
        let found: Vec<Option<f64>> = [-1.0, 0.0, 4.0, 10.0, 20.0, 30.0, 31.0]
            .into_iter()
            .map(|time| depths.at(time))
            .collect();
        assert_eq!(
            found,
            [
                None,
                Some(0.0),
                Some(2.0),
                Some(5.0),
                Some(3.0),
                Some(1.0),
                None
            ]
        );
        assert_eq!(depths.at(4.0), None, "back in time");
    }
}
