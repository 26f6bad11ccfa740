//! `StoreError`: what can go wrong with the file, sorted by what a person can do about it.

use std::ffi::OsStr;
use std::path::Path;

use rusqlite::ErrorCode;

use crate::ledger::LedgerError;

/// What can go wrong with the store. A message names a file by its last part alone: a
/// path has the name of the person whose account it is.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// No room left; nothing was written, and what was there still is.
    #[error("could not {during}: the device is full")]
    Full {
        /// What was being done.
        during: &'static str,
    },
    /// Another program holds the file.
    #[error("could not {during}: another program is using the file")]
    Locked {
        /// What was being done.
        during: &'static str,
    },
    /// The file or its folder cannot be written.
    #[error("could not {during}: the file or its folder cannot be written")]
    ReadOnly {
        /// What was being done.
        during: &'static str,
    },
    /// The file's content is broken.
    #[error("the file is damaged")]
    Damaged,
    /// The store itself cannot be worked on. Nothing was made, moved or changed: what is done
    /// about it is for a person to say.
    #[error("the store is damaged ({}); it was left as it is", .how.word())]
    Hurt {
        /// How, as far as opening it shows.
        how: Hurt,
    },
    /// Written by a newer version of this program.
    #[error("the file has schema {found}, and this version knows up to {known}")]
    Newer {
        /// The schema found.
        found: i64,
        /// The newest known.
        known: i64,
    },
    /// Written before the first release, in a format that is not read any more; left as it
    /// is.
    #[error("the file has schema {found}, and this version reads from {least} on")]
    Older {
        /// The schema found.
        found: i64,
        /// The oldest that is read.
        least: i64,
    },
    /// A database of some other program; left as it is.
    #[error("the file belongs to another program (application id {found})")]
    Foreign {
        /// Its application id.
        found: i64,
    },
    /// There is a file already where one was to be written.
    #[error("there is already a file named {name}")]
    Exists {
        /// Its name, without its folder.
        name: String,
    },
    /// A ledger's bytes could not be made or read back.
    #[error("could not {during}: {source}")]
    Ledger {
        /// What was being done.
        during: &'static str,
        /// What the ledger said.
        source: LedgerError,
    },
    /// A snapshot, read back, was not what it should be; nothing was dropped for it.
    #[error("the compacted ledger, read back, was not the same; it was left as it was")]
    Unsound,
    /// The file system refused something else.
    #[error("could not {during}: {source}")]
    File {
        /// What was being done.
        during: &'static str,
        /// What the system said.
        source: std::io::Error,
    },
    /// SQLite refused something else.
    #[error("could not {during}: {source}")]
    Sqlite {
        /// What was being done.
        during: &'static str,
        /// What SQLite said.
        source: rusqlite::Error,
    },
}

/// How a store is hurt, as far as opening it shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hurt {
    /// The device has been in use, and its store is not there or empty.
    Gone,
    /// Its log is there, and the file that it belongs to is not, or is empty.
    LogAlone,
    /// The file is shorter than it says.
    Short,
    /// What is in it cannot be read.
    Content,
}

impl Hurt {
    /// The word that crosses the border.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Gone => "gone",
            Self::LogAlone => "log_alone",
            Self::Short => "short",
            Self::Content => "content",
        }
    }
}

/// A path's last part, for a message.
pub(super) fn last_part(path: &Path) -> String {
    path.file_name()
        .map(OsStr::to_string_lossy)
        .unwrap_or_default()
        .into_owned()
}

/// Sorts an error of SQLite by what was being done.
pub(super) fn during(during: &'static str) -> impl Fn(rusqlite::Error) -> StoreError + Copy {
    move |source| match source.sqlite_error_code() {
        Some(ErrorCode::DiskFull) => StoreError::Full { during },
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => StoreError::Locked { during },
        Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => {
            StoreError::ReadOnly { during }
        }
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => StoreError::Damaged,
        Some(_) | None => StoreError::Sqlite { during, source },
    }
}

/// Sorts an error of the file system by what was being done.
pub(super) fn file(during: &'static str) -> impl Fn(std::io::Error) -> StoreError + Copy {
    use std::io::ErrorKind;
    const FULL: [ErrorKind; 2] = [ErrorKind::StorageFull, ErrorKind::QuotaExceeded];
    const SHUT: [ErrorKind; 2] = [ErrorKind::PermissionDenied, ErrorKind::ReadOnlyFilesystem];
    move |source| {
        if FULL.contains(&source.kind()) {
            StoreError::Full { during }
        } else if SHUT.contains(&source.kind()) {
            StoreError::ReadOnly { during }
        } else {
            StoreError::File { during, source }
        }
    }
}
