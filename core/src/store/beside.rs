//! Beside: the store of a folder that another program has in use. Nothing is made, moved,
//! migrated or tidied here: that is for whoever has the folder.

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use super::error::during;
use super::open::{is_empty, refuse_others, with};
use super::{SCHEMA, Store, StoreError};

/// How long to wait for the one who writes.
const PATIENCE: Duration = Duration::from_secs(5);

/// What may be done with a store that is opened beside another program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// Read it, as it stood at the first question until it is dropped. A log cannot be
    /// emptied as long: a long reading is a growing log, never a wrong answer.
    Read,
    /// Put settings, for [`crate::desk`]'s post.
    Post,
}

impl Store {
    /// Opens the store of a folder that another program may have in use.
    ///
    /// # Errors
    /// [`StoreError`]; a file of another version, older ones too, is left as it is.
    pub fn open_beside(path: &Path, beside: Beside) -> Result<Self, StoreError> {
        let opened = Self::try_beside(path, beside);
        let shut = matches!(opened, Err(StoreError::ReadOnly { .. }));
        if beside == Beside::Read && shut && is_empty(&with(path, "-wal")) {
            // A folder in which nothing may be made, such as a stick or a copy that is kept:
            // nobody writes there either, so the file is read as it lies.
            return Self::look_at(path)?.beside(beside);
        }
        opened
    }

    fn try_beside(path: &Path, beside: Beside) -> Result<Self, StoreError> {
        let step = during("open the store beside another program");
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(path, flags).map_err(step)?;
        connection.busy_timeout(PATIENCE).map_err(step)?;
        Self { connection }.beside(beside)
    }

    fn beside(self, beside: Beside) -> Result<Self, StoreError> {
        let step = during("open the store beside another program");
        let connection = self.connection;
        refuse_others(&connection)?;
        let version: i64 = connection
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .map_err(step)?;
        if version != SCHEMA {
            // Older: whoever opens the folder brings it up to date first.
            return Err(StoreError::Locked {
                during: "open the store beside another program",
            });
        }
        match beside {
            Beside::Read => {
                connection
                    .execute_batch("PRAGMA query_only = on; BEGIN")
                    .map_err(step)?;
            }
            Beside::Post => {
                connection
                    .execute_batch("PRAGMA synchronous = full; PRAGMA secure_delete = on")
                    .map_err(step)?;
            }
        }
        connection.set_prepared_statement_cache_capacity(64);
        Ok(Self { connection })
    }

    /// Whether this store may only be read.
    pub fn only_read(&self) -> bool {
        let only: Result<i64, _> = self
            .connection
            .pragma_query_value(None, "query_only", |row| row.get(0));
        only.is_ok_and(|only| only != 0)
    }
}
