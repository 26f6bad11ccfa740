//! Opened: every file is read back before it is handed out. A writer that was wrong once would
//! otherwise be found out by whoever needs the file, when what it was made from is gone.

use std::io::{Cursor, Read as _};

use chrono::FixedOffset;
use quick_xml::Reader;
use quick_xml::events::Event;

use super::{DataError, Home, Tabular, read_dive_log};

/// What a file is read back as, and how much must be in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Opened {
    /// A workbook (xlsx): every part of it whole, and well-formed XML.
    Workbook,
    /// A calendar (iCalendar), with so many events.
    Calendar {
        /// How many.
        events: usize,
    },
    /// A dive log (UDDF), with so many dives.
    Dives {
        /// How many.
        dives: usize,
    },
    /// JSON.
    Json,
}

/// Reads a file back and hands it on.
///
/// # Errors
/// [`DataError`] if it is not what it should be: then it is not a file to be written.
pub fn opened(as_what: Opened, bytes: Vec<u8>) -> Result<Vec<u8>, DataError> {
    let wrong = |what: &'static str, detail: &str| DataError {
        what,
        detail: format!("read back, it was not what was written: {detail}"),
    };
    match as_what {
        Opened::Workbook => {
            parts(&bytes).map_err(|detail| wrong("workbook", &detail))?;
        }
        Opened::Calendar { events } => {
            let text = std::str::from_utf8(&bytes);
            let text = text.map_err(|_| wrong("calendar", "it is no text"))?;
            let unfolded = icalendar::parser::unfold(text);
            let read = icalendar::parser::read_calendar(&unfolded);
            let read = read.map_err(|_| wrong("calendar", "it does not parse"))?;
            let found = read.components.iter().filter(|one| one.name == "VEVENT");
            if found.count() != events {
                return Err(wrong("calendar", "events are missing"));
            }
        }
        Opened::Dives { dives } => {
            // Every time in it has its offset; this one is never asked for.
            let utc =
                || FixedOffset::east_opt(0).unwrap_or_else(|| chrono::Offset::fix(&chrono::Utc));
            let home = Home {
                offset_at: &|_| utc(),
                now: None,
            };
            let read = read_dive_log(&bytes, home);
            let read = read.map_err(|error| wrong("dive log", &error.to_string()))?;
            if read.dives.len() != dives {
                return Err(wrong("dive log", "dives are missing"));
            }
        }
        Opened::Json => {
            serde_json::from_slice::<serde::de::IgnoredAny>(&bytes)
                .map_err(|error| wrong("description", &error.to_string()))?;
        }
    }
    Ok(bytes)
}

/// Reads a table back: as many rows as were written, each with as many fields as there are heads.
///
/// # Errors
/// [`DataError`] if not.
pub(super) fn opened_table(table: Tabular, rows: usize) -> Result<Tabular, DataError> {
    let wrong = |detail: &str| DataError {
        what: "table",
        detail: format!("read back, it was not what was written: {detail}"),
    };
    let body = table
        .csv
        .strip_prefix(b"\xef\xbb\xbf")
        .unwrap_or(&table.csv);
    let mut reader = csv::ReaderBuilder::new().from_reader(body);
    let mut found = 0;
    for record in reader.records() {
        let record = record.map_err(|_| wrong("a row has other fields"))?;
        if record.len() != table.heads.len() {
            return Err(wrong("a row has other fields"));
        }
        found += 1;
    }
    if found == rows {
        Ok(table)
    } else {
        Err(wrong("rows are missing"))
    }
}

/// Reads every part of a packed file, each against its checksum.
fn parts(bytes: &[u8]) -> Result<(), String> {
    let said = |error: zip::result::ZipError| error.to_string();
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(said)?;
    let mut sheets = 0;
    for number in 0..archive.len() {
        let mut part = archive.by_index(number).map_err(said)?;
        let mut text = Vec::new();
        part.read_to_end(&mut text)
            .map_err(|error| error.to_string())?;
        let name = part.name().map_err(said)?.into_owned();
        if name.starts_with("xl/worksheets/") {
            sheets += 1;
        }
        if name.ends_with(".xml") || name.ends_with(".rels") {
            let text = String::from_utf8(text).map_err(|_| format!("{name} is no text"))?;
            let mut reader = Reader::from_str(&text);
            loop {
                match reader.read_event() {
                    Ok(Event::Eof) => break,
                    Ok(_) => {}
                    Err(_) => return Err(format!("{name} is not well-formed")),
                }
            }
        }
    }
    if sheets == 0 {
        return Err("it has no sheet".to_owned());
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_not_what_it_should_be_is_not_handed_out() {
        for (what, bytes) in [
            (Opened::Workbook, &b"PK\x03\x04 no archive"[..]),
            (
                Opened::Calendar { events: 1 },
                b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n",
            ),
            (
                Opened::Dives { dives: 1 },
                b"<uddf version=\"3.2.3\"></uddf>",
            ),
            (Opened::Json, b"{\"a\": "),
        ] {
            assert!(opened(what, bytes.to_vec()).is_err(), "{what:?}");
        }
        assert!(opened(Opened::Json, b"{}".to_vec()).is_ok());
    }
}
