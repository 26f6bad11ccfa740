//! Snapshot: loading a ledger, making its many changes into one piece, and forgetting it.
//!
//! Compaction is where a store can eat its own record: it deletes. So it writes the
//! snapshot, reads it back out of the file, opens it as a ledger, compares the heads and
//! the changes it covers, and only then drops those. Cut short anywhere, the old changes
//! are all there, and a snapshot that was not settled counts for nothing.

use std::collections::BTreeSet;

use rusqlite::{Connection, OptionalExtension as _, params};
use uuid::Uuid;

use super::error::during;
use super::{Store, StoreError, named, number_of};
use crate::course::{EntryId, LedgerId};
use crate::ledger::{Heads, Ledger};

/// A ledger as it is stored, ready for [`Ledger::load`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredLedger {
    /// The snapshot and then the changes, joined end to end.
    pub bytes: Vec<u8>,
    /// Entries whose signature did not hold when they came in.
    pub unsigned: BTreeSet<EntryId>,
    /// How many changes stand outside the snapshot: when they are many, compact.
    pub loose_changes: usize,
}

const COMPACT: &str = "compact a ledger";

impl Store {
    /// A ledger's bytes; `None` when it is not here.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn load(&self, ledger: &LedgerId) -> Result<Option<StoredLedger>, StoreError> {
        let what = "read a ledger";
        let step = during(what);
        // One transaction over several reads: another process could write between them. A store
        // that is only read is in one already.
        let own = self.connection.is_autocommit();
        let begun = own.then(|| self.connection.unchecked_transaction());
        let begun = begun.transpose().map_err(step)?;
        let reading: &Connection = begun.as_deref().unwrap_or(&self.connection);
        let Some(number) = number_of(reading, ledger, what)? else {
            return Ok(None);
        };
        let mut bytes: Vec<u8> = settled(reading, number).map_err(step)?.unwrap_or_default();
        let mut loose_changes = 0;
        {
            let mut statement = reading
                .prepare_cached("SELECT bytes FROM change WHERE ledger = ?1 ORDER BY place")
                .map_err(step)?;
            let mut rows = statement.query([number]).map_err(step)?;
            while let Some(row) = rows.next().map_err(step)? {
                let change = row.get_ref(0).and_then(|value| Ok(value.as_blob()?));
                bytes.extend_from_slice(change.map_err(step)?);
                loose_changes += 1;
            }
        }
        let unsigned = unsigned_of(reading, number).map_err(step)?;
        Ok(Some(StoredLedger {
            bytes,
            unsigned,
            loose_changes,
        }))
    }

    /// The ledger with the most changes outside its snapshot, if it has at least so many.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn loosest(&self, at_least: u32) -> Result<Option<LedgerId>, StoreError> {
        let step = during("look for loose changes");
        let found: Option<String> = self
            .connection
            .prepare_cached(
                "SELECT name FROM ledger JOIN (
                     SELECT ledger, count(*) AS loose FROM change GROUP BY ledger
                 ) ON ledger = number WHERE loose >= ?1 ORDER BY loose DESC, name LIMIT 1",
            )
            .and_then(|mut statement| statement.query_row([at_least], |row| row.get(0)).optional())
            .map_err(step)?;
        found.map(|name| named(&name)).transpose()
    }

    /// Puts a snapshot in place of the changes it covers. `heads` are the ledger's when
    /// the snapshot was saved; `actor` is fresh chance. `false`, with everything left as it
    /// was, if the file has something that the snapshot does not: save a newer one.
    ///
    /// # Errors
    /// [`StoreError::Unsound`] if the snapshot, read back, is not a ledger with these
    /// heads; nothing was dropped.
    pub fn compact(
        &mut self,
        ledger: &LedgerId,
        snapshot: &[u8],
        heads: &Heads,
        actor: [u8; 16],
    ) -> Result<bool, StoreError> {
        let Some(place) = self.write_unsettled(ledger, snapshot, heads)? else {
            return Ok(false);
        };
        let done = self.settle(ledger, place, heads, actor);
        match done {
            Ok(true) => Ok(true),
            Ok(false) => self.drop_unsettled().map(|()| false),
            Err(error) => {
                // The first error is the one to tell; the next opening tidies up.
                let _ = self.drop_unsettled();
                Err(error)
            }
        }
    }

    /// Step 1: the snapshot is in the file and counts for nothing. `None` if the ledger is
    /// not here.
    fn write_unsettled(
        &mut self,
        ledger: &LedgerId,
        snapshot: &[u8],
        heads: &Heads,
    ) -> Result<Option<i64>, StoreError> {
        let transaction = self.begin(COMPACT)?;
        let Some(number) = number_of(&transaction, ledger, COMPACT)? else {
            return Ok(None);
        };
        transaction
            .execute(
                "INSERT INTO snapshot (ledger, settled, heads, bytes) VALUES (?1, 0, ?2, ?3)",
                params![number, heads.to_bytes(), snapshot],
            )
            .map_err(during(COMPACT))?;
        let place = transaction.last_insert_rowid();
        transaction.commit().map_err(during(COMPACT))?;
        Ok(Some(place))
    }

    /// Steps 2 to 4: read it back, compare, and only then let it count and drop what it
    /// covers.
    fn settle(
        &mut self,
        ledger: &LedgerId,
        place: i64,
        heads: &Heads,
        actor: [u8; 16],
    ) -> Result<bool, StoreError> {
        let step = during(COMPACT);
        let transaction = self.begin(COMPACT)?;
        let Some(number) = number_of(&transaction, ledger, COMPACT)? else {
            return Ok(false);
        };
        let written: Vec<u8> = transaction
            .query_row(
                "SELECT bytes FROM snapshot WHERE place = ?1",
                [place],
                |row| row.get(0),
            )
            .map_err(step)?;
        let unsigned = unsigned_of(&transaction, number).map_err(step)?;
        let read_back =
            Ledger::load(*ledger, actor, &written, &unsigned).map_err(|_| StoreError::Unsound)?;
        if read_back.heads() != *heads {
            return Err(StoreError::Unsound);
        }
        if !covers(&transaction, number, &read_back)? {
            return Ok(false);
        }
        for sql in [
            "DELETE FROM change WHERE ledger = ?1",
            "DELETE FROM snapshot WHERE ledger = ?1 AND settled = 1",
        ] {
            transaction.execute(sql, [number]).map_err(step)?;
        }
        transaction
            .execute("UPDATE snapshot SET settled = 1 WHERE place = ?1", [place])
            .map_err(step)?;
        transaction.commit().map_err(step)?;
        Ok(true)
    }

    /// Removes snapshots that were written and never settled.
    pub(super) fn drop_unsettled(&mut self) -> Result<(), StoreError> {
        let step = during("tidy up after a compaction");
        let found = self
            .connection
            .query_row("SELECT 1 FROM snapshot WHERE settled = 0", [], |_| Ok(()))
            .optional()
            .map_err(step)?;
        if found.is_some() {
            self.connection
                .execute("DELETE FROM snapshot WHERE settled = 0", [])
                .map_err(step)?;
        }
        Ok(())
    }

    /// Forgets a ledger wholly: its changes, snapshot, rows, and what peers hold of it. The
    /// bytes are overwritten in the file and gone from its log when this returns.
    ///
    /// # Errors
    /// [`StoreError`]. After [`StoreError::Locked`] the ledger may be off the list with its
    /// bytes still in the log, since another program is reading: forget it again.
    pub fn forget(&mut self, ledger: &LedgerId) -> Result<(), StoreError> {
        let what = "forget a ledger";
        let step = during(what);
        let transaction = self.begin(what)?;
        for sql in [
            "DELETE FROM held WHERE ledger = ?1",
            "DELETE FROM aside WHERE ledger = ?1",
            "DELETE FROM fault WHERE ledger = ?1",
        ] {
            let name = ledger.to_string();
            transaction.execute(sql, [name]).map_err(step)?;
        }
        if let Some(number) = number_of(&transaction, ledger, what)? {
            for sql in [
                "DELETE FROM change WHERE ledger = ?1",
                "DELETE FROM snapshot WHERE ledger = ?1",
                "DELETE FROM unsigned WHERE ledger = ?1",
                "DELETE FROM arrived WHERE ledger = ?1",
                "DELETE FROM cell WHERE ledger = ?1",
                "DELETE FROM summary WHERE ledger = ?1",
                "DELETE FROM enrolled WHERE ledger = ?1",
                "DELETE FROM dived WHERE ledger = ?1",
                "DELETE FROM names_file WHERE ledger = ?1",
                "DELETE FROM ledger WHERE number = ?1",
            ] {
                transaction.execute(sql, [number]).map_err(step)?;
            }
        }
        transaction.commit().map_err(step)?;
        self.empty_log(what)
    }
}

