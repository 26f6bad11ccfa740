//! Opening: what is done with a file before the first mark may go into it.
//!
//! 1. A log without its file, or beside an empty one, is moved aside: SQLite would delete
//!    it, and it may hold the only copy of a mark.
//! 2. The file is opened, or made; a folder that is not there is made.
//! 3. A file that is no database, or a broken one, is moved aside with its log, never
//!    deleted, and a new one begun; [`Opened::moved_aside`] says where the old one is.
//! 4. One of another program, or of a newer version, is refused and left as it is.
//! 5. The schema is brought up to date, and leavings of a compaction cut short go.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use super::error::{during, file};
use super::migration::{SCHEMA, migrate};
use super::{Store, StoreError};

/// What marks a file as ours: the bytes `Taly`, as SQLite's application id.
pub const APPLICATION: i64 = 0x5461_6c79;

/// How long to wait for another writer. The second line: the first is that there is only
/// one connection. Longer, and a tap would seem lost.
const PATIENCE: Duration = Duration::from_secs(2);

/// How the connection works. `fullfsync`: on Apple's systems an ordinary flush stops at
/// the drive's own cache. `secure_delete`: a person who is forgotten must be gone from the
/// file, not only from the list.
const SETTINGS: &str = "
    PRAGMA journal_mode = wal;
    PRAGMA synchronous = full;
    PRAGMA fullfsync = on;
    PRAGMA checkpoint_fullfsync = on;
    PRAGMA foreign_keys = on;
    PRAGMA secure_delete = on;
";

/// A store that has been opened.
#[derive(Debug)]
pub struct Opened {
    /// The store.
    pub store: Store,
    /// Where a damaged file was moved, if there was one: tell the person, and how to get
    /// the record back from another device or a backup.
    pub moved_aside: Option<PathBuf>,
}

impl Store {
    /// Opens the store, making the file when it is missing.
    ///
    /// # Errors
    /// [`StoreError::Newer`] and [`StoreError::Foreign`] leave the file as it is;
    /// [`StoreError::Damaged`] only if a damaged file could not be moved aside.
    pub fn open(path: &Path) -> Result<Opened, StoreError> {
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).map_err(file("make the store's folder"))?;
        }
        let mut moved_aside = None;
        if is_empty(path) && !is_empty(&with(path, "-wal")) {
            moved_aside = Some(move_aside(path)?);
        }
        match Self::try_open(path) {
            Ok(store) => Ok(Opened { store, moved_aside }),
            Err(StoreError::Damaged { .. }) => {
                moved_aside = Some(move_aside(path)?);
                let store = Self::try_open(path)?;
                Ok(Opened { store, moved_aside })
            }
            Err(error) => Err(error),
        }
    }

    fn try_open(path: &Path) -> Result<Self, StoreError> {
        let step = during("open the store");
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut connection = Connection::open_with_flags(path, flags).map_err(step)?;
        connection.busy_timeout(PATIENCE).map_err(step)?;
        refuse_others(&connection)?;
        // SQLite opens a file that it may not write for reading, without a word.
        if connection.is_readonly("main").map_err(step)? {
            return Err(StoreError::ReadOnly {
                during: "open the store",
            });
        }
        connection.execute_batch(SETTINGS).map_err(step)?;
        connection.set_prepared_statement_cache_capacity(64);
        migrate(&mut connection, APPLICATION)?;
        let mut store = Self { connection };
        store.drop_unsettled()?;
        Ok(store)
    }
}

/// Refuses a file of another program or a newer version before anything is written to it.
pub(super) fn refuse_others(connection: &Connection) -> Result<(), StoreError> {
    let step = during("read the store's header");
    let pragma = |name| {
        connection
            .pragma_query_value(None, name, |row| row.get::<_, i64>(0))
            .map_err(step)
    };
    let (application, version) = (pragma("application_id")?, pragma("user_version")?);
    let tables: i64 = connection
        .query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))
        .map_err(step)?;
    let fresh = application == 0 && version == 0 && tables == 0;
    if application != APPLICATION && !fresh {
        return Err(StoreError::Foreign { found: application });
    }
    if version > SCHEMA {
        return Err(StoreError::Newer {
            found: version,
            known: SCHEMA,
        });
    }
    Ok(())
}

/// Whether there is nothing there: no file, or an empty one.
fn is_empty(path: &Path) -> bool {
    std::fs::metadata(path).map_or(true, |found| found.len() == 0)
}

/// The path with something added to its name.
pub(super) fn with(path: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(ending);
    name.into()
}

/// Moves the file and its log aside, under names of their own that go together, so that
/// whoever repairs the file finds its log beside it.
fn move_aside(path: &Path) -> Result<PathBuf, StoreError> {
    let aside = (1_u32..)
        .map(|number| with(path, &format!(".damaged-{number}")))
        .find(|aside| !aside.exists() && !with(aside, "-wal").exists())
        .ok_or(StoreError::Damaged { moved_to: None })?;
    for ending in ["", "-wal", "-journal"] {
        let from = with(path, ending);
        if from.exists() {
            std::fs::rename(&from, with(&aside, ending)).map_err(file("move a damaged file"))?;
        }
    }
    // The index of the log: SQLite makes it anew from the log.
    let index = with(path, "-shm");
    if index.exists() {
        std::fs::remove_file(&index).map_err(file("move a damaged file"))?;
    }
    Ok(aside)
}
