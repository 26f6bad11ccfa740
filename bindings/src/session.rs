//! One session: students, staff, water, run list.

use tallywater_core::{course, plan, view};

use crate::cross::mirror;
use crate::{
    Condition, Day, Figure, GapRow, Kind, KitName, KitWrong, Leave, Limit, Moment, Outcome,
    RatioView, Role, RunForm, RunPlace, SessionPlan, SessionState, Setting, SiteMissing, StaffName,
    StaffPaper, StudentName, WaterKind, WhoName,
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

    /// A student in a session's plan.
    shown record SessionStudent = view::SessionStudent {
        name: StudentName,
        chosen: bool,
        ended: Option<Outcome>,
        gaps: Vec<GapRow>,
        overrides: Vec<OverrideRow>,
        may_override: Vec<String>,
        ascents: u32,
        ascents_limit: Limit,
        needs: u32,
        dives_that_day: u32,
        dives_limit: Limit,
    }

    /// A planned depth against the rules, as it is said beside every figure made from it.
    shown record DepthAgainst = view::DepthAgainst {
        limit: Limit,
        most: Option<Figure>,
        rule: Option<String>,
    }

    /// The young of a session, who of age can dive beside them, and whose age is not known.
    shown record PairingView = view::PairingView {
        under: u8,
        young: u32,
        grown: u32,
        assistants: u32,
        unknown: u32,
        limit: Limit,
        rule: String,
    }

    /// What an instructor set aside for a student in a session.
    shown record OverrideRow = view::OverrideRow {
        entry: String,
        skills: Vec<String>,
        why: String,
        by: StaffName,
        at: Moment,
        may_withdraw: Leave,
    }

    /// A member of staff in a session's plan.
    shown record SessionStaff = view::SessionStaff {
        name: StaffName,
        role: Option<Role>,
        chosen: bool,
        gaps: Vec<StaffGapRow>,
        ascents: u32,
        ascents_limit: Limit,
    }

    /// Something that a session is besides its setting.
    shown record ConditionRow = view::ConditionRow {
        what: Condition,
        on: bool,
        limit: Limit,
    }

    /// One thing that a member of staff lacks.
    shown record StaffGapRow = view::StaffGapRow {
        what: StaffMissing,
        ended: Option<Day>,
        closes_with: Kind,
        may_close: Leave,
    }

    /// What a member of staff can lack.
    shown enum StaffMissing = plan::StaffMissing {
        RuleUnconfirmed(rule: String),
        NotRecorded(paper: StaffPaper),
        Ended(paper: StaffPaper, until: String),
        Kit { piece: KitName, wrong: KitWrong },
    }

    /// The water a session expects.
    shown record SessionWater = view::SessionWater {
        kind: WaterKind,
        max_depth: Option<Figure>,
        depth_limit: Limit,
        depth_allowed: Option<Figure>,
        depth_rule: Option<String>,
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

    /// A station of a session.
    shown record StationRow = view::StationRow {
        staff: StaffName,
        role: Option<Role>,
        runs: Vec<StationRunRow>,
        buddies: Vec<Vec<StudentName>>,
        spare: u16,
    }

    /// One skill at a station.
    shown record StationRunRow = view::StationRunRow {
        skill: String,
        name: String,
        from: Moment,
        minutes: u16,
        kept: u16,
        form: RunForm,
        place: RunPlace,
        students: Vec<StudentName>,
        hazard: bool,
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

    /// Why a skill was chosen.
    shown record WhyRow = view::WhyRow {
        skill: String,
        name: String,
        why: Why,
    }

    /// Why a skill was chosen, in figures.
    shown record Why = plan::Why {
        needed_by: u16,
        behind: u16,
        finishing: u16,
        slipped: u16,
        pinned: bool,
        routine: bool,
    }

    /// A skill that is open and not run, or not with everyone.
    shown record LeftRow = view::LeftRow {
        skill: String,
        name: String,
        students: Vec<StudentName>,
        because: Because,
    }

    /// Why a skill was left out.
    shown enum Because = view::BecauseView {
        Minutes(short: u16),
        First(skill: String),
        Instructor,
        Ascents,
        Asked,
        Worth,
    }

    /// What is missing so that a session could be proposed.
    shown enum Lacking = view::LackingView {
        Outline,
        Students,
        Staff,
        Minutes,
        Ring(skill: String),
        Nothing,
        Over,
    }

    /// What is asked of a look ahead besides spans.
    asked record AheadAsked = view::AheadAsked {
        by: Option<String>,
        prior: Prior,
        what_if: bool,
        days_between: u16,
    }

    /// Where every skill begins before any try, in tries: so many met, so many missed.
    both record Prior = plan::expect::Prior {
        met: u32,
        missed: u32,
    }

    /// What to expect of a course, for those who plan, never for a student.
    shown record OutlookView = view::OutlookView {
        rows: Vec<OutlookRow>,
        class: Expectation,
        reaches: u32,
        tries: u32,
        elsewhere: u32,
        prior_met: u32,
        prior_of: u32,
        ways: u32,
        unended: u32,
        by: Option<Day>,
        until_then: u32,
        what_if: Vec<WhatIfRow>,
        lacking: Option<Lacking>,
    }

    /// What one thing more, or one student fewer, would change.
    shown record WhatIfRow = view::WhatIfRow {
        what: WhatIf,
        class: Expectation,
    }

    /// One thing more, or one student fewer.
    shown enum WhatIf = view::WhatIf {
        Session,
        Assistant,
        Without(name: StudentName),
    }

    /// One student's end.
    shown record OutlookRow = view::OutlookRow {
        name: StudentName,
        end: Expectation,
    }

    /// More sessions until an end.
    shown record Expectation = view::Expectation {
        middle: u32,
        half_from: u32,
        half_to: u32,
        most_from: u32,
        most_to: u32,
        by: Option<Day>,
        half_days: Option<DaySpan>,
        most_days: Option<DaySpan>,
        within_planned: u32,
        planned: u32,
        slots: u32,
        dates: u32,
        by_then: Option<u32>,
    }

    /// From a day to a day, both counted in.
    shown record DaySpan = view::DaySpan {
        from: Day,
        to: Day,
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
