//! View: what each screen shows, worked out to the last figure. Pure.
//!
//! A view is a plain value built from a standing and a [`Reader`]: who looks, when, in
//! which units, knowing which names. Lists come in showing order, counts come counted,
//! times come split, and every button comes with whether it may be pressed, so that a
//! screen compares, counts and adds nothing. Words that need translating are enums; the
//! only sentences are those that people wrote.
//!
//! It asks [`crate::standing`] and [`crate::plan`], and never a disk, a network or a clock.

mod activity;
mod agenda;
mod allowed;
mod amount;
mod ascending;
mod at_hand;
mod attachment;
mod attempt_sheet;
mod board;
mod bounded;
mod briefing;
mod cell;
mod chart;
mod clash;
mod climb;
mod course;
mod course_list;
mod debrief;
mod dive_sheet;
mod draft;
mod earliest;
mod evidence;
mod exposure;
mod facts;
mod figure;
mod forms;
mod gaps;
mod gas;
mod headcount;
mod history;
mod incident;
mod judging;
mod kit;
mod kit_issue;
mod leave;
mod line_up;
mod lost;
mod lost_day;
mod moment;
mod note;
mod on_screen;
mod one_water;
mod outline;
mod outlook;
mod overriding;
mod own_dive;
mod pairing;
mod people;
mod policy;
mod proposal;
mod ratio;
mod reader;
mod record;
mod season;
mod session;
mod session_list;
mod shared;
mod site;
mod skill_card;
mod staff;
mod staff_gaps;
mod station;
mod student;
mod sweep;
mod teams;
mod timeline;
mod to_confirm;
mod today;
mod typed;
mod typed_moment;
mod water;
mod weighting;
mod what_now;

