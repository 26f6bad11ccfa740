//! Folders: a device's folder for a test of its own, and those of the demo school.

use std::path::Path;
use std::sync::Arc;

use tallywater_bindings::{DemoProgress, DemoSchool, build_demo};

use crate::midday;

struct Silent;

impl DemoProgress for Silent {
    fn built(&self, _: u8) {}
}

/// Builds the demo school in `school` of this folder, in the middle of its day.
pub(crate) fn demo(within: &Path) -> DemoSchool {
    midday::keep();
    build_demo(
        within.join("school").display().to_string(),
        Arc::new(Silent),
    )
    .unwrap()
}

/// Copies a folder with all that is in it.
pub(crate) fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let into = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &into);
        } else {
            std::fs::copy(entry.path(), into).unwrap();
        }
    }
}
