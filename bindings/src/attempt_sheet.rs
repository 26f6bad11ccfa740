//! The attempt sheet: one student, one skill.

use tallywater_core::{course, view};

use crate::cross::mirror;
use crate::{CellState, CellView, HistoryLine, Neighbours, Setting, SkillCard, StudentName};

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

    /// How far each part of a demand is met, by tries that an instructor stands behind.
    shown record DemandView = view::DemandView {
        times_met: u8,
        times: u8,
        sessions_met: u8,
        sessions: u8,
        settings: Vec<SettingMet>,
        methods: Vec<MethodMet>,
    }

    /// A setting that a skill must be met in, and whether it was.
    shown tuple SettingMet = (course::Setting, bool) {
        setting: Setting,
        met: bool,
    }

    /// A way of doing a skill, and whether it was met.
    shown record MethodMet = view::MethodMet {
        method: String,
        asked: bool,
        met: bool,
    }

    /// A skill that another builds on.
    shown record BuildsOn = view::BuildsOn {
        skill: String,
        name: String,
        state: CellState,
    }
}
