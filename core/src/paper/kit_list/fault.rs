//! What can be wrong with a list of kit, and with one row of it.

use super::KitField;
use crate::paper::preview::{Amiss, BadRow, TwoColumns};
use crate::paper::roster::SheetFault;
use crate::paper::roster::date::NoDay;

/// The whole file cannot be read as a list of kit.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum KitListFault {
    /// It is no table at all, or too long a one.
    #[error(transparent)]
    Sheet(#[from] SheetFault),
    /// A column that every piece needs is not there.
    #[error("none of the {columns} columns is headed as {field}; the first line must name them")]
    NoColumn {
        /// Which.
        field: KitField,
        /// How many columns there are.
        columns: usize,
    },
    /// Two columns are headed as the same thing.
    #[error(transparent)]
    TwoColumns(#[from] TwoColumns<KitField>),
    /// Some rows are bad, so none is taken.
    #[error("{count} rows cannot be read, so none was taken")]
    BadRows {
        /// How many.
        count: usize,
    },
}

/// One bad row.
pub type KitRowFault = BadRow<KitField, KitRowReason>;

/// Why a row is bad.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum KitRowReason {
    /// It does not say what the piece is.
    #[error("the kind is missing")]
    NoKind,
    /// It says something that is no kind of kit.
    #[error(
        "the kind is none of suit, boots, fins, mask, bcd, regulator, cylinder, weights, computer, other"
    )]
    UnknownKind,
    /// The piece has no number.
    #[error("the number is missing")]
    NoNumber,
    /// A text is too long.
    #[error("the {field} has {found} characters; the longest is {most}")]
    TooLong {
        /// Which.
        field: KitField,
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
    #[error("the date cannot be read; write it as year-month-day")]
    NoDate,
    /// Day and month could be either.
    #[error("the date could be two days; write it as year-month-day")]
    TwoDates,
    /// Before 2000 or after 2199.
    #[error("the date is before 2000 or after 2199")]
    OtherCentury,
    /// An earlier line of the file has a piece of this kind and number.
    #[error("line {first} has a piece of this kind and number already")]
    TwiceInFile {
        /// Which line.
        first: u64,
    },
    /// Bytes that are no text in this encoding.
    #[error("it holds bytes that are no text in this encoding; try another")]
    Undecodable,
    /// A quote that is never closed, which makes one field of several lines.
    #[error("a field goes on over the end of the line; a quote may not be closed")]
    Quotes,
}

impl From<NoDay> for KitRowReason {
    fn from(no: NoDay) -> Self {
        match no {
            NoDay::Unreadable => Self::NoDate,
            NoDay::OneOfTwo => Self::TwoDates,
            NoDay::Outside => Self::OtherCentury,
        }
    }
}

impl From<Amiss> for KitRowReason {
    fn from(amiss: Amiss) -> Self {
        match amiss {
            Amiss::Fields { found, expected } => Self::Fields { found, expected },
            Amiss::Undecodable => Self::Undecodable,
            Amiss::Quotes => Self::Quotes,
        }
    }
}
