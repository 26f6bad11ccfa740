//! One session: students, staff, water, run list.

use tallywater_core::{course, view};

use crate::cross::mirror;
use crate::{
    Figure, GapRow, Leave, Limit, Moment, Outcome, RatioView, Role, SessionState, Setting,
    StaffName, StudentName, WaterKind,
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
        starts: Moment,
        ends: Moment,
        minutes: u16,
        students: Vec<SessionStudent>,
        staff: Vec<SessionStaff>,
        water: SessionWater,
        ratio: Option<RatioView>,
        run_list: Vec<RunRow>,
        run_minutes: u32,
        fits: bool,
        could_add: Vec<RunRow>,
        blocks: Vec<Block>,
        sites: Vec<String>,
        after: Vec<String>,
        may_plan: Leave,
    }

    /// A student in a session's plan.
    shown record SessionStudent = view::SessionStudent {
        name: StudentName,
        chosen: bool,
        ended: Option<Outcome>,
        gaps: Vec<GapRow>,
        needs: u32,
        dives_that_day: u32,
        dives_limit: Limit,
    }

    /// A member of staff in a session's plan.
    shown record SessionStaff = view::SessionStaff {
        name: StaffName,
        role: Option<Role>,
        chosen: bool,
    }

    /// The water a session expects.
    shown record SessionWater = view::SessionWater {
        kind: WaterKind,
        max_depth: Option<Figure>,
        depth_limit: Limit,
        depth_allowed: Option<Figure>,
        altitude: Option<Figure>,
        temperature: Option<Figure>,
        visibility: Option<Figure>,
        moving: bool,
    }

    /// A skill on a run list.
    shown record RunRow = view::RunRow {
        skill: String,
        name: String,
        place: u32,
        needed_by: Vec<StudentName>,
        not_ready: u32,
        minutes: u16,
        suits: bool,
        hazard: bool,
    }

    /// A proposed run list with what is left and how long it takes.
    shown record ProposalView = view::ProposalView {
        run: Vec<RunRow>,
        left_over: Vec<RunRow>,
        minutes: u16,
        forecast: Option<ForecastView>,
    }

    /// Teaching time that is left: a span, never a date.
    shown record ForecastView = view::ForecastView {
        quick_minutes: u32,
        slow_minutes: u32,
        quick_sessions: u32,
        slow_sessions: u32,
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
