//! Kit list: the school's kit from a spreadsheet, read as a preview that a person looks at
//! before any piece is described. All or nothing: one bad row, and none is taken.
//!
//! Read as a [roster](crate::paper::roster) is: any usual encoding and delimiter, columns found
//! by their heads, faults by line.

mod fault;
mod field;
mod preview;

pub use fault::{KitListFault, KitRowFault, KitRowReason};
pub use field::KitField;
pub(in crate::paper) use field::kind_of;
pub use preview::{KitAccepted, KitListPreview, KitListRow, KitThere, read_kit_list};
