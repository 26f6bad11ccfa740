//! Roster: a list of students from a spreadsheet, read as a preview that a person looks at
//! before anyone is enrolled. All or nothing: one bad row, and none is taken.
//!
//! It knows nothing of ledgers; [`crate::desk`] enrols what a preview accepts.
//! No fault ever quotes what stands in a cell: it may be somebody's name.

pub(in crate::paper) mod date;
mod fault;
mod field;
mod preview;
pub(in crate::paper) mod sheet;
mod sizes;
pub(in crate::paper) mod text;

pub use fault::{RosterFault, RowFault, RowReason, SheetFault};
pub use field::RosterField;
pub(in crate::paper) use field::plain;
pub use preview::{
    Accepted, Joins, Known, RosterPreview, RosterRow, Twin, Twins, read_names, read_roster,
};
pub use text::Hints;
