//! What can be wrong with a table as such, with a roster, and with one row of it.

use super::RosterField;
use super::date::NoDay;
use crate::paper::preview::{Amiss, BadRow, TwoColumns};

/// The whole file cannot be read as a table, of whatever.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SheetFault {
    /// Nothing in it.
    #[error("the file is empty")]
    Empty,
    /// Longer than any roster.
    #[error("the file is longer than {most} bytes")]
    TooLong {
        /// The most that is read.
        most: usize,
    },
    /// More rows than a school enrols at once.
    #[error("the file has more than {most} rows")]
    TooManyRows {
        /// The most rows that are read.
        most: usize,
    },
    /// A spreadsheet's own file, or a picture, or anything else that is not text.
    #[error("the file is not a text file: save the sheet as CSV first")]
    NotText,
    /// The encoding asked for is not known.
    #[error("the encoding {asked} is not known")]
    UnknownEncoding {
        /// What was asked for, at most 32 characters.
        asked: String,
    },
}

/// The whole file cannot be read as a roster.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RosterFault {
    /// It is no table at all, or too long a one.
    #[error(transparent)]
    Sheet(#[from] SheetFault),
    /// No column is headed as a name, so nothing can be matched.
    #[error(
        "none of the {columns} columns is headed as a name; the first line must name the columns"
    )]
    NoNameColumn {
        /// How many columns there are.
        columns: usize,
    },
    /// Two columns are headed as the same thing.
    #[error(transparent)]
    TwoColumns(#[from] TwoColumns<RosterField>),
    /// Some rows are bad, so none is taken.
    #[error("{count} rows cannot be read, so none was taken")]
    BadRows {
        /// How many.
        count: usize,
    },
}

/// One bad row.
pub type RowFault = BadRow<RosterField, RowReason>;

/// Why a row is bad.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum RowReason {
    /// Without a name nobody can be enrolled.
    #[error("the name is missing")]
    NoName,
    /// A text is too long.
    #[error("the {field} has {found} characters; the longest is {most}")]
    TooLong {
        /// Which.
        field: RosterField,
        /// Characters found.
        found: usize,
        /// The most, in characters.
        most: usize,
    },
    /// Another number of fields than the first line has.
    #[error("it has {found} fields; the first line has {expected}")]
    Fields {
        /// Fields in this row.
        found: usize,
        /// Fields in the first line.
        expected: usize,
    },
    /// Not a date.
    #[error("the birth date cannot be read; write it as year-month-day")]
    NoDate,
    /// Day and month could be either.
    #[error("the birth date could be two days; write it as year-month-day")]
    TwoDates,
    /// After today, or before 1900.
    #[error("the birth date is after today or before 1900")]
    OtherCentury,
    /// A name to call without a number, or the other way round.
    #[error("of the emergency contact only one half is there")]
    HalfContact,
    /// Kit of their own that is no kind of kit.
    #[error("what is brought is no kit that is known: suit, boots, fins, mask, bcd and so on")]
    UnknownKit,
    /// Bytes that are no text in this encoding.
    #[error("it holds bytes that are no text in this encoding; try another")]
    Undecodable,
    /// A quote that is never closed, which makes one field of several lines.
    #[error("a field goes on over the end of the line; a quote may not be closed")]
    Quotes,
}

impl From<NoDay> for RowReason {
    fn from(no: NoDay) -> Self {
        match no {
            NoDay::Unreadable => Self::NoDate,
            NoDay::OneOfTwo => Self::TwoDates,
            NoDay::Outside => Self::OtherCentury,
        }
    }
}

impl From<Amiss> for RowReason {
    fn from(amiss: Amiss) -> Self {
        match amiss {
            Amiss::Fields { found, expected } => Self::Fields { found, expected },
            Amiss::Undecodable => Self::Undecodable,
            Amiss::Quotes => Self::Quotes,
        }
    }
}
