//! How many vertical ascents a member of staff has made today.
//!
//! Source: no published limit exists. Trade practice holds 6 to 8 a day to be enough, deepest first,
//! and no flying after; written down from memory. That rapid and emergency ascents hurt is published:
//! Denoble, P. J. et al., Common causes of open-circuit recreational diving fatalities, Undersea
//! Hyperb. Med. 35, 2008, p. 393. The house sets its own limit; this counts against it.

use crate::calc::caution::{Caution, Origin};
use crate::calc::outside::{OutsideTable, Quantity, counted, listed, within};
use crate::calc::profile::{Sample, checked};
use crate::calc::unit::Metres;
use crate::calc::water::DEEPEST;

/// Vertical ascents a day to begin with: 6. Common practice, no published source.
pub const HOUSE_LIMIT: u32 = 6;
/// At the surface, as a wrist computer in swell shows it.
const SURFACED: f64 = 1.0; // m

/// Some vertical ascents of one member of staff, in the order of the day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AscentBatch {
    /// How many, 1 to 100.
    pub ascents: u32,
    /// From how deep, 0 to 200 m.
    pub depth: Metres,
}

/// How the day stands against the house limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum AscentStanding {
    /// More may follow.
    Below,
    /// The limit is reached: someone else takes the next.
    At,
    /// Beyond the limit.
    Over,
}

/// The ascents of one member of staff on one day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AscentDay {
    /// How many so far.
    pub ascents: u32,
    /// How many are left below the limit.
    pub left: u32,
    /// In one word.
    pub standing: AscentStanding,
    /// A deeper ascent came after a shallower one.
    pub deeper_later: bool,
    /// The deepest.
    pub deepest: Metres,
    /// Where a limit that was not typed comes from.
    pub origin: Origin,
    /// What to say beside it.
    pub caution: Caution,
}

/// Counts a day's vertical ascents against the house limit.
///
/// # Errors
/// A limit outside 1 to 50, a batch outside 1 to 100 ascents or 0 to 200 m, more than 200 batches.
///
/// ```
/// use tallywater_core::calc::ascent::{AscentBatch, AscentStanding, HOUSE_LIMIT, ascent_day};
/// use tallywater_core::calc::unit::Metres;
/// let day = ascent_day(&[AscentBatch { ascents: 4, depth: Metres(6.0) }, AscentBatch { ascents: 2, depth: Metres(9.0) }], HOUSE_LIMIT)?;
/// assert_eq!((day.standing, day.left, day.deeper_later), (AscentStanding::At, 0, true));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn ascent_day(batches: &[AscentBatch], limit: u32) -> Result<AscentDay, OutsideTable> {
    let limit = counted(Quantity::Ascents, limit, 1, 50)?;
    listed(Quantity::Ascents, batches, 0, 200)?;
    let mut ascents = 0;
    let mut deepest = 0.0;
    let mut deeper_later = false;
    for batch in batches {
        ascents += counted(Quantity::Ascents, batch.ascents, 1, 100)?;
        let depth = within(Quantity::Depth, batch.depth, Metres(0.0), DEEPEST)?;
        deeper_later |= deepest > 0.0 && depth > deepest;
        deepest = depth.max(deepest);
    }
    let standing = match ascents.cmp(&limit) {
        std::cmp::Ordering::Less => AscentStanding::Below,
        std::cmp::Ordering::Equal => AscentStanding::At,
        std::cmp::Ordering::Greater => AscentStanding::Over,
    };
    Ok(AscentDay {
        ascents,
        left: limit.saturating_sub(ascents),
        standing,
        deeper_later,
        deepest: Metres(deepest),
        origin: if limit == HOUSE_LIMIT {
            Origin::CommonPractice
        } else {
            Origin::Typed
        },
        caution: Caution::PlanningAid,
    })
}

/// The vertical ascents in a sampled profile: each time the surface is reached after having been at
/// least `from` deep.
///
/// # Errors
/// Samples that are no profile, or a depth outside 2 to 40 m.
///
/// ```
/// use tallywater_core::calc::{ascent::count_ascents, profile::Sample, unit::{Metres, Seconds}};
/// let dive = [(0.0, 0.0), (30.0, 6.0), (90.0, 0.2), (120.0, 6.0), (180.0, 0.4), (200.0, 1.5), (210.0, 0.0)]
///     .map(|(time, depth)| Sample { time: Seconds(time), depth: Metres(depth) });
/// assert_eq!(count_ascents(&dive, Metres(3.0))?.len(), 2);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn count_ascents(samples: &[Sample], from: Metres) -> Result<Vec<AscentBatch>, OutsideTable> {
    let from = within(Quantity::Depth, from, Metres(2.0), Metres(40.0))?;
    let mut found = Vec::new();
    let mut deepest: f64 = 0.0;
    for (_, depth) in checked(samples)? {
        deepest = deepest.max(depth);
        if depth <= SURFACED {
            if deepest >= from {
                found.push(AscentBatch {
                    ascents: 1,
                    depth: Metres(deepest),
                });
            }
            deepest = 0.0;
        }
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_below_at_and_over_the_limit() {
        let day = |ascents| {
            ascent_day(
                &[AscentBatch {
                    ascents,
                    depth: Metres(6.0),
                }],
                4,
            )
            .unwrap()
        };
        assert_eq!((day(3).standing, day(3).left), (AscentStanding::Below, 1));
        assert_eq!((day(4).standing, day(4).left), (AscentStanding::At, 0));
        assert_eq!((day(5).standing, day(5).left), (AscentStanding::Over, 0));
        assert_eq!(ascent_day(&[], 4).unwrap().ascents, 0);
    }

    #[test]
    fn a_limit_of_nothing_is_refused() {
        assert_eq!(ascent_day(&[], 0).unwrap_err().what, Quantity::Ascents);
        let batch = AscentBatch {
            ascents: 1,
            depth: Metres(f64::NAN),
        };
        assert_eq!(ascent_day(&[batch], 4).unwrap_err().what, Quantity::Depth);
    }
}
