//! Opening: what is done with a file before the first mark may go into it.
//!
//! 1. A log without its file, or beside an empty one, is refused: SQLite would delete it, and it
//!    may hold the only copy of a mark. So is a file that is shorter than it says.
//! 2. The file is opened, or made; a folder that is not there is made.
//! 3. A file that is no database, or a broken one, is refused and left as it is. An empty one in
//!    its place would look as if nothing had ever been recorded.
//! 4. One of another program, or of a newer version, is refused and left as it is.
//! 5. The schema is brought up to date, and leavings of a compaction cut short go.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use super::error::{Hurt, during, file};
use super::migration::{SCHEMA, migrate};
use super::{Store, StoreError, private};

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

/// Where the index of the log is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Index {
    /// In a file, for those who look beside.
    Shared,
    /// In memory, which shuts others out.
    InMemory,
}

/// A store that has been opened.
#[derive(Debug)]
pub struct Opened {
    /// The store.
    pub store: Store,
}

impl Store {
    /// Opens the store, making the file when it is missing.
    ///
    /// # Errors
    /// [`StoreError::Newer`], [`StoreError::Foreign`] and [`StoreError::Hurt`] leave the file and
    /// its log as they are.
    pub fn open(path: &Path) -> Result<Opened, StoreError> {
        if let Some(folder) = path.parent().filter(|folder| !folder.exists()) {
            private::make_folder(folder, "").map_err(file("make the store's folder"))?;
        }
        let log = with(path, "-wal");
        if is_empty(path) && !is_empty(&log) {
            return Err(StoreError::Hurt {
                how: Hurt::LogAlone,
            });
        }
        if is_empty(&log) && is_short(path).unwrap_or(false) {
            return Err(StoreError::Hurt { how: Hurt::Short });
        }
        let mut opened = Self::try_open(path, Index::Shared);
        if let Err(StoreError::Full { .. } | StoreError::Sqlite { .. }) = opened {
            // The index of the log takes 32 kB of the disk. Where there is no room for it, it
            // is kept in memory: whoever would look beside has to wait, but what is there can
            // be seen, and a mark that finds no room says so.
            opened = Self::try_open(path, Index::InMemory).or(opened);
        }
        match opened {
            Ok(store) => Ok(Opened { store }),
            Err(StoreError::Damaged) => Err(StoreError::Hurt { how: Hurt::Content }),
            Err(error) => Err(error),
        }
    }

    fn try_open(path: &Path, index: Index) -> Result<Self, StoreError> {
        let step = during("open the store");
        // Made before SQLite would make it for everyone to read; the log takes its rights. A
        // file that may not be written is told of below.
        for ending in ["", "-wal", "-shm"] {
            let part = with(path, ending);
            if ending.is_empty() || part.exists() {
                let _ = private::make_file(&part);
            }
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut connection = Connection::open_with_flags(path, flags).map_err(step)?;
        connection.busy_timeout(PATIENCE).map_err(step)?;
        if index == Index::InMemory {
            connection
                .pragma_update(None, "locking_mode", "exclusive")
                .map_err(step)?;
        }
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
pub(crate) fn is_empty(path: &Path) -> bool {
    std::fs::metadata(path).map_or(true, |found| found.len() == 0)
}

/// Whether the file ends before its last page; `None` where its header does not say. Asked only
/// beside an empty log: a file whose log is still to be folded in may be shorter.
fn is_short(path: &Path) -> Option<bool> {
    use std::io::Read as _;
    let mut header = [0; 100];
    let mut opened = std::fs::File::open(path).ok()?;
    let length = opened.metadata().ok()?.len();
    opened.read_exact(&mut header).ok()?;
    if !header.starts_with(b"SQLite format 3\0") {
        return None;
    }
    let number = |at: usize| {
        let bytes = header.get(at..at + 4)?;
        Some(u64::from(u32::from_be_bytes(bytes.try_into().ok()?)))
    };
    let &[a, b] = header.get(16..18)? else {
        return None;
    };
    let page = match u16::from_be_bytes([a, b]) {
        1 => 65_536,
        size => u64::from(size),
    };
    // Bytes 28, 24 and 92 of the header, sqlite.org/fileformat2.html, section 1.3: the size in
    // pages counts only if the last writer was one that keeps it.
    let (pages, counter, valid_for) = (number(28)?, number(24)?, number(92)?);
    Some(counter == valid_for && length < pages.saturating_mul(page))
}

/// The path with something added to its name.
pub(crate) fn with(path: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(ending);
    name.into()
}

/// Moves a hurt store and its log into a folder of their own beside it, under their own names,
/// so that whoever repairs them finds them together. Answers where the file lies now. Never done
/// by opening: a person has been told and has said so.
///
/// # Errors
/// [`StoreError::File`]; what could not be moved is where it was.
pub fn set_aside(path: &Path) -> Result<PathBuf, StoreError> {
    let step = file("set a damaged store aside");
    let beside = path.parent().unwrap_or_else(|| Path::new("."));
    let folder = (1_u32..)
        .map(|number| beside.join(format!("damaged-{number}")))
        .find(|folder| !folder.exists())
        .ok_or(StoreError::Hurt { how: Hurt::Content })?;
    std::fs::create_dir(&folder).map_err(step)?;
    let name = path.file_name().unwrap_or_default();
    let aside = folder.join(name);
    // The log first: alone beside a new store it would be taken for that one's.
    for ending in ["-wal", "-journal", ""] {
        let from = with(path, ending);
        if from.exists() {
            std::fs::rename(&from, with(&aside, ending)).map_err(step)?;
        }
    }
    // The index of the log: SQLite makes it anew from the log.
    let index = with(path, "-shm");
    if index.exists() {
        std::fs::remove_file(&index).map_err(step)?;
    }
    Ok(aside)
}
