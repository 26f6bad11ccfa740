//! Mishaps: what went wrong with a ledger and which device brought it; and the bytes of a
//! ledger that could not be read, set aside whole.

use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, params};
use uuid::Uuid;

use super::commit::{Commit, begin_ledger, write};
use super::error::during;
use super::{Store, StoreError, named, number_of};
use crate::course::{EntryId, LedgerId};
use crate::entry::DeviceKey;
use crate::ledger::Mishap;

/// One sort of mishap in one ledger by one device, and how often.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MishapRow {
    /// In which ledger.
    pub ledger: LedgerId,
    /// Which device brought it, by its signing key; `None` for this device's own disk.
    pub device: Option<DeviceKey>,
    /// What.
    pub what: Mishap,
    /// The entry it was last about, if it was about one.
    pub entry: Option<EntryId>,
    /// How often.
    pub count: u32,
    /// When first.
    pub first: DateTime<FixedOffset>,
    /// When last.
    pub last: DateTime<FixedOffset>,
}

impl Store {
    /// Notes a mishap.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn note_mishap(
        &mut self,
        ledger: &LedgerId,
        device: Option<&DeviceKey>,
        what: Mishap,
        entry: Option<&EntryId>,
        now: DateTime<FixedOffset>,
    ) -> Result<(), StoreError> {
        self.connection
            .prepare_cached(
                "INSERT INTO fault (ledger, peer, what, entry, first, last)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?5)
                 ON CONFLICT (ledger, peer, what) DO UPDATE SET
                 entry = coalesce(excluded.entry, entry), last = excluded.last,
                 count = min(count + 1, 1000000000)",
            )
            .and_then(|mut statement| {
                statement.execute(params![
                    ledger.to_string(),
                    device.map_or(&[][..], |key| &key.0),
                    what.word(),
                    entry.map(EntryId::bytes),
                    now.to_rfc3339(),
                ])
            })
            .map(|_| ())
            .map_err(during("note a mishap"))
    }

    /// Every mishap, by ledger.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn mishaps(&self) -> Result<Vec<MishapRow>, StoreError> {
        let step = during("read the mishaps");
        let mut statement = self
            .connection
            .prepare_cached(
                "SELECT ledger, peer, what, entry, count, first, last FROM fault
                 ORDER BY ledger, what, peer",
            )
            .map_err(step)?;
        let rows = statement
            .query_map([], |row| {
                Ok((
                    row.get::<_, String>(0)?,
                    row.get::<_, Vec<u8>>(1)?,
                    row.get::<_, String>(2)?,
                    row.get::<_, Option<[u8; 16]>>(3)?,
                    row.get::<_, u32>(4)?,
                    row.get::<_, String>(5)?,
                    row.get::<_, String>(6)?,
                ))
            })
            .map_err(step)?;
        let damaged = || StoreError::Damaged;
        let time = |text: &str| DateTime::parse_from_rfc3339(text).map_err(|_| damaged());
        let mut found = Vec::new();
        for row in rows {
            let (ledger, peer, what, entry, count, first, last) = row.map_err(step)?;
            // A sort of a newer version is not in this one's words.
            let Some(what) = Mishap::of_word(&what) else {
                continue;
            };
            found.push(MishapRow {
                ledger: named(&ledger)?,
                device: <[u8; 32]>::try_from(peer).ok().map(DeviceKey),
                what,
                entry: entry.map(|bytes| EntryId::new(Uuid::from_bytes(bytes))),
                count,
                first: time(&first)?,
                last: time(&last)?,
            });
        }
        Ok(found)
    }

    /// Whether this sort of mishap with this device is known of a ledger.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn has_mishap(
        &self,
        ledger: &LedgerId,
        device: &DeviceKey,
        what: Mishap,
    ) -> Result<bool, StoreError> {
        self.connection
            .prepare_cached(
                "SELECT EXISTS (SELECT 1 FROM fault WHERE ledger = ?1 AND peer = ?2 AND what = ?3)",
            )
            .and_then(|mut statement| {
                let name = ledger.to_string();
                statement.query_row(params![name, device.0, what.word()], |row| row.get(0))
            })
            .map_err(during("look for a mishap"))
    }

    /// The stored pieces of a ledger, each as it lies: the snapshot, then each change.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn pieces(&self, ledger: &LedgerId) -> Result<Vec<Vec<u8>>, StoreError> {
        let what = "read a ledger's pieces";
        match number_of(&self.connection, ledger, what)? {
            Some(number) => pieces(&self.connection, number).map_err(during(what)),
            None => Ok(Vec::new()),
        }
    }

    /// Sets a ledger aside that cannot be read and puts what was salvaged of it in its
    /// place, in one step. The bytes lie, piece by piece, where nothing reads them by
    /// itself. What peers said of the ledger stays.
    ///
    /// # Errors
    /// [`StoreError`]; everything is where it was.
    pub fn set_aside(
        &mut self,
        ledger: &LedgerId,
        salvaged: &Commit<'_>,
        now: DateTime<FixedOffset>,
    ) -> Result<(), StoreError> {
        let what = "set a ledger aside";
        let step = during(what);
        let transaction = self.begin(what)?;
        if let Some(number) = number_of(&transaction, ledger, what)? {
            for piece in pieces(&transaction, number).map_err(step)? {
                transaction
                    .execute(
                        "INSERT INTO aside (ledger, at, bytes) VALUES (?1, ?2, ?3)",
                        params![ledger.to_string(), now.to_rfc3339(), piece],
                    )
                    .map_err(step)?;
            }
            for table in [
                "change",
                "snapshot",
                "unsigned",
                "arrived",
                "cell",
                "summary",
                "enrolled",
                "dived",
                "names_file",
            ] {
                let sql = format!("DELETE FROM {table} WHERE ledger = ?1");
                transaction.execute(&sql, [number]).map_err(step)?;
            }
            transaction
                .execute("DELETE FROM ledger WHERE number = ?1", [number])
                .map_err(step)?;
        }
        let number = begin_ledger(&transaction, ledger)?;
        write(&transaction, number, ledger, salvaged).map_err(step)?;
        transaction.commit().map_err(step)
    }

    /// How many bytes of this ledger were set aside.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn aside(&self, ledger: &LedgerId) -> Result<u64, StoreError> {
        self.connection
            .prepare_cached("SELECT coalesce(sum(length(bytes)), 0) FROM aside WHERE ledger = ?1")
            .and_then(|mut statement| {
                statement.query_row([ledger.to_string()], |row| row.get::<_, i64>(0))
            })
            .map(|bytes| u64::try_from(bytes).unwrap_or(0))
            .map_err(during("look for what was set aside"))
    }
}

/// The snapshot and each change, one by one.
fn pieces(connection: &Connection, number: i64) -> rusqlite::Result<Vec<Vec<u8>>> {
    let mut pieces = Vec::new();
    for sql in [
        "SELECT bytes FROM snapshot WHERE ledger = ?1 ORDER BY place",
        "SELECT bytes FROM change WHERE ledger = ?1 ORDER BY place",
    ] {
        let mut statement = connection.prepare(sql)?;
        for piece in statement.query_map([number], |row| row.get(0))? {
            pieces.push(piece?);
        }
    }
    Ok(pieces)
}
