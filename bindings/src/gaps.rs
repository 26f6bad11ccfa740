//! Gaps: what is missing before water and before completion.

use tallywater_core::{plan, view};

use crate::cross::mirror;
use crate::{
    CellState, ClearanceKind, ClearanceResult, Condition, Day, Figure, Kind, KitName, KitWrong,
    Leave, StudentName,
};

mirror! {
    /// What is missing for one student.
    shown record GapsView = view::GapsView {
        course: String,
        name: StudentName,
        on: Day,
        before_water: Vec<GapRow>,
        before_open: Vec<GapRow>,
        before_completion: Vec<GapRow>,
        age_unknown: bool,
    }

    /// One gap.
    shown record GapRow = view::GapRow {
        what: Missing,
        skill_name: Option<String>,
        expired: Option<Day>,
        depth: Option<Figure>,
        closes_with: Kind,
        may_close: Leave,
    }

    /// What can be missing.
    shown enum Missing = plan::Missing {
        Policy,
        RuleUnconfirmed(rule: String),
        Outline,
        Age,
        TooYoung { least: u8 },
        Forbidden(condition: Condition),
        TooDeepForAge { under: u8, max_cm: u32 },
        Clearance(what: ClearanceKind),
        NotCleared(what: ClearanceKind, result: ClearanceResult),
        Expired(what: ClearanceKind, until: String),
        Skill { skill: String, state: CellState, met: u8, of: u8 },
        SlippedSince(skill: String),
        SkillNotThere(skill: String),
        Dives { have: u8, need: u8 },
        Kit { piece: KitName, wrong: KitWrong },
    }
}
