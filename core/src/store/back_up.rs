//! Back-up: a whole and consistent copy of the file, taken while it is in use.

use std::path::Path;

use super::error::{during, file, last_part};
use super::open::with;
use super::{Store, StoreError};

impl Store {
    /// Copies the store to a file that must not exist yet. The copy is written under
    /// another name, flushed, and renamed when it is whole: a file of the right name is
    /// always a whole one.
    ///
    /// # Errors
    /// [`StoreError::Exists`] if there is a file of that name; it is left as it is.
    pub fn back_up(&self, to: &Path) -> Result<(), StoreError> {
        let what = "write a backup";
        if to.exists() {
            return Err(StoreError::Exists {
                name: last_part(to),
            });
        }
        let unfinished = with(to, ".unfinished");
        if unfinished.exists() {
            std::fs::remove_file(&unfinished).map_err(file(what))?;
        }
        let written = self.write_copy(&unfinished, what).and_then(|()| {
            std::fs::rename(&unfinished, to).map_err(file(what))?;
            flush_folder(to).map_err(file(what))
        });
        if written.is_err() && unfinished.exists() {
            // The first error is the one to tell; what is left has a name that says so.
            let _ = std::fs::remove_file(&unfinished);
        }
        written
    }

    fn write_copy(&self, to: &Path, what: &'static str) -> Result<(), StoreError> {
        let name = to.to_str().ok_or(StoreError::ReadOnly { during: what })?;
        // Leaves out free pages too, so nothing that was forgotten goes along.
        self.connection
            .execute("VACUUM INTO ?1", [name])
            .map_err(during(what))?;
        std::fs::OpenOptions::new()
            .write(true)
            .open(to)
            .and_then(|copy| copy.sync_all())
            .map_err(file(what))
    }
}

/// Flushes the folder's list, without which a new name can be gone after a power cut.
#[cfg(unix)]
fn flush_folder(path: &Path) -> std::io::Result<()> {
    match path.parent() {
        Some(folder) if folder.as_os_str().is_empty() => std::fs::File::open(".")?.sync_all(),
        Some(folder) => std::fs::File::open(folder)?.sync_all(),
        None => Ok(()),
    }
}

/// Windows has no such call, and writes the list through.
#[cfg(not(unix))]
fn flush_folder(_: &Path) -> std::io::Result<()> {
    Ok(())
}
