//! Data: the same facts as files for other programs. Open standards only.

mod calendar;
mod csv;
mod csvw;
mod kit;
mod opened;
mod safe;
mod sheet;
mod uddf;
mod workbook;

pub use calendar::calendar;
pub use csv::{activity_csv, dives_csv, marks_csv, roster_csv};
pub use csvw::csvw;
pub use kit::kit_csv;
pub use opened::{Opened, opened};
pub(crate) use safe::unguard;
pub use sheet::{TableName, Tabular};
pub use uddf::{
    DiveFor, Home, ReadDive, ReadLog, UddfDive, UddfError, read_dive_log, read_uddf, uddf_dives,
    write_uddf,
};
pub use workbook::workbook;

/// A file could not be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("could not write the {what}: {detail}")]
pub struct DataError {
    /// Which file.
    pub what: &'static str,
    /// What the writer said.
    pub detail: String,
}

impl DataError {
    pub(crate) fn of(what: &'static str) -> impl Fn(String) -> Self {
        move |detail| Self { what, detail }
    }
}
