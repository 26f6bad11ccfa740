//! Staff and what each role may do.

use serde::{Deserialize, Serialize};

/// What a device's certificate makes its holder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// The shop: enrols, plans, assigns, prints; never judges.
    Shop,
    /// Everything a course needs; confirms, resolves, completes.
    Instructor,
    /// Marks, notes, attendance.
    Assistant,
}
