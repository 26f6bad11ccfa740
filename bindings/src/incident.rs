//! Incidents.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{Leave, Moment, StaffName, WhoName, Withdrawn};

mirror! {
    /// The incidents of a course, newest first.
    shown record IncidentsView = view::IncidentsView {
        course: String,
        rows: Vec<IncidentRow>,
        may_add: Leave,
    }

    /// One incident. The texts are personal: they go to the screen and nowhere else.
    shown private record IncidentRow = view::IncidentRow {
        entry: String,
        when: Moment,
        session: Option<String>,
        session_title: Option<String>,
        who: Vec<WhoName>,
        happened: String,
        done: String,
        reported: Option<String>,
        by: StaffName,
        at: Moment,
        withdrawn: Option<Withdrawn>,
        may_withdraw: Leave,
    }
}
