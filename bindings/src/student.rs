//! One student's page.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{
    ActivityRow, CellView, ClearanceKind, Day, DiveRow, Family, Figure, GapsView, Gate, Leave,
    Moment, NoteRow, Outcome, Place, StaffName, StudentName, TimeSpan, WeightRow,
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

    /// Contacts and age. Personal: it goes to the screen and nowhere else.
    shown private record DetailsView = view::DetailsView {
        name: String,
        called: Option<String>,
        born: Option<Day>,
        adult: Option<SeenBy>,
        age: Option<u32>,
        minor: Option<bool>,
        contact: Option<String>,
        emergency: Option<Emergency>,
    }

    /// By whom, and on which day.
    shown tuple SeenBy = (String, view::Day) {
        by: String,
        on: Day,
    }

    /// Whom to call, and how.
    shown tuple Emergency = (String, String) {
        name: String,
        reach: String,
    }

    /// A paper or a test.
    shown record ClearanceRow = view::ClearanceRow {
        what: ClearanceKind,
        state: ClearanceState,
        needed_before: Option<Gate>,
        seen: Option<Moment>,
        by: Option<StaffName>,
        until: Option<Day>,
        figure: Option<Figure>,
        entry: Option<String>,
        may_record: Leave,
    }

    /// How a paper or test stands.
    shown enum ClearanceState = view::ClearanceState {
        Missing,
        NotAsked,
        Cleared,
        Expired,
        Referred,
        NotCleared,
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

    /// A session and whether the student was there.
    shown record AttendanceRow = view::AttendanceRow {
        session: String,
        title: String,
        starts: Moment,
        place: Place,
        at: Option<Moment>,
        span: Option<TimeSpan>,
    }

    /// How a student's course ended.
    shown record CompletionView = view::CompletionView {
        entry: String,
        outcome: Outcome,
        at: Moment,
        by: StaffName,
        considered: u32,
        arrived_after: Vec<ActivityRow>,
        gone_since: Vec<ActivityRow>,
        may_withdraw: Leave,
    }
}