/// The bytes of the snapshot that counts.
fn settled(connection: &Connection, number: i64) -> rusqlite::Result<Option<Vec<u8>>> {
    connection
        .prepare_cached("SELECT bytes FROM snapshot WHERE ledger = ?1 AND settled = 1")?
        .query_row([number], |row| row.get(0))
        .optional()
}

fn unsigned_of(connection: &Connection, number: i64) -> rusqlite::Result<BTreeSet<EntryId>> {
    connection
        .prepare_cached("SELECT entry FROM unsigned WHERE ledger = ?1")?
        .query_map([number], |row| {
            Ok(EntryId::new(Uuid::from_bytes(row.get(0)?)))
        })?
        .collect()
}

/// Whether the ledger has every loose change and everything of the snapshot that counts.
fn covers(connection: &Connection, number: i64, ledger: &Ledger) -> Result<bool, StoreError> {
    let step = during(COMPACT);
    let damaged = || StoreError::Damaged;
    for sql in [
        "SELECT hash FROM change WHERE ledger = ?1",
        "SELECT heads FROM snapshot WHERE ledger = ?1 AND settled = 1",
    ] {
        let mut statement = connection.prepare_cached(sql).map_err(step)?;
        let mut rows = statement.query([number]).map_err(step)?;
        while let Some(row) = rows.next().map_err(step)? {
            let bytes: Vec<u8> = row.get(0).map_err(step)?;
            let heads = Heads::from_bytes(&bytes).ok_or_else(damaged)?;
            if !ledger.knows(&heads) {
                return Ok(false);
            }
        }
    }
    Ok(true)
}
