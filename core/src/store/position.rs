//! Position: where each ledger stands, who is enrolled in it and when it was dived in, as
//! rows, so that a shop with thousands of courses can answer a meeting, or look for a
//! person's dives, without opening all of them.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use rusqlite::{Connection, OptionalExtension as _, params};

use super::error::during;
use super::kept_file::{NamedFile, write_named};
use super::{Store, StoreError, named, number_of};
use crate::course::{LedgerId, StudentId};
use crate::ledger::Heads;

/// Where a ledger stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stands {
    /// How many entries it has.
    pub entries: u32,
    /// Its heads.
    pub heads: Heads,
}

/// What a course is found by without being opened.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FoundBy {
    /// Who is enrolled.
    pub students: Vec<StudentId>,
    /// The days, by UTC, on which a logged dive began; whether the log counts is for whoever
    /// opens the course.
    pub dived: Vec<NaiveDate>,
    /// The photographs and sounds that it names and that may be kept.
    pub files: Vec<NamedFile>,
}

impl Store {
    /// Every ledger that is here, in order of id, with where it stands; `None` where a
    /// commit did not say.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn positions(&self) -> Result<Vec<(LedgerId, Option<Stands>)>, StoreError> {
        let step = during("read where the ledgers stand");
        let mut statement = self
            .connection
            .prepare_cached("SELECT name, entries, heads FROM ledger")
            .map_err(step)?;
        let rows = statement
            .query_map([], |row| {
                Ok((row.get::<_, String>(0)?, row.get(1)?, row.get(2)?))
            })
            .map_err(step)?;
        let mut positions = rows
            .map(|row| {
                let (name, entries, heads) = row.map_err(step)?;
                Ok((named(&name)?, stands(entries, heads)?))
            })
            .collect::<Result<Vec<_>, StoreError>>()?;
        positions.sort_unstable_by_key(|(ledger, _)| *ledger);
        Ok(positions)
    }

    /// Where one ledger stands; `None` if it is not here or a commit did not say.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn stands(&self, ledger: &LedgerId) -> Result<Option<Stands>, StoreError> {
        let step = during("read where a ledger stands");
        let found = self
            .connection
            .prepare_cached("SELECT entries, heads FROM ledger WHERE name = ?1")
            .and_then(|mut statement| {
                statement
                    .query_row([ledger.to_string()], |row| Ok((row.get(0)?, row.get(1)?)))
                    .optional()
            })
            .map_err(step)?;
        found.map_or(Ok(None), |(entries, heads)| stands(entries, heads))
    }

    /// Writes down where a ledger stands and, of a course, what it is found by: what an
    /// older version's commits did not say.
    ///
    /// # Errors
    /// [`StoreError`]; nothing was written.
    pub fn put_position(
        &mut self,
        ledger: &LedgerId,
        stands: &Stands,
        found_by: Option<&FoundBy>,
    ) -> Result<(), StoreError> {
        let what = "store where a ledger stands";
        let transaction = self.begin(what)?;
        if let Some(number) = number_of(&transaction, ledger, what)? {
            write_position(&transaction, number, Some(stands))
                .and_then(|()| write_found_by(&transaction, number, found_by))
                .map_err(during(what))?;
        }
        transaction.commit().map_err(during(what))
    }

    /// Who is enrolled in each course.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn enrolled(&self) -> Result<BTreeMap<LedgerId, BTreeSet<StudentId>>, StoreError> {
        let mut enrolled: BTreeMap<_, BTreeSet<_>> = BTreeMap::new();
        let all = "SELECT name, student FROM enrolled JOIN ledger ON number = ledger";
        for (course, student) in self.pairs(all, [])? {
            enrolled.entry(course).or_default().insert(student);
        }
        Ok(enrolled)
    }

    /// The courses a student is enrolled in.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn courses_of(&self, student: &StudentId) -> Result<Vec<LedgerId>, StoreError> {
        let pairs = self.pairs(
            "SELECT name, student FROM enrolled JOIN ledger ON number = ledger WHERE student = ?1",
            [student.bytes()],
        )?;
        Ok(pairs.into_iter().map(|(ledger, _)| ledger).collect())
    }

    /// The courses in which a dive was logged that began between two days, both included.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn courses_dived(
        &self,
        from: NaiveDate,
        until: NaiveDate,
    ) -> Result<Vec<LedgerId>, StoreError> {
        let step = during("read where was dived");
        let mut statement = self
            .connection
            .prepare_cached(
                "SELECT DISTINCT name FROM dived JOIN ledger ON number = ledger
                 WHERE day BETWEEN ?1 AND ?2 ORDER BY name",
            )
            .map_err(step)?;
        let rows = statement
            .query_map([from.to_string(), until.to_string()], |row| {
                row.get::<_, String>(0)
            })
            .map_err(step)?;
        rows.map(|row| named(&row.map_err(step)?)).collect()
    }

    fn pairs(
        &self,
        sql: &str,
        given: impl rusqlite::Params,
    ) -> Result<Vec<(LedgerId, StudentId)>, StoreError> {
        let step = during("read who is enrolled");
        let mut statement = self.connection.prepare_cached(sql).map_err(step)?;
        let rows = statement
            .query_map(given, |row| {
                Ok((row.get::<_, String>(0)?, row.get::<_, [u8; 16]>(1)?))
            })
            .map_err(step)?;
        rows.map(|row| {
            let (name, student) = row.map_err(step)?;
            let student = StudentId::new(uuid::Uuid::from_bytes(student));
            Ok((named(&name)?, student))
        })
        .collect()
    }
}

fn stands(entries: Option<u32>, heads: Option<Vec<u8>>) -> Result<Option<Stands>, StoreError> {
    let (Some(entries), Some(heads)) = (entries, heads) else {
        return Ok(None);
    };
    let heads = Heads::from_bytes(&heads).ok_or(StoreError::Damaged)?;
    Ok(Some(Stands { entries, heads }))
}

/// Writes where a ledger stands, in the caller's transaction; a commit that does not say
/// leaves it unknown, never stale.
pub(super) fn write_position(
    connection: &Connection,
    number: i64,
    stands: Option<&Stands>,
) -> rusqlite::Result<()> {
    connection
        .prepare_cached("UPDATE ledger SET entries = ?2, heads = ?3 WHERE number = ?1")?
        .execute(params![
            number,
            stands.map(|one| one.entries),
            stands.map(|one| one.heads.to_bytes())
        ])
        .map(|_| ())
}

/// Writes what a course is found by, in place of what was there; nothing if it is not said.
pub(super) fn write_found_by(
    connection: &Connection,
    number: i64,
    found_by: Option<&FoundBy>,
) -> rusqlite::Result<()> {
    let Some(found_by) = found_by else {
        return Ok(());
    };
    for sql in [
        "DELETE FROM enrolled WHERE ledger = ?1",
        "DELETE FROM dived WHERE ledger = ?1",
    ] {
        connection.prepare_cached(sql)?.execute([number])?;
    }
    let mut statement = connection.prepare_cached(
        "INSERT INTO enrolled (ledger, student) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
    )?;
    for student in &found_by.students {
        statement.execute(params![number, student.bytes()])?;
    }
    let mut statement = connection
        .prepare_cached("INSERT INTO dived (ledger, day) VALUES (?1, ?2) ON CONFLICT DO NOTHING")?;
    for day in &found_by.dived {
        statement.execute(params![number, day.to_string()])?;
    }
    write_named(connection, number, &found_by.files)
}
