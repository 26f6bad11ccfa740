//! The attempt sheet: one student, one skill.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{BuildsOn, CellView, DemandView, HistoryLine, Neighbours, SkillCard, StudentName};

mirror! {
    /// The sheet on which a try is judged.
    shown record AttemptSheetView = view::AttemptSheetView {
        course: String,
        session: Option<String>,
        name: StudentName,
        skill: SkillCard,
        cell: CellView,
        demand: DemandView,
        builds_on: Vec<BuildsOn>,
        history: Vec<HistoryLine>,
        views: Vec<HistoryLine>,
        waiting: Vec<String>,
        water_gaps: u32,
        students: Neighbours,
        next: Option<StudentName>,
        skills: Neighbours,
    }
}
