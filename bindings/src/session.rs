//! One session: students, staff, water, run list.

use tallywater_core::{course, view};

use crate::cross::mirror;
use crate::{
    ConditionRow, Lacking, Leave, LeftRow, Moment, PairingView, Prior, RatioView, RunRow,
    SessionPlan, SessionStaff, SessionState, SessionStudent, SessionWater, Setting, SiteMissing,
    StationRow, StudentName, WhoName, WhyRow,
};

mirror! {
    /// A session, planned or as a draft.
    shown record SessionView = view::SessionView {
        course: String,
        session: Option<String>,
        state: SessionState,
        cancelled: Option<String>,
        changes: u32,
        title: String,
        block: Option<String>,
        setting: Setting,
        site: String,
        bring: Option<String>,
        starts: Moment,
        ends: Moment,
        minutes: u16,
        students: Vec<SessionStudent>,
        staff: Vec<SessionStaff>,
        away: Vec<WhoName>,
        water: SessionWater,
        conditions: Vec<ConditionRow>,
        site_missing: Vec<SiteMissing>,
        ratio: Option<RatioView>,
        pairing: Option<PairingView>,
        run_list: Vec<RunRow>,
        run_minutes: u32,
        fits: bool,
        stations: Vec<StationRow>,
        could_add: Vec<RunRow>,
        blocks: Vec<Block>,
        sites: Vec<String>,
        after: Vec<String>,
        may_plan: Leave,
    }

    /// A proposed session: a plan to take over, and why it is as it is.
    shown record ProposalView = view::ProposalView {
        plan: SessionPlan,
        stations: Vec<StationRow>,
        why: Vec<WhyRow>,
        left_over: Vec<LeftRow>,
        unplaced: Vec<StudentName>,
        minutes: u16,
        gap_per_mille: u32,
        lacking: Option<Lacking>,
    }

    /// What is asked of a look ahead besides spans.
    asked record AheadAsked = view::AheadAsked {
        by: Option<String>,
        prior: Prior,
        what_if: bool,
        days_between: u16,
    }

    /// A usual session of the outline: what it is called, where, and its run list.
    both record Block = course::Block {
        id: String,
        title: String,
        setting: Setting,
        run_list: Vec<String>,
        minutes: u16,
    }
}
