//! The middle of a few figures, with an interval that asks nothing of how they are spread.
//!
//! Source: David, H. A. and Nagaraja, H. N., Order Statistics, 3rd edition, 2003, section 7.1: from
//! the k-th smallest to the k-th largest of n lies the true middle with a probability of
//! 1 - 2 P(X < k), where X is binomial of n and a half. So of fewer than six figures no interval
//! of 95 % can be told. One figure that is far off, such as a break, moves it hardly at all.

use super::level::Level;
use crate::calc::outside::{OutsideTable, Quantity, listed};

/// More figures than this say no more.
const MOST: u32 = 1_000;

/// The middle of figures, with its interval, in their own unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Middle {
    /// Of how many.
    pub of: u32,
    /// The middle one; of an even number the mean of the two, rounded down.
    pub middle: u32,
    /// The lower end of its interval, which is one of the figures.
    pub low: u32,
    /// The upper end.
    pub high: u32,
}

impl Middle {
    /// How many figures it takes for an interval of this level.
    pub fn least(level: Level) -> u32 {
        let mut tail = 1.0;
        let mut figures = 0;
        while tail > level.tail() {
            tail *= 0.5;
            figures += 1;
        }
        figures
    }
}

/// The middle of figures, in any order.
///
/// # Errors
/// Fewer than [`Middle::least`] or more than 1000.
///
/// ```
/// use tallywater_core::calc::evidence::{Level, middle};
/// let six = middle(&[150, 90, 120, 400, 110, 130], Level::NinetyFive)?;
/// assert_eq!((six.low, six.middle, six.high), (90, 125, 400));
/// assert!(middle(&[150, 90, 120, 400, 110], Level::NinetyFive).is_err());
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn middle(figures: &[u32], level: Level) -> Result<Middle, OutsideTable> {
    let of = listed(Quantity::SampleCount, figures, Middle::least(level), MOST)?;
    let mut sorted = figures.to_vec();
    sorted.sort_unstable();
    let count = sorted.len();
    let rank = rank(of, level);
    let at = |place: usize| sorted.get(place).copied().unwrap_or(0);
    let (below, above) = (at(count.saturating_sub(1) / 2), at(count / 2));
    Ok(Middle {
        of,
        middle: u32::midpoint(below, above),
        low: at(rank.saturating_sub(1)),
        high: at(count.saturating_sub(rank)),
    })
}

/// The largest k for which fewer than k of so many tosses are heads no oftener than a tail.
fn rank(of: u32, level: Level) -> usize {
    let mut term = (0..of).fold(1.0, |all, _| all * 0.5);
    let (mut below, mut heads, mut rank) = (term, 0, 0);
    while below <= level.tail() && heads < of {
        heads += 1;
        rank += 1;
        term *= f64::from(of - heads + 1) / f64::from(heads);
        below += term;
    }
    rank
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranks_are_those_of_the_binomial_tail() {
        // P(X < 2) of ten is 11/1024, P(X < 3) is 56/1024; P(X < 6) of twenty is 0.0207.
        let ranks = [6, 8, 9, 10, 20].map(|of| rank(of, Level::NinetyFive));
        assert_eq!(ranks, [1, 1, 2, 2, 6]);
    }

    #[test]
    fn five_figures_have_no_interval_and_a_break_moves_the_middle_hardly_at_all() {
        let level = Level::NinetyFive;
        assert_eq!(Middle::least(level), 6);
        assert!(middle(&[1; 5], level).is_err());
        assert!(middle(&[1; 1_001], level).is_err());
        let mut ten = [10, 11, 12, 13, 14, 15, 16, 17, 18, 19];
        let before = middle(&ten, level).unwrap();
        ten[9] = 5_000;
        assert_eq!(middle(&ten, level).unwrap(), before);
        assert_eq!((before.low, before.middle, before.high), (11, 14, 18));
    }

    #[test]
    fn a_thousand_figures_do_not_underflow() {
        let figures: Vec<u32> = (1..=1_000).collect();
        let all = middle(&figures, Level::NinetyFive).unwrap();
        // About 1.96 times half the root of a thousand either side.
        assert!((469..=470).contains(&all.low), "{all:?}");
        assert_eq!(all.low + all.high, 1_001);
    }
}
