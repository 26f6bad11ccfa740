//! Demo: a school of our own invention, built through the requests a person would use.
//!
//! Five devices in five folders: the shop's computer, two instructors' and two assistants'
//! tablets. One course is finished, one in mid-flight with everything that can wait for
//! someone, one to come. Nothing here can do what a person at a screen cannot.

mod agenda;
mod cast;
mod held;
mod kit;
mod school;
mod stamps;
mod story;

use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use crate::desk::DeskError;

/// Why the demo school could not be built.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// The desk refused or failed.
    #[error(transparent)]
    Desk(#[from] DeskError),
    /// The folder has something in it; a demo is built in an empty one.
    #[error("the folder is not empty")]
    FolderNotEmpty,
    /// A request that should have made something made nothing.
    #[error("the story of the demo school does not fit its outline")]
    NothingMade,
    /// The finished course is not finished.
    #[error("{0} gaps are left in the course that should be finished")]
    GapsLeft(usize),
}

/// Where the demo school's devices are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DemoSchool {
    /// The shop's computer.
    pub shop: PathBuf,
    /// The instructor's tablet: where the pool day is.
    pub instructor: PathBuf,
    /// The assistant's tablet.
    pub assistant: PathBuf,
}

/// Builds the demo school in an empty or new folder, as if its story ended at `now`.
/// `progress` is told per cent.
///
/// # Errors
/// [`DemoError`].
pub fn build(
    folder: &Path,
    now: DateTime<FixedOffset>,
    progress: &dyn Fn(u8),
) -> Result<DemoSchool, DemoError> {
    if std::fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_some()) {
        return Err(DemoError::FolderNotEmpty);
    }
    let cast = cast::cast().map_err(|_| DemoError::NothingMade)?;
    let outline = crate::course::starter::outline().map_err(|_| DemoError::NothingMade)?;
    let start = now.checked_sub_days(chrono::Days::new(90)).unwrap_or(now);
    let school = school::School::found(folder, cast, start)?;
    story::tell(&school, &outline, now, progress)?;
    Ok(DemoSchool {
        shop: folder.join("shop"),
        instructor: folder.join("instructor"),
        assistant: folder.join("assistant"),
    })
}
