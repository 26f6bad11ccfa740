//! Lock: one desk a folder. Two programs that each keep a ledger in memory would each be
//! right about their own marks and wrong about where the ledger stands.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;

use super::DeskError;
use crate::store::StoreError;
use crate::store::private::make_file;

/// The file that is locked; it stays empty.
const LOCK_FILE: &str = "in-use";

/// Takes the folder for this desk until the file is dropped, or the program is killed.
/// `None` on a file system that knows no locks.
///
/// # Errors
/// [`StoreError::Locked`] if another desk has it.
pub(super) fn take(folder: &Path) -> Result<Option<File>, DeskError> {
    let path = folder.join(LOCK_FILE);
    let file = make_file(&path).and_then(|()| OpenOptions::new().append(true).open(&path));
    // A folder that cannot be written to says so when the store is opened.
    let Ok(file) = file else {
        return Ok(None);
    };
    match file.try_lock() {
        Ok(()) => Ok(Some(file)),
        Err(TryLockError::WouldBlock) => Err(StoreError::Locked {
            during: "open the folder",
        }
        .into()),
        Err(TryLockError::Error(_)) => Ok(None),
    }
}
