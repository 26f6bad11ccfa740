//! A student's record, and a course's list of them.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{
    CellView, ClearanceRow, CompletionView, Day, DemandView, DiveRow, Family, GapRow, HistoryLine,
    Leave, Outcome, OwnDiveRow, StaffName, StudentName,
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

    /// An outline by name.
    shown tuple OutlineName = (String, u32, String) {
        title: String,
        edition: u32,
        source: String,
    }

    /// How a student's record stands.
    shown enum RecordState = view::RecordState {
        Open(gaps: u32),
        Ready,
        Ended(outcome: Outcome),
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

    /// The records of a course.
    shown record RecordsView = view::RecordsView {
        course: String,
        rows: Vec<RecordRow>,
        completed: u32,
        ready: u32,
        waiting: Vec<String>,
        may_confirm: Leave,
    }

    /// A student in the list of records.
    shown record RecordRow = view::RecordRow {
        name: StudentName,
        state: RecordState,
        ended: Option<EndedOn>,
        changed_since: u32,
        waiting: u32,
    }

    /// On which day, and by whom.
    shown tuple EndedOn = (view::Day, view::StaffName) {
        on: Day,
        by: StaffName,
    }
}
