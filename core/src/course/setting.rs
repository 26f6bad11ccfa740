//! Where something is done, and in what water.

use serde::{Deserialize, Serialize};

/// Where a skill is shown or a session is held, from dry to deep.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Setting {
    /// On land: theory, assembling a unit, dry drills.
    Classroom,
    /// Afloat, confined or open.
    Surface,
    /// A pool, or water with the calm and depth of one.
    Confined,
    /// Lake or sea.
    Open,
}

impl Setting {
    /// All of them, from dry to deep.
    pub const ALL: [Self; 4] = [Self::Classroom, Self::Surface, Self::Confined, Self::Open];

    /// Whether the students get wet: before it, the clearances must be there.
    pub const fn is_wet(self) -> bool {
        !matches!(self, Self::Classroom)
    }
}

/// The kind of water, as far as weighting and pressure need it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum WaterKind {
    /// Pool or lake.
    Fresh,
    /// An estuary or a sea of low salinity.
    Brackish,
    /// Open sea.
    Salt,
}
