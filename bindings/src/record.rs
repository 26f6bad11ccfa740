//! A student's record, and a course's list of them.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{
    CellView, ClearanceRow, CompletionView, Day, DemandView, DiveRow, Family, GapRow, HistoryLine,
    Leave, OutlineName, OwnDiveRow, RecordState, StudentName,
};

mirror! {
    /// One student's record.
    shown record RecordView = view::RecordView {
        course: String,
        title: String,
        shop: Option<String>,
        starts: Option<Day>,
        outline: Option<OutlineName>,
        name: StudentName,
        state: RecordState,
        clearances: Vec<ClearanceRow>,
        items: Vec<RecordItem>,
        required: u32,
        done: u32,
        dives: Vec<DiveRow>,
        own_dives: Vec<OwnDiveRow>,
        gaps: Vec<GapRow>,
        completion: Option<CompletionView>,
        waiting: Vec<HistoryLine>,
        considered: Vec<String>,
        may_complete: Leave,
        may_end: Leave,
        may_confirm: Leave,
    }

    /// A skill in a record.
    shown record RecordItem = view::RecordItem {
        skill: String,
        name: String,
        family: Family,
        says: String,
        required: bool,
        cell: CellView,
        demand: DemandView,
        lines: Vec<HistoryLine>,
    }
}