pub use crate::entry::Said;
pub use activity::{ActivityOf, ActivityRow, ActivityView, Unverified};
pub use agenda::{AgendaView, AwayRow, SlotRow};
pub use allowed::{Allowed, DepthAgainst};
pub use ascending::ascents_ahead;
pub(crate) use ascending::ascents_rule;
pub use at_hand::{AtHand, SessionName};
pub use attachment::{AttachmentHere, AttachmentRow, AttachmentSaid, AttachmentsView};
pub use attempt_sheet::{
    AttemptSheetView, BuildsOn, DemandView, MethodMet, Neighbours, SettingMet,
};
pub use board::{
    BoardChange, BoardColumn, BoardCounts, BoardGroup, BoardOf, BoardRow, BoardView, Columns,
};
pub use bounded::Bounded;
pub use briefing::{BriefingCard, BriefingView};
pub use cell::CellView;
pub use chart::{
    BarMinutes, Chart, ChartBar, ChartFact, ChartLine, ChartOf, FactIs, HEIGHT as CHART_HEIGHT,
    LineIs, Shows, Spot, Tick, WIDTH as CHART_WIDTH,
};
pub use clash::Clash;
pub use climb::ClimbView;
pub use course::{CourseStaff, CourseView};
pub use course_list::{CourseListView, CourseRow, CourseStage};
pub use debrief::{DebriefCard, DebriefView};
pub use dive_sheet::{DiveSheetRow, DiveSheetView};
pub use draft::{draft, make_up};
pub use earliest::{EarliestView, Ends, LimitedBy};
pub use evidence::{EvidenceView, JudgePair, MarkPair, MarksGiven, SkillEvidence};
pub use exposure::{ExposureRow, ExposureView, FlyFrom, NextDive};
pub(crate) use facts::KnownFacts;
pub(crate) use figure::Of;
pub use figure::{Figure, UnitOfMeasure, Units};
pub use forms::{FormsRow, FormsView};
pub use gaps::{GapRow, GapsView, missing_before};
pub use gas::{GasOpen, GasRow, GasView};
pub(crate) use headcount::afterwards;
pub use headcount::{HeadcountRow, HeadcountView, Place, TimeSaid, TimesInWater};
pub use history::{ElsewhereRow, HistoryKind, HistoryLine, LineCounts, SaidBy, Withdrawn};
pub use incident::{IncidentRow, IncidentsView};
pub use judging::{JudgesAgree, JudgingView, SkillJudged};
pub use kit::{
    KitAround, KitFaultRow, KitKindRow, KitMendedRow, KitOutRow, KitRetiredRow, KitRow, KitState,
    KitView,
};
pub use kit_issue::{KitIssueView, KitLine, KitPersonRow, SizesView};
pub use leave::Leave;
pub use line_up::{LineUpRow, LineUpView, MarkedHere, Presence};
pub use lost::{AlarmEndedRow, LostRow};
pub use lost_day::{
    ApartBecause, HeldAnew, HeldTogether, LostAlong, LostApart, LostDayRow, LostDayView,
};
pub use moment::{Day, DayIs, Moment, Span};
pub use note::{NoteRow, NotesOn, NotesView};
pub use on_screen::{OnScreen, Tap};
pub use one_water::Alongside;
pub use outline::{OutlineBlock, OutlineSkill, OutlineView, SetBy, SkillNamed};
pub use outlook::{
    AheadAsked, DaySpan, Expectation, OutlookAhead, OutlookRow, OutlookView, WhatIf, WhatIfRow,
};
pub use overriding::OverrideRow;
pub use own_dive::OwnDiveRow;
pub use pairing::{PairingView, pairing};
pub use people::{Known, People, StaffName, StudentName, WhoName};
pub use policy::{CapExample, PolicyView, RuleConfirmation, RuleRow};
pub use proposal::{BecauseView, LackingView, LeftRow, ProposalView, WhyRow};
pub use ratio::{Consider, RatioOf, RatioReason, RatioView, ratio};
pub use reader::Reader;
pub use record::{
    EndedOn, OutlineName, RecordItem, RecordRow, RecordState, RecordView, RecordsView,
};
pub use season::{
    AgainAfter, AgainPlace, AgainRow, AgainSpan, HeldShare, MinutesRow, ProposedChange,
    SeasonJudges, SeasonProposal, SeasonTold, SeasonView,
};
pub use session::{ConditionRow, RunRow, SessionStaff, SessionStudent, SessionView, SessionWater};
pub use session_list::{SessionCard, SessionListView, SessionState};
pub use shared::{NotShared, NotSharedBecause, SharedRow, SharedSide, SharedView};
pub(crate) use site::daylight;
pub use site::{
    AlarmRow, ContactRow, EmergencyHeld, EmergencyView, LightView, SiteView, SitesView,
    read_position,
};
pub use skill_card::{
    BadFigure, MeasureCard, MeasureKind, MethodCard, Side, SkillCard, SlipCard, Taken, TakenWith,
    read_measure, unit_of,
};
pub use staff::{DeviceRow, DeviceState, StaffPaperRow, StaffRow, StaffView};
pub use staff_gaps::StaffGapRow;
pub use station::{StationRow, StationRunRow};
pub use student::{
    AttendanceRow, ClearanceRow, ClearanceState, CompletionView, DetailsView, Emergency,
    FamilyCells, NamedCell, SeenBy, StudentView,
};
pub use sweep::InSweep;
pub(crate) use teams::fitting;
pub use teams::{PairRow, TeamOf, TeamsApart, TeamsView, WatchGroup, WatchPair, ZoneRow};
pub(crate) use timeline::said;
pub use timeline::{
    FactRow, IncidentView, PersonRow, ReportRow, TimelineAt, TimelineRow, TimelineWhat, timeline,
};
pub use to_confirm::{ToConfirmRow, ToConfirmView};
pub use today::{Alert, AlertKind, CellKey, CourseCard, CourseHere, TodayView};
pub use typed::{FigureKind, read_number};
pub use typed_moment::{typed_clock, typed_day};
pub use water::{DiveDay, DiveRow, Limit, WaterView, WeightRow};
pub use weighting::WeightingView;

#[cfg(test)]
mod tests;
