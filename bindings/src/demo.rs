//! The demo school, for whoever wants to look before they start.

use std::path::Path;
use std::sync::Arc;

use tallywater_core::demo::{self, DemoError};
use tallywater_core::stamp::{DeviceStamps, Stamps as _};

use crate::tallywater::DEMO;
use crate::{Fault, Tallywater};

/// Where the demo school's devices are: each a folder that [`crate::Tallywater`] opens.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct DemoSchool {
    /// The shop's computer.
    pub shop: String,
    /// The instructor's tablet, with a pool evening under way.
    pub instructor: String,
    /// The assistant's tablet.
    pub assistant: String,
}

/// Is told how far the demo school has been built.
#[uniffi::export(with_foreign)]
pub trait DemoProgress: Send + Sync {
    /// So many per cent.
    fn built(&self, percent: u8);
}

/// Builds the demo school in an empty or new folder, its story ending now. It takes a few
/// seconds; call it off the drawing thread.
#[uniffi::export]
pub fn build_demo(folder: String, progress: Arc<dyn DemoProgress>) -> Result<DemoSchool, Fault> {
    let text = |path: &Path| path.to_string_lossy().into_owned();
    match demo::build(Path::new(&folder), DeviceStamps.now(), &|percent| {
        progress.built(percent)
    }) {
        Ok(school) => {
            let school = DemoSchool {
                shop: text(&school.shop),
                instructor: text(&school.instructor),
                assistant: text(&school.assistant),
            };
            for folder in [&school.shop, &school.instructor, &school.assistant] {
                let desk = Tallywater::open(folder.clone())?;
                desk.desk().keep_preference(DEMO, "yes")?;
            }
            Ok(school)
        }
        Err(DemoError::Desk(error)) => Err(error.into()),
        Err(DemoError::FolderNotEmpty) => Err(Fault::rule("folder_not_empty")),
        Err(error @ (DemoError::NothingMade | DemoError::GapsLeft(_))) => Err(Fault::Internal {
            detail: error.to_string(),
        }),
    }
}
