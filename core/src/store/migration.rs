//! Migration: the schema, step by step, forwards only.
//!
//! Two devices of different versions are the normal case, so a step only adds: no column
//! changes its meaning or goes. The schema's number is the file's `user_version`; it rises
//! in the same transaction as the step, so a step cut short has not happened.

use rusqlite::{Connection, TransactionBehavior};

use super::StoreError;
use super::error::during;

/// The steps, in order: the number that each leaves the file at, and what it does.
const STEPS: &[(i64, &str)] = &[
    (1, include_str!("migration/001_begin.sql")),
    (2, include_str!("migration/002_where_each_stands.sql")),
    (3, include_str!("migration/003_dived.sql")),
    (4, include_str!("migration/004_arrived.sql")),
    (5, include_str!("migration/005_set_aside.sql")),
    (6, include_str!("migration/006_kept_files.sql")),
];

/// The newest schema this program knows.
pub const SCHEMA: i64 = 6;

/// The first schema whose ledgers this program reads. Before it entries had ids of chance;
/// no school had used the program yet.
const LEAST: i64 = 5;

/// Brings the file to [`SCHEMA`]. One from before [`LEAST`] that has ledgers in it is refused
/// and left as it is.
pub(super) fn migrate(connection: &mut Connection, application: i64) -> Result<(), StoreError> {
    let step = during("bring the store up to date");
    let number = |connection: &Connection| {
        connection
            .pragma_query_value(None, "user_version", |row| row.get::<_, i64>(0))
            .map_err(step)
    };
    if number(connection)? == SCHEMA {
        return Ok(());
    }
    let found = number(connection)?;
    if (1..LEAST).contains(&found) && has_ledgers(connection).map_err(step)? {
        return Err(StoreError::Older {
            found,
            least: LEAST,
        });
    }
    for (to, sql) in STEPS {
        let transaction = connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(step)?;
        // Read under the lock: another process may have stepped up meanwhile.
        if number(&transaction)? < *to {
            transaction.execute_batch(sql).map_err(step)?;
            transaction
                .pragma_update(None, "application_id", application)
                .and_then(|()| transaction.pragma_update(None, "user_version", to))
                .map_err(step)?;
            transaction.commit().map_err(step)?;
        }
    }
    Ok(())
}

fn has_ledgers(connection: &Connection) -> rusqlite::Result<bool> {
    connection.query_row("SELECT EXISTS (SELECT 1 FROM ledger)", [], |row| row.get(0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_steps_are_numbered_one_by_one_up_to_the_newest() {
        let numbers: Vec<i64> = STEPS.iter().map(|(number, _)| *number).collect();
        let expected: Vec<i64> = (1..=SCHEMA).collect();
        assert_eq!(numbers, expected);
    }
}
