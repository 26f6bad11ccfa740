//! Sheet: a CSV file of any usual encoding and delimiter as heads and records, each with its
//! line, before anybody asks what they mean.

use super::SheetFault;
use super::text::{self, Hints, Text};

pub(in crate::paper) const MOST_BYTES: usize = 4 << 20;
pub(in crate::paper) const MOST_ROWS: usize = 10_000;

/// A file as it was read.
pub(in crate::paper) struct Sheet {
    /// The encoding it was read in.
    pub(in crate::paper) encoding: &'static str,
    /// What stands between the fields.
    pub(in crate::paper) delimiter: char,
    pub(in crate::paper) heads: csv::StringRecord,
    /// The records that are not empty, each with its line, counted from 1.
    pub(in crate::paper) records: Vec<(u64, csv::StringRecord)>,
}

/// Reads a file.
pub(in crate::paper) fn read_sheet(bytes: &[u8], hints: Hints<'_>) -> Result<Sheet, SheetFault> {
    if bytes.len() > MOST_BYTES {
        return Err(SheetFault::TooLong { most: MOST_BYTES });
    }
    Sheet::of(text::decode(bytes, hints)?, hints)
}

impl Sheet {
    /// Reads what was decoded.
    pub(in crate::paper) fn of(text: Text, hints: Hints<'_>) -> Result<Self, SheetFault> {
        let Text { text, encoding } = text;
        if text.trim().is_empty() {
            return Err(SheetFault::Empty);
        }
        let delimiter = text::delimiter(&text, hints);
        let (body, skipped) = match text
            .strip_prefix("sep=")
            .and_then(|_| text.split_once('\n'))
        {
            Some((_, rest)) => (rest, 1),
            None => (text.as_str(), 0),
        };
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(true)
            .flexible(true)
            .delimiter(delimiter)
            .from_reader(body.as_bytes());
        let heads = reader.headers().map_err(|_| SheetFault::NotText)?.clone();
        let mut records = Vec::new();
        let mut lines = Lines::of(body);
        for record in reader.records() {
            let record = record.map_err(|_| SheetFault::NotText)?;
            if record.iter().all(|cell| cell.trim().is_empty()) {
                continue;
            }
            let line = lines.at(record.position().map_or(0, csv::Position::byte)) + skipped;
            records.push((line, record));
            if records.len() > MOST_ROWS {
                return Err(SheetFault::TooManyRows { most: MOST_ROWS });
            }
        }
        Ok(Self {
            encoding,
            delimiter: char::from(delimiter),
            heads,
            records,
        })
    }
}

/// Counts lines as an editor does. The reader's own count stands one short in a file whose
/// lines end as a spreadsheet of an office ends them, in CR and LF.
struct Lines<'a> {
    rest: &'a [u8],
    byte: u64,
    line: u64,
}

impl<'a> Lines<'a> {
    const fn of(text: &'a str) -> Self {
        Self {
            rest: text.as_bytes(),
            byte: 0,
            line: 1,
        }
    }

    /// The line of the record that begins at or just after this byte, which never goes back.
    fn at(&mut self, byte: u64) -> u64 {
        while let [first, rest @ ..] = self.rest {
            let ends = matches!(first, b'\n' | b'\r');
            if self.byte >= byte && !ends {
                break;
            }
            // Of a pair only the second counts.
            if ends && !(*first == b'\r' && rest.first() == Some(&b'\n')) {
                self.line += 1;
            }
            self.rest = rest;
            self.byte += 1;
        }
        self.line
    }
}
