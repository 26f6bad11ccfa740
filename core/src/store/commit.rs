//! Commit: what one tap, or one message from another device, puts into the file: the
//! changes and everything that follows from them, in one transaction. A change without its
//! cells would show an old board after a crash; cells without their change, a mark that
//! is not there.

use rusqlite::{Connection, params};

use super::arrived::{Arrived, write_arrived};
use super::error::during;
use super::peer::{Said, write_all_held, write_held};
use super::position::{FoundBy, write_found_by, write_position};
use super::row::{write_cells, write_summary};
use super::{CellRow, Stands, Store, StoreError, SummaryRow, number_of};
use crate::course::{EntryId, LedgerId};
use crate::entry::DeviceKey;
use crate::ledger::{Heads, Ledger};

/// What goes into the file together.
#[derive(Debug, Clone, Copy, Default)]
pub struct Commit<'a> {
    /// Changes with their hashes, in an order that can be applied; one that is there
    /// already is passed over. The first change of a ledger need not be among them: the
    /// store writes it itself when it first meets a ledger, so it cannot be forgotten.
    pub changes: &'a [([u8; 32], Vec<u8>)],
    /// Entries among them whose signature does not hold.
    pub unsigned: &'a [EntryId],
    /// Cells that stand differently now.
    pub cells: &'a [CellRow],
    /// Whether these are all the cells of the ledger, and any other goes.
    pub replace_cells: bool,
    /// The course's line in the list of courses, if it changed.
    pub summary: Option<&'a SummaryRow>,
    /// Where the ledger stands with these changes; where it is not said it is unknown from
    /// now on, and asked of the ledger.
    pub stands: Option<&'a Stands>,
    /// What the course is found by, if that may have changed.
    pub found_by: Option<&'a FoundBy>,
    /// Whether, with this, what is known of every course may have to be read otherwise:
    /// where each stands is then asked of it again.
    pub rereads: bool,
    /// What of it came from elsewhere, and when.
    pub arrived: Option<Arrived<'a>>,
    /// What peers have said they have stored of this ledger.
    pub held: &'a [(DeviceKey, Heads)],
}

const COMMIT: &str = "store a mark";

impl Store {
    /// Puts it all into the file, or nothing. Once this has returned, it is there after a
    /// power cut.
    ///
    /// # Errors
    /// [`StoreError`]; nothing was written.
    pub fn commit(&mut self, ledger: &LedgerId, commit: &Commit<'_>) -> Result<(), StoreError> {
        self.commit_many(&[(*ledger, *commit)])
    }

    /// Puts the commits of several ledgers into the file together, or nothing.
    ///
    /// # Errors
    /// [`StoreError`]; nothing was written.
    pub fn commit_many(&mut self, commits: &[(LedgerId, Commit<'_>)]) -> Result<(), StoreError> {
        self.commit_with(commits, &Said::new())
    }

    /// The same with what peers have said they hold, of whichever ledgers.
    ///
    /// # Errors
    /// [`StoreError`]; nothing was written.
    pub fn commit_with(
        &mut self,
        commits: &[(LedgerId, Commit<'_>)],
        said: &Said,
    ) -> Result<(), StoreError> {
        let transaction = self.begin(COMMIT)?;
        for (ledger, commit) in commits {
            let number = match number_of(&transaction, ledger, COMMIT)? {
                Some(number) => number,
                None => begin_ledger(&transaction, ledger)?,
            };
            write(&transaction, number, ledger, commit).map_err(during(COMMIT))?;
        }
        write_all_held(&transaction, said).map_err(during(COMMIT))?;
        transaction.commit().map_err(during(COMMIT))
    }
}

/// Writes a ledger that is new here, with its first change.
pub(super) fn begin_ledger(connection: &Connection, ledger: &LedgerId) -> Result<i64, StoreError> {
    let step = during("begin a ledger");
    let first = Ledger::first_change(ledger).map_err(|source| StoreError::Ledger {
        during: "begin a ledger",
        source,
    })?;
    connection
        .prepare_cached("INSERT INTO ledger (name) VALUES (?1)")
        .and_then(|mut statement| statement.execute([ledger.to_string()]))
        .map_err(step)?;
    let number = connection.last_insert_rowid();
    write_changes(connection, number, &[first]).map_err(step)?;
    Ok(number)
}

pub(super) fn write(
    connection: &Connection,
    number: i64,
    ledger: &LedgerId,
    commit: &Commit<'_>,
) -> rusqlite::Result<()> {
    write_changes(connection, number, commit.changes)?;
    write_position(connection, number, commit.stands)?;
    write_found_by(connection, number, commit.found_by)?;
    if commit.rereads {
        connection.execute(
            "UPDATE ledger SET entries = NULL, heads = NULL WHERE number <> ?1",
            [number],
        )?;
    }
    for entry in commit.unsigned {
        connection
            .prepare_cached(
                "INSERT INTO unsigned (ledger, entry) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
            )?
            .execute(params![number, entry.bytes()])?;
    }
    write_cells(connection, number, commit.cells, commit.replace_cells)?;
    if let Some(summary) = commit.summary {
        write_summary(connection, number, summary)?;
    }
    write_arrived(connection, number, commit.arrived)?;
    for (peer, heads) in commit.held {
        write_held(connection, peer, ledger, heads)?;
    }
    Ok(())
}

fn write_changes(
    connection: &Connection,
    number: i64,
    changes: &[([u8; 32], Vec<u8>)],
) -> rusqlite::Result<()> {
    let mut statement = connection.prepare_cached(
        "INSERT INTO change (ledger, hash, bytes) VALUES (?1, ?2, ?3)
         ON CONFLICT (ledger, hash) DO NOTHING",
    )?;
    for (hash, bytes) in changes {
        statement.execute(params![number, hash, bytes])?;
    }
    Ok(())
}
