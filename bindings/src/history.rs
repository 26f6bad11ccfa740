//! History: everything that was said of one student and one skill.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{Day, Leave, Mark, Moment, NoteRow, Role, Setting, StaffName, Taken};

mirror! {
    /// One line of a cell's history.
    shown private record HistoryLine = view::HistoryLine {
        entry: String,
        what: HistoryKind,
        mark: Option<Mark>,
        by: StaffName,
        role: Role,
        device: String,
        at: Moment,
        method: Option<String>,
        method_name: Option<String>,
        taken: Vec<Taken>,
        slips: Vec<String>,
        note: Option<String>,
        elsewhere: Option<ElsewhereRow>,
        despite: Option<String>,
        remarks: Vec<NoteRow>,
        session: Option<String>,
        session_title: Option<String>,
        setting: Option<Setting>,
        site: Option<String>,
        from_slate: Option<Moment>,
        from_memory: Option<Moment>,
        counts: LineCounts,
        confirmed: Option<SaidBy>,
        withdrawn: Option<Withdrawn>,
        may_withdraw: Leave,
        may_confirm: Leave,
    }

    /// A skill that was met at another school.
    shown record ElsewhereRow = view::ElsewhereRow {
        school: String,
        file: String,
        by: Option<String>,
        on: Option<Day>,
    }

    /// Who, and when.
    shown tuple SaidBy = (view::StaffName, view::Moment) {
        by: StaffName,
        at: Moment,
    }

    /// A withdrawal, as it is shown beside what it took out.
    shown private record Withdrawn = view::Withdrawn {
        entry: String,
        by: StaffName,
        at: Moment,
        why: Option<String>,
        may_bring_back: Leave,
    }

    /// What kind of line.
    shown enum HistoryKind = view::HistoryKind {
        Attempt,
        Resolution,
        Exemption,
    }

    /// What a line counts for.
    shown enum LineCounts = view::LineCounts {
        Counts,
        Waits,
        SetAside,
        Withdrawn,
    }
}
