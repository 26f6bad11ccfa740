//! Back-up: a whole and consistent copy of the file, taken while it is in use, and opened before
//! it is called one.

use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags};

use super::error::{Hurt, during, file, last_part};
use super::open::with;
use super::{APPLICATION, Store, StoreError, private};
use crate::ledger::Ledger;

const WHAT: &str = "write a backup";

/// A copy that is written and not yet known to be good. Dropped, it is removed.
#[derive(Debug)]
pub struct Written {
    unfinished: PathBuf,
    to: PathBuf,
}

/// What a copy holds, as it was read back.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Tried {
    /// Ledgers, each of which could be opened.
    pub ledgers: usize,
    /// Entries in them.
    pub entries: usize,
}

impl Store {
    /// Copies the store to a file that must not exist yet. The copy is written under another
    /// name, flushed, opened, and renamed when it is known to be whole: a file of the right name
    /// is always one that can be read.
    ///
    /// # Errors
    /// [`StoreError::Exists`] if there is a file of that name; it is left as it is.
    /// [`StoreError::Unsound`] if the copy could not be read back.
    pub fn back_up(&self, to: &Path) -> Result<Tried, StoreError> {
        self.copy(to)?.settle()
    }

    /// Writes the copy. This needs the store; opening it ([`Written::settle`]) does not.
    ///
    /// # Errors
    /// [`StoreError::Exists`] if there is a file of that name; it is left as it is.
    pub fn copy(&self, to: &Path) -> Result<Written, StoreError> {
        if to.symlink_metadata().is_ok() {
            return Err(StoreError::Exists {
                name: last_part(to),
            });
        }
        let copy = Written {
            unfinished: with(to, ".unfinished"),
            to: to.to_owned(),
        };
        // A link of that name goes, and nothing is written where it points.
        if copy.unfinished.symlink_metadata().is_ok() {
            std::fs::remove_file(&copy.unfinished).map_err(file(WHAT))?;
        }
        let name = copy.unfinished.to_str();
        let name = name.ok_or(StoreError::ReadOnly { during: WHAT })?;
        private::make_file(&copy.unfinished).map_err(file(WHAT))?;
        // Leaves out free pages too, so nothing that was forgotten goes along.
        self.connection
            .execute("VACUUM INTO ?1", [name])
            .map_err(during(WHAT))?;
        only_for_its_owner(&copy.unfinished).map_err(file(WHAT))?;
        std::fs::OpenOptions::new()
            .write(true)
            .open(&copy.unfinished)
            .and_then(|copy| copy.sync_all())
            .map_err(file(WHAT))?;
        Ok(copy)
    }

    /// Opens a store's file to look at it, reading only: nothing beside it is made, and what it
    /// holds is not changed. What stands in a log beside it is not seen.
    ///
    /// # Errors
    /// [`StoreError::Hurt`], [`StoreError::Foreign`] and [`StoreError::Newer`] as for a store.
    pub fn look_at(path: &Path) -> Result<Self, StoreError> {
        let step = during("look at a store");
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
            | OpenFlags::SQLITE_OPEN_URI
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let named = named(path).ok_or(StoreError::ReadOnly {
            during: "look at a store",
        })?;
        let connection = Connection::open_with_flags(named, flags).map_err(step)?;
        let application: i64 = connection
            .pragma_query_value(None, "application_id", |row| row.get(0))
            .map_err(|error| hurt(step(error)))?;
        if application != APPLICATION {
            return Err(StoreError::Foreign { found: application });
        }
        Ok(Self { connection })
    }

    /// Opens a file and everything in it: its pages, its references, and every ledger.
    ///
    /// # Errors
    /// [`StoreError`] of the first thing that cannot be read.
    pub fn try_out(path: &Path) -> Result<Tried, StoreError> {
        let store = Self::look_at(path)?;
        store.check()?;
        let mut tried = Tried::default();
        for ledger in store.ledgers()? {
            let stored = store.load(&ledger)?.ok_or(StoreError::Unsound)?;
            let opened = Ledger::load(ledger, [0; 16], &stored.bytes, &stored.unsigned);
            let opened = opened.map_err(|source| StoreError::Ledger {
                during: "open a ledger of the copy",
                source,
            })?;
            tried.ledgers += 1;
            tried.entries += opened.lines().len();
        }
        Ok(tried)
    }
}

impl Written {
    /// Opens what was written, and only then gives it its name.
    ///
    /// # Errors
    /// [`StoreError::Unsound`] if it cannot be read back; nothing of that name is there then.
    pub fn settle(self) -> Result<Tried, StoreError> {
        let tried = Store::try_out(&self.unfinished).map_err(|_| StoreError::Unsound)?;
        std::fs::rename(&self.unfinished, &self.to).map_err(file(WHAT))?;
        flush_folder(&self.to).map_err(file(WHAT))?;
        Ok(tried)
    }
}

impl Drop for Written {
    fn drop(&mut self) {
        if self.unfinished.exists() {
            // What is left has a name that says so, and the next copy removes it.
            let _ = std::fs::remove_file(&self.unfinished);
        }
    }
}

/// What a store says of itself as a whole: damage of its content is damage of the file.
fn hurt(error: StoreError) -> StoreError {
    if matches!(error, StoreError::Damaged) {
        StoreError::Hurt { how: Hurt::Content }
    } else {
        error
    }
}

/// The file as SQLite takes a name with options: read as it lies, with no log and no lock.
fn named(path: &Path) -> Option<String> {
    let mut escaped = String::new();
    for c in path.to_str()?.chars() {
        match c {
            '%' => escaped.push_str("%25"),
            '?' => escaped.push_str("%3f"),
            '#' => escaped.push_str("%23"),
            '\\' if cfg!(windows) => escaped.push('/'),
            other => escaped.push(other),
        }
    }
    Some(format!("file:{escaped}?immutable=1"))
}

/// A copy holds what the store holds: names and contacts.
#[cfg(unix)]
fn only_for_its_owner(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o600))
}

/// Windows gives a file the rights of its folder.
#[cfg(not(unix))]
fn only_for_its_owner(_: &Path) -> std::io::Result<()> {
    Ok(())
}

/// Flushes the folder's list, without which a new name can be gone after a power cut.
#[cfg(unix)]
pub(crate) fn flush_folder(path: &Path) -> std::io::Result<()> {
    match path.parent() {
        Some(folder) if folder.as_os_str().is_empty() => std::fs::File::open(".")?.sync_all(),
        Some(folder) => std::fs::File::open(folder)?.sync_all(),
        None => Ok(()),
    }
}

/// Windows has no such call, and writes the list through.
#[cfg(not(unix))]
pub(crate) fn flush_folder(_: &Path) -> std::io::Result<()> {
    Ok(())
}
