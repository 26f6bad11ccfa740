//! A figure that is honest about how well it is known.

/// The lowest and highest value worth expecting, and the likely one between them.
///
/// ```
/// use tallywater_core::calc::{Spread, unit::Kilograms};
/// let lead = Spread { low: Kilograms(3.0), likely: Kilograms(5.0), high: Kilograms(7.0) };
/// assert!(lead.low < lead.likely && lead.likely < lead.high);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread<T> {
    /// The lowest value worth expecting.
    pub low: T,
    /// The value to begin with.
    pub likely: T,
    /// The highest value worth expecting.
    pub high: T,
}
