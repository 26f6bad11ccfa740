//! Settings: the device's own, a word and some bytes. What they mean is for the desk.

use rusqlite::{OptionalExtension as _, params};

use super::error::during;
use super::{Store, StoreError};

impl Store {
    /// A setting's bytes; `None` when it has never been set.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn setting(&self, key: &str) -> Result<Option<Vec<u8>>, StoreError> {
        self.connection
            .prepare_cached("SELECT value FROM setting WHERE key = ?1")
            .and_then(|mut statement| statement.query_row([key], |row| row.get(0)).optional())
            .map_err(during("read a setting"))
    }

    /// Sets it.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn put_setting(&mut self, key: &str, value: &[u8]) -> Result<(), StoreError> {
        self.connection
            .prepare_cached(
                "INSERT INTO setting (key, value) VALUES (?1, ?2)
                 ON CONFLICT (key) DO UPDATE SET value = excluded.value",
            )
            .and_then(|mut statement| statement.execute(params![key, value]))
            .map(|_| ())
            .map_err(during("store a setting"))
    }
}
