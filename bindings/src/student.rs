//! One student's page.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{
    AttendanceRow, CellView, ClearanceRow, CompletionView, DetailsView, DiveRow, Family, GapsView,
    Leave, Moment, NoteRow, StudentName, WeightRow,
};

mirror! {
    /// One student.
    shown record StudentView = view::StudentView {
        course: String,
        name: StudentName,
        details: Option<DetailsView>,
        referred_from: Option<String>,
        enrolled: Option<Moment>,
        clearances: Vec<ClearanceRow>,
        gaps: GapsView,
        families: Vec<FamilyCells>,
        done: u32,
        of: u32,
        dives: Vec<DiveRow>,
        open_dives: u32,
        dives_needed: Option<u8>,
        weight: Option<WeightRow>,
        notes: Vec<NoteRow>,
        attendance: Vec<AttendanceRow>,
        came_to: u32,
        completion: Option<CompletionView>,
        may_complete: Leave,
        may_clear: Leave,
        may_amend: Leave,
    }

    /// The cells of a family.
    shown record FamilyCells = view::FamilyCells {
        family: Family,
        cells: Vec<NamedCell>,
        done: u32,
        of: u32,
    }

    /// A cell with its skill's name and its last date.
    shown record NamedCell = view::NamedCell {
        name: String,
        required: bool,
        cell: CellView,
        last_at: Option<Moment>,
    }
}
