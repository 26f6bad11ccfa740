//! The share of tries that were met, with its interval.
//!
//! Source: Wilson, E. B., Probable inference, the law of succession, and statistical inference,
//! J. Am. Stat. Assoc. 22, 1927, p. 209; recommended for small numbers by Newcombe, R. G., Two-sided
//! confidence intervals for the single proportion, Stat. Med. 17, 1998, p. 857 (method 3). Three
//! met of three is no more than "at least 44 %".

use super::level::{Interval, Level};
use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, counted};
use crate::calc::unit::Share;

/// The share met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShareMet {
    /// How many were met.
    pub met: u32,
    /// Of how many.
    pub tries: u32,
    /// One by the other.
    pub share: Share,
    /// Wilson's interval.
    pub interval: Interval,
    /// What to say beside it.
    pub caution: Caution,
}

/// The share met with Wilson's interval.
///
/// # Errors
/// No try or more than 100 000, or more met than tried.
///
/// ```
/// use tallywater_core::calc::evidence::{Level, share_met};
/// let three = share_met(3, 3, Level::NinetyFive)?;
/// assert!((three.interval.low.0 - 0.4385).abs() < 5e-5);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn share_met(met: u32, tries: u32, level: Level) -> Result<ShareMet, OutsideTable> {
    let n = f64::from(counted(Quantity::Tries, tries, 1, 100_000)?);
    let x = f64::from(counted(Quantity::Met, met, 0, tries)?);
    let p = x / n;
    let z = level.z();
    let middle = p + z * z / (2.0 * n);
    let half = z * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
    let scale = 1.0 + z * z / n;
    // None met begins at nothing and all met ends at one; rounding is not to say otherwise.
    let low = if met == 0 {
        0.0
    } else {
        (middle - half) / scale
    };
    let high = if met == tries {
        1.0
    } else {
        (middle + half) / scale
    };
    Ok(ShareMet {
        met,
        tries,
        share: Share(p),
        interval: Interval {
            low: Share(low),
            high: Share(high),
        },
        caution: Caution::TooFewToProve,
    })
}
