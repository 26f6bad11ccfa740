//! Arrived: when what others wrote reached this device, by its own clock.

use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, OptionalExtension as _, params};

use super::error::during;
use super::{Store, StoreError};
use crate::course::{EntryId, LedgerId};

/// Entries that reached this device together.
#[derive(Debug, Clone, Copy)]
pub struct Arrived<'a> {
    /// When, by this device's clock.
    pub at: DateTime<FixedOffset>,
    /// Which.
    pub entries: &'a [EntryId],
}

impl Store {
    /// When an entry of somebody else's reached this device; `None` where that is not known.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn arrived(
        &self,
        ledger: &LedgerId,
        entry: &EntryId,
    ) -> Result<Option<DateTime<FixedOffset>>, StoreError> {
        let at: Option<String> = self
            .connection
            .prepare_cached(
                "SELECT at FROM arrived JOIN ledger ON number = ledger
                 WHERE name = ?1 AND entry = ?2",
            )
            .and_then(|mut statement| {
                statement
                    .query_row(params![ledger.to_string(), entry.bytes()], |row| row.get(0))
                    .optional()
            })
            .map_err(during("read when an entry arrived"))?;
        Ok(at.and_then(|text| DateTime::parse_from_rfc3339(&text).ok()))
    }
}

/// Writes it down; the first time an entry came stays.
pub(super) fn write_arrived(
    connection: &Connection,
    number: i64,
    arrived: Option<Arrived<'_>>,
) -> rusqlite::Result<()> {
    let Some(arrived) = arrived else {
        return Ok(());
    };
    let at = arrived.at.to_rfc3339();
    let mut statement = connection.prepare_cached(
        "INSERT INTO arrived (ledger, entry, at) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
    )?;
    for entry in arrived.entries {
        statement.execute(params![number, entry.bytes(), at])?;
    }
    Ok(())
}
