//! Folders: a device's folder for a test of its own.

use std::path::Path;

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
