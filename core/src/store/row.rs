//! Rows that can be dropped and built again: cells and summaries. The store keeps their
//! words and does not read them.

use chrono::NaiveDate;
use rusqlite::types::Type;
use rusqlite::{Connection, params};

use super::error::during;
use super::{Store, StoreError, named, number_of};
use crate::course::{LedgerId, SkillId, StudentId};

/// One cell of a course's board, as it was last projected.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellRow {
    /// Whose.
    pub student: StudentId,
    /// Which.
    pub skill: SkillId,
    /// How it stands: a short word.
    pub state: String,
    /// More, as JSON; may be empty.
    pub detail: String,
}

/// One course in the list of courses, as it was last projected.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Record),
    uniffi(name = "CourseSummary")
)]
pub struct SummaryRow {
    /// Which ledger.
    pub ledger: LedgerId,
    /// The course's title.
    pub title: String,
    /// Its first day.
    pub starts: NaiveDate,
    /// How many students.
    pub students: u32,
    /// How many cells are still open.
    pub open: u32,
    /// More, as JSON; may be empty.
    pub detail: String,
}

impl Store {
    /// The cells of a ledger, by student and skill; empty when it is not here or its rows
    /// have been dropped.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn cells(&self, ledger: &LedgerId) -> Result<Vec<CellRow>, StoreError> {
        let what = "read the cells";
        let step = during(what);
        let Some(number) = number_of(&self.connection, ledger, what)? else {
            return Ok(Vec::new());
        };
        let mut statement = self
            .connection
            .prepare_cached(
                "SELECT student, skill, state, detail FROM cell
                 WHERE ledger = ?1 ORDER BY student, skill",
            )
            .map_err(step)?;
        let rows = statement
            .query_map([number], |row| {
                let skill: String = row.get(1)?;
                Ok(CellRow {
                    student: StudentId::new(uuid::Uuid::from_bytes(row.get(0)?)),
                    skill: skill.parse().map_err(|error| unreadable(1, error))?,
                    state: row.get(2)?,
                    detail: row.get(3)?,
                })
            })
            .map_err(step)?;
        rows.collect::<Result<_, _>>().map_err(step)
    }

    /// The list of courses, newest start first, then by id.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn summaries(&self) -> Result<Vec<SummaryRow>, StoreError> {
        let step = during("read the list of courses");
        let mut statement = self
            .connection
            .prepare_cached(
                "SELECT ledger.name, title, starts, students, open, detail
                 FROM summary JOIN ledger ON ledger.number = summary.ledger
                 ORDER BY starts DESC, ledger.name",
            )
            .map_err(step)?;
        let rows = statement
            .query_map([], |row| {
                let (name, starts): (String, String) = (row.get(0)?, row.get(2)?);
                Ok(SummaryRow {
                    ledger: named(&name).map_err(|error| unreadable(0, error))?,
                    title: row.get(1)?,
                    starts: starts.parse().map_err(|error| unreadable(2, error))?,
                    students: row.get(3)?,
                    open: row.get(4)?,
                    detail: row.get(5)?,
                })
            })
            .map_err(step)?;
        rows.collect::<Result<_, _>>().map_err(step)
    }

    /// Drops every cell, summary, position and enrolment: they can be built again from the
    /// ledgers.
    ///
    /// # Errors
    /// [`StoreError`]; nothing was dropped.
    pub fn drop_projections(&mut self) -> Result<(), StoreError> {
        let what = "drop the projected rows";
        let transaction = self.begin(what)?;
        transaction
            .execute_batch(
                "DELETE FROM cell; DELETE FROM summary; DELETE FROM enrolled;
                 DELETE FROM dived;
                 UPDATE ledger SET entries = NULL, heads = NULL;",
            )
            .and_then(|()| transaction.commit())
            .map_err(during(what))
    }
}

/// A stored word that its type refuses.
fn unreadable(
    column: usize,
    error: impl std::error::Error + Send + Sync + 'static,
) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(column, Type::Text, Box::new(error))
}

/// Writes the cells of a ledger, in the caller's transaction: those that read otherwise there.
/// Most entries change nothing of what a row says, and a page that is not touched is not
/// written. With `replace` these are all the cells, and any other goes.
pub(super) fn write_cells(
    connection: &Connection,
    number: i64,
    cells: &[CellRow],
    replace: bool,
) -> rusqlite::Result<()> {
    put_cells(connection, number, cells)?;
    if !replace {
        return Ok(());
    }
    let there: i64 = connection
        .prepare_cached("SELECT count(*) FROM cell WHERE ledger = ?1")?
        .query_row([number], |row| row.get(0))?;
    if usize::try_from(there) == Ok(cells.len()) {
        return Ok(());
    }
    // Somebody left the course, or a skill its outline.
    connection
        .prepare_cached("DELETE FROM cell WHERE ledger = ?1")?
        .execute([number])?;
    put_cells(connection, number, cells)
}

fn put_cells(connection: &Connection, number: i64, cells: &[CellRow]) -> rusqlite::Result<()> {
    let mut statement = connection.prepare_cached(
        "INSERT INTO cell (ledger, student, skill, state, detail) VALUES (?1, ?2, ?3, ?4, ?5)
         ON CONFLICT (ledger, student, skill)
         DO UPDATE SET state = excluded.state, detail = excluded.detail
         WHERE cell.state IS NOT excluded.state OR cell.detail IS NOT excluded.detail",
    )?;
    for cell in cells {
        statement.execute(params![
            number,
            cell.student.bytes(),
            cell.skill.as_str(),
            cell.state,
            cell.detail
        ])?;
    }
    Ok(())
}

/// Writes a ledger's summary, in the caller's transaction, if it reads otherwise there.
pub(super) fn write_summary(
    connection: &Connection,
    number: i64,
    summary: &SummaryRow,
) -> rusqlite::Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO summary (ledger, title, starts, students, open, detail)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)
             ON CONFLICT (ledger) DO UPDATE SET title = excluded.title,
             starts = excluded.starts, students = excluded.students, open = excluded.open,
             detail = excluded.detail
             WHERE (summary.title, summary.starts, summary.students, summary.open, summary.detail)
             IS NOT (excluded.title, excluded.starts, excluded.students, excluded.open,
             excluded.detail)",
        )?
        .execute(params![
            number,
            summary.title,
            summary.starts.to_string(),
            summary.students,
            summary.open,
            summary.detail
        ])
        .map(|_| ())
}
