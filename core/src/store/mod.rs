//! Store: the file on the device, where a mark is safe once [`Store::commit`] has returned.
//!
//! It keeps the bytes of [`crate::ledger`] and, beside them, rows that can be thrown away
//! and built again: cells, summaries, what peers said they hold. It refuses to know what
//! an entry means. Its neighbour is the desk, which commits here before anything in
//! memory changes.
//!
//! SQLite in write-ahead mode with `synchronous=FULL`: with NORMAL a mark already shown as
//! saved can be gone after a power cut. One connection writes, in immediate transactions.

mod arrived;
mod back_up;
mod beside;
mod commit;
mod error;
mod kept_file;
mod migration;
mod mishap;
mod open;
mod peer;
mod position;
pub mod private;
mod row;
mod salvage;
mod setting;
mod snapshot;

pub use arrived::Arrived;
pub(crate) use back_up::flush_folder;
pub use back_up::{Tried, Written};
pub use beside::Beside;
pub use commit::Commit;
pub use error::{Hurt, StoreError};
pub use kept_file::{FileState, LackingFile, NamedFile};
pub use migration::SCHEMA;
pub use mishap::MishapRow;
pub(crate) use open::is_empty;
pub use open::{APPLICATION, Opened, set_aside};
pub use peer::{PeerRow, Said};
pub use position::{FoundBy, Stands};
pub use row::{CellRow, SummaryRow};
pub use salvage::{Found, search};
pub use snapshot::StoredLedger;

use rusqlite::{Connection, OptionalExtension as _, Transaction, TransactionBehavior};

use self::error::during;
use crate::course::LedgerId;

/// The store: one file, one connection, one writer.
#[derive(Debug)]
pub struct Store {
    connection: Connection,
}

impl Store {
    /// The connection itself, through which a test brings about a fault: a full disk, a
    /// refused commit. Nothing else may use it, or a mark could be shown before it is safe.
    #[doc(hidden)]
    pub const fn connection_for_faults(&mut self) -> &mut Connection {
        &mut self.connection
    }

    /// Lets the file grow by so many pages and no more, as a full disk would.
    #[doc(hidden)]
    pub fn leave_room_for_faults(&mut self, pages: i64) -> rusqlite::Result<()> {
        let now: i64 = self
            .connection
            .pragma_query_value(None, "page_count", |row| row.get(0))?;
        self.connection
            .pragma_update_and_check(None, "max_page_count", now + pages, |_| Ok(()))
    }

    /// Every ledger that is here, in order of id.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn ledgers(&self) -> Result<Vec<LedgerId>, StoreError> {
        let step = during("list the ledgers");
        let mut statement = self
            .connection
            .prepare_cached("SELECT name FROM ledger")
            .map_err(step)?;
        let names = statement
            .query_map([], |row| row.get::<_, String>(0))
            .map_err(step)?
            .collect::<Result<Vec<_>, _>>()
            .map_err(step)?;
        let mut ledgers = names
            .iter()
            .map(|name| named(name))
            .collect::<Result<Vec<_>, _>>()?;
        ledgers.sort_unstable();
        Ok(ledgers)
    }

    /// Whether this ledger is here.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn holds(&self, ledger: &LedgerId) -> Result<bool, StoreError> {
        number_of(&self.connection, ledger, "find a ledger").map(|number| number.is_some())
    }

    /// Checks the whole file: every page, every index, every reference. Slow on a large
    /// file, so it is asked for and never part of opening.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] if anything is wrong.
    pub fn check(&self) -> Result<(), StoreError> {
        let step = during("check the store");
        let found: String = self
            .connection
            .query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))
            .map_err(step)?;
        let astray = self
            .connection
            .query_row("PRAGMA foreign_key_check", [], |_| Ok(()))
            .optional()
            .map_err(step)?;
        if found == "ok" && astray.is_none() {
            Ok(())
        } else {
            Err(StoreError::Damaged)
        }
    }

    /// Folds the log into the file. Until then a bit that turns in the log can cost the
    /// commits behind it, and SQLite says nothing; in the file it is found by whoever reads
    /// that ledger.
    ///
    /// # Errors
    /// [`StoreError`]; every commit is where it was.
    pub fn fold(&mut self) -> Result<(), StoreError> {
        self.connection
            .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
            .map_err(during("fold the log into the file"))
    }

    /// Folds the log in and empties it, so that what was overwritten in the file is gone from it
    /// too; [`StoreError::Locked`] while another program reads.
    fn empty_log(&self, what: &'static str) -> Result<(), StoreError> {
        let busy: i64 = self
            .connection
            .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| row.get(0))
            .map_err(during(what))?;
        if busy == 0 {
            Ok(())
        } else {
            Err(StoreError::Locked { during: what })
        }
    }

    /// An immediate transaction: it has the write lock from its first step, so it cannot
    /// find half-way that another writer was faster.
    fn begin(&mut self, what: &'static str) -> Result<Transaction<'_>, StoreError> {
        self.connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(during(what))
    }
}

/// A ledger by its stored name; a name that is none is damage.
fn named(name: &str) -> Result<LedgerId, StoreError> {
    name.parse().map_err(|_| StoreError::Damaged)
}

/// The row number of a ledger; `None` when it is not here.
fn number_of(
    connection: &Connection,
    ledger: &LedgerId,
    what: &'static str,
) -> Result<Option<i64>, StoreError> {
    connection
        .prepare_cached("SELECT number FROM ledger WHERE name = ?1")
        .and_then(|mut statement| {
            statement
                .query_row([ledger.to_string()], |row| row.get(0))
                .optional()
        })
        .map_err(during(what))
}
