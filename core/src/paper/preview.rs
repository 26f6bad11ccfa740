//! Preview: a table from elsewhere as it would be taken, before anything is. What a list of
//! students and a list of kit have in common: columns found by their heads, good rows, and bad
//! ones by their lines.

use std::collections::BTreeMap;

use super::data::unguard;
use super::roster::sheet::Sheet;

/// A table as it was read; nothing has been taken yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Preview<F, R, W> {
    /// The encoding it was read in.
    pub encoding: &'static str,
    /// What stands between the fields.
    pub delimiter: char,
    /// Each column's head, and what it was matched to; unmatched columns are left alone.
    pub columns: Vec<(String, Option<F>)>,
    /// The good rows.
    pub rows: Vec<R>,
    /// The bad rows.
    pub faults: Vec<BadRow<F, W>>,
}

/// One bad row.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
#[error("line {line}: {reason}")]
pub struct BadRow<F, W> {
    /// Counted from 1, as an editor shows it.
    pub line: u64,
    /// In which field, where it is one.
    pub field: Option<F>,
    /// Why.
    pub reason: W,
}

/// What can be wrong with a row of any table.
pub(super) enum Amiss {
    /// Another number of fields than the first line has.
    Fields { found: usize, expected: usize },
    /// Bytes that are no text in this encoding.
    Undecodable,
    /// A quote that is never closed.
    Quotes,
}

/// Two columns are headed as the same thing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the columns {first} and {second} are both headed as {field}")]
pub struct TwoColumns<F> {
    /// Counted from 1.
    pub first: usize,
    /// Counted from 1.
    pub second: usize,
    /// As what.
    pub field: F,
}

/// One row while it is read: its cells that are matched and not empty, and what is wrong with
/// it so far.
pub(super) struct RowRead<'a, F, W> {
    pub(super) line: u64,
    pub(super) cells: Vec<(F, &'a str)>,
    faults: Vec<BadRow<F, W>>,
}

/// Finds each column by its head; `often` says which may stand there more than once.
pub(super) fn columns<F: Copy + Ord>(
    heads: &csv::StringRecord,
    of_head: impl Fn(&str) -> Option<F>,
    often: impl Fn(F) -> bool,
) -> Result<Vec<(String, Option<F>)>, TwoColumns<F>> {
    let columns: Vec<(String, Option<F>)> = heads
        .iter()
        .map(|head| {
            let head = unguard(head.trim());
            (head.to_owned(), of_head(head))
        })
        .collect();
    let mut seen: BTreeMap<F, usize> = BTreeMap::new();
    for (at, (_, field)) in (1..).zip(&columns) {
        let Some(field) = *field else { continue };
        if often(field) {
            continue;
        }
        if let Some(first) = seen.insert(field, at) {
            return Err(TwoColumns {
                first,
                second: at,
                field,
            });
        }
    }
    Ok(columns)
}

/// Every record of a sheet through `row`.
pub(super) fn rows<F: Copy + Ord, R, W: Ord + From<Amiss>>(
    sheet: &Sheet,
    columns: Vec<(String, Option<F>)>,
    mut row: impl FnMut(RowRead<'_, F, W>) -> Result<R, Vec<BadRow<F, W>>>,
) -> Preview<F, R, W> {
    let (mut rows, mut faults) = (Vec::new(), Vec::new());
    for (line, record) in &sheet.records {
        match row(RowRead::of(*line, record, &columns)) {
            Ok(good) => rows.push(good),
            Err(mut found) => faults.append(&mut found),
        }
    }
    faults.sort();
    Preview {
        encoding: sheet.encoding,
        delimiter: sheet.delimiter,
        columns,
        rows,
        faults,
    }
}

impl<'a, F: Copy, W: From<Amiss>> RowRead<'a, F, W> {
    fn of(line: u64, record: &'a csv::StringRecord, columns: &[(String, Option<F>)]) -> Self {
        let mut read = Self {
            line,
            cells: Vec::new(),
            faults: Vec::new(),
        };
        if record.len() != columns.len() {
            let (found, expected) = (record.len(), columns.len());
            read.fault(None, Amiss::Fields { found, expected });
        }
        for ((_, field), cell) in columns.iter().zip(record) {
            let Some(field) = *field else { continue };
            let cell = unguard(cell.trim()).trim();
            if cell.contains('\u{fffd}') {
                read.fault(Some(field), Amiss::Undecodable);
            }
            // A quote that is never closed swallows the lines below it.
            if cell.contains(['\n', '\r']) {
                read.fault(Some(field), Amiss::Quotes);
            }
            if !cell.is_empty() {
                read.cells.push((field, cell));
            }
        }
        read
    }

    /// Writes down what is wrong with it.
    pub(super) fn fault(&mut self, field: Option<F>, reason: impl Into<W>) {
        self.faults.push(BadRow {
            line: self.line,
            field,
            reason: reason.into(),
        });
    }

    /// What it says, unless anything is wrong with it.
    pub(super) fn end<T>(self, says: T) -> Result<T, Vec<BadRow<F, W>>> {
        if self.faults.is_empty() {
            Ok(says)
        } else {
            Err(self.faults)
        }
    }
}
