//! Activity: what happened in a course, line by line.

use tallywater_core::{course, trust, view};

use crate::cross::mirror;
use crate::{
    ClearanceKind, ClearanceResult, Doubt, Kind, Leave, Mark, Moment, Outcome, Passage, Role,
    StaffName, WhoName, Withdrawn,
};

mirror! {
    /// The journal of a course.
    shown record ActivityView = view::ActivityView {
        course: String,
        rows: Vec<ActivityRow>,
        of: u32,
        unverified: Vec<Unverified>,
        newer: Vec<String>,
    }

    /// A line that counts for nothing, and why.
    shown tuple Unverified = (course::EntryId, trust::Doubt) {
        entry: String,
        doubt: Doubt,
    }

    /// One line.
    shown record ActivityRow = view::ActivityRow {
        entry: String,
        kind: Kind,
        by: StaffName,
        role: Role,
        device: String,
        at: Moment,
        who: Vec<WhoName>,
        skill: Option<String>,
        skill_name: Option<String>,
        session: Option<String>,
        session_title: Option<String>,
        said: Said,
        withdrawn: Option<Withdrawn>,
        may_withdraw: Leave,
    }

    /// What a line said, as far as a word or a figure says it.
    shown enum Said = view::Said {
        Nothing,
        Mark(mark: Mark),
        Clearance(what: ClearanceKind, result: ClearanceResult),
        Passage(passage: Passage),
        Outcome(outcome: Outcome),
        Confirmed(count: u32),
        Withdrew(kind: Option<Kind>),
        Assigned(role: Role),
    }
}
