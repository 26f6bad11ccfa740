//! Staff and what each role may do.

use serde::{Deserialize, Serialize};

/// What a device's certificate makes its holder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Role {
    /// The shop: enrols, plans, assigns, prints; never judges.
    Shop,
    /// Everything a course needs; confirms, resolves, completes.
    Instructor,
    /// Marks, notes, attendance.
    Assistant,
}

/// What a member of staff renews from time to time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum StaffPaper {
    /// May teach, or assist, for the training organisation.
    TeachingStatus,
    /// Liability insurance.
    Insurance,
    /// First aid.
    FirstAid,
    /// Giving oxygen.
    Oxygen,
    /// Fit to dive, by a physician.
    Medical,
}

impl StaffPaper {
    /// All of them, in the order they are asked for.
    pub const ALL: [Self; 5] = [
        Self::TeachingStatus,
        Self::Insurance,
        Self::FirstAid,
        Self::Oxygen,
        Self::Medical,
    ];
}
