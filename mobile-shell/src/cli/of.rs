//! Of: what most commands begin with: the device's folder, and the course in it.

use std::path::PathBuf;
use std::sync::Arc;

use clap::Args;
use tallywater_bindings::{CourseRow, Fault, Tallywater};

use super::find;
use super::turn::Turn;

/// A device.
#[derive(Debug, Args)]
pub(super) struct Device {
    /// The device's folder.
    pub(super) folder: PathBuf,
}

/// A course on a device.
#[derive(Debug, Args)]
pub(super) struct Of {
    /// The device's folder.
    pub(super) folder: PathBuf,
    /// The course: an id, or its title or the beginning of it; not needed where there is one.
    #[arg(long, short)]
    pub(super) course: Option<String>,
}

/// A desk and a course at it.
pub(super) struct Opened {
    pub(super) desk: Arc<Tallywater>,
    pub(super) course: CourseRow,
}

impl Opened {
    /// The course's id.
    pub(super) fn id(&self) -> String {
        self.course.course.to_string()
    }
}

impl Of {
    /// To look at.
    pub(super) fn read(&self, turn: &Turn) -> Result<Opened, Fault> {
        self.over(turn.read(&self.folder)?)
    }

    /// To record in.
    pub(super) fn write(&self, turn: &Turn) -> Result<Opened, Fault> {
        self.over(turn.write(&self.folder)?)
    }

    fn over(&self, desk: Arc<Tallywater>) -> Result<Opened, Fault> {
        let course = find::course(&desk, self.course.as_deref())?;
        Ok(Opened { desk, course })
    }
}
