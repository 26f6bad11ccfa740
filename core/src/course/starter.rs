//! Starter: the outline and the rules that a new shop begins with, in our own words.
//!
//! Both are files that ship inside the program. Their figures are house defaults to be
//! confirmed or changed, never a standard; a course adopts its own copy through
//! [`crate::entry`], so a better starter in a later version changes no course.

use super::{Outline, Policy};

const OUTLINE: &str = include_str!("../../../fixtures/outline/first-dives.json");
const POLICY: &str = include_str!("../../../fixtures/outline/house-policy.json");

/// A starter file that this program carries and cannot read: it was built wrong, and
/// nothing that a person does at the pool can cure it.
#[derive(Debug, thiserror::Error)]
#[error("read the starter {what} that this program carries")]
pub struct StarterError {
    /// Which file: "outline" or "policy".
    pub what: &'static str,
    /// Where it stopped making sense.
    pub source: serde_json::Error,
}

/// The starter outline "First dives": an entry-level course of one dry session, five in
/// confined and five in open water.
///
/// # Errors
/// [`StarterError`] when the program was built from a damaged file.
///
/// ```
/// let outline = tallywater_core::course::starter::outline()?;
/// assert!(outline.faults().is_empty());
/// # Ok::<(), tallywater_core::course::starter::StarterError>(())
/// ```
pub fn outline() -> Result<Outline, StarterError> {
    serde_json::from_str(OUTLINE).map_err(|source| StarterError {
        what: "outline",
        source,
    })
}

/// The starter rules: each with its source, none of them confirmed by anyone.
///
/// # Errors
/// [`StarterError`] when the program was built from a damaged file.
pub fn policy() -> Result<Policy, StarterError> {
    serde_json::from_str(POLICY).map_err(|source| StarterError {
        what: "policy",
        source,
    })
}

#[cfg(test)]
mod rule_tests;
#[cfg(test)]
mod tests;
