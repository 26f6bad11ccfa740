//! What must be said beside a result, and where a figure comes from.
//!
//! Facts only: which caution, which kind of origin. The sentences are the shell's.

/// What a screen must say beside a result. All of them also mean: a planning aid, no
/// permission to dive; local law, the training organisation's standards and a
/// physician come first.
///
/// ```
/// use tallywater_core::calc::Caution;
/// assert_ne!(Caution::PlanningAid, Caution::CheckInWater);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Caution {
    /// A planning aid and nothing more.
    PlanningAid,
    /// The printed table and the diver's own computer come first; the shorter counts.
    TableAndComputerFirst,
    /// Read the gauge and turn earlier: a plan does not know what a diver breathes today.
    GaugeFirst,
    /// A start for the check in the water, never an answer; the check decides.
    CheckInWater,
    /// A ceiling, not a target: the instructor takes fewer whenever the day asks for it.
    CeilingNotTarget,
    /// The shortest wait that was published; longer is safer, a physician decides on symptoms.
    ShortestWait,
    /// Too few tries to prove anything: a judgement is made by a person, not by a share.
    TooFewToProve,
}

/// Where a figure comes from, so that a screen can say how far to trust it.
///
/// ```
/// use tallywater_core::calc::Origin;
/// assert_eq!(Origin::CommonPractice, Origin::CommonPractice);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "FigureOrigin")
)]
pub enum Origin {
    /// Printed in a source that the file's head names.
    Published,
    /// Common practice of the trade; no published source.
    CommonPractice,
    /// Written down from memory and not read again: to be confirmed by a person.
    FromMemory,
    /// An estimate of our own from published formulas.
    OwnEstimate,
    /// Measured on this person's own dives.
    OwnRecord,
    /// Typed in by the person at the screen.
    Typed,
}
