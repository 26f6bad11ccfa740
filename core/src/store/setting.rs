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

    /// Every setting whose word begins with this, in order of the words.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn settings_under(&self, head: &str) -> Result<Vec<(String, Vec<u8>)>, StoreError> {
        let step = during("read settings");
        let mut statement = self
            .connection
            .prepare_cached(
                "SELECT key, value FROM setting WHERE substr(key, 1, length(?1)) = ?1 ORDER BY key",
            )
            .map_err(step)?;
        let rows = statement
            .query_map([head], |row| Ok((row.get(0)?, row.get(1)?)))
            .map_err(step)?;
        rows.collect::<Result<_, _>>().map_err(step)
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

    /// The words of the settings that begin with this, in order, without what they hold: that
    /// can be megabytes.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn setting_words(&self, head: &str) -> Result<Vec<String>, StoreError> {
        let step = during("read which settings there are");
        let mut statement = self
            .connection
            .prepare_cached(
                "SELECT key FROM setting WHERE substr(key, 1, length(?1)) = ?1 ORDER BY key",
            )
            .map_err(step)?;
        let rows = statement
            .query_map([head], |row| row.get(0))
            .map_err(step)?;
        rows.collect::<Result<_, _>>().map_err(step)
    }

    /// Takes it away; whether it was there.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn drop_setting(&mut self, key: &str) -> Result<bool, StoreError> {
        self.connection
            .prepare_cached("DELETE FROM setting WHERE key = ?1")
            .and_then(|mut statement| statement.execute([key]))
            .map(|rows| rows > 0)
            .map_err(during("drop a setting"))
    }
}
