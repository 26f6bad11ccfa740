//! The line-up: one skill, one student after another.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{
    CellView, InSweep, Leave, MarkedHere, Moment, Neighbours, Presence, SkillCard, StudentName,
    TeamOf,
};

mirror! {
    /// A skill and the students who stand in line for it.
    shown record LineUpView = view::LineUpView {
        course: String,
        session: Option<String>,
        session_title: Option<String>,
        skill: SkillCard,
        skills: Neighbours,
        skill_before: Option<String>,
        skill_after: Option<String>,
        rows: Vec<LineUpRow>,
        next: Option<String>,
        judged: u32,
        of: u32,
        absent: u32,
        sweep: u32,
        sweep_seen: Moment,
        may_mark: Leave,
    }

    /// A student in line.
    shown record LineUpRow = view::LineUpRow {
        name: StudentName,
        cell: CellView,
        today: Option<MarkedHere>,
        tries_today: u32,
        needed: bool,
        presence: Presence,
        water_gaps: u32,
        is_next: bool,
        team: TeamOf,
        sweep: InSweep,
    }
}
