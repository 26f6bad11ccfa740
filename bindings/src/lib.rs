//! The border: what a shell may ask of Tallywater's core.
//!
//! One object, [`Tallywater`], over one folder. A screen asks it for a view and draws what
//! it gets; a tap is a [`Request`] handed to [`Tallywater::record`]; a [`Listener`] is told
//! what to draw anew; a [`Fault`] says what went wrong by what a person can do about it.
//! Everything that crosses is a plain value: records, choices, texts. No shell, in whatever
//! language, holds a rule, adds two figures or reckons with dates.
//!
//! Every record mirrors a type of `tallywater_core`, by the same name and with the same
//! fields: what a field means is said there. Ids cross as texts; days as `2026-06-06`,
//! moments as RFC 3339.
//!
//! This room knows the core's desk, views and calculations, and nothing of any screen.

#![allow(
    clippy::result_large_err,
    reason = "a fault crosses the border by value, with its fields, and is rare"
)]
#![allow(
    clippy::missing_errors_doc,
    reason = "every function here fails with Fault, which documents each failure once"
)]
#![allow(
    clippy::needless_pass_by_value,
    reason = "what crosses the border is owned by whoever receives it"
)]

uniffi::setup_scaffolding!("tallywater");

mod activity;
mod agenda;
mod attachment;
mod attempt_sheet;
mod beside;
mod board;
mod board_look;
mod bounds;
mod briefing;
mod bundle;
mod calc;
mod calendar;
mod cell;
mod chart;
mod clock;
mod clock_text;
mod course;
mod course_list;
mod cross;
mod debrief;
mod demo;
mod dives;
mod evidence;
mod exchange;
mod export;
mod fault;
mod figure;
mod gaps;
mod headcount;
mod history;
mod incident;
mod kept;
mod key_store;
mod kit;
mod line_up;
mod link;
mod link_news;
mod listener;
mod look;
mod moment;
mod name;
mod note;
mod on_screen;
mod outline;
mod paper;
mod paper_fault;
mod plan;
mod planning;
mod policy;
mod post;
mod receipt;
mod record;
mod recovery;
mod request;
mod rescue;
mod roster;
mod season;
mod session;
mod session_list;
mod share;
mod shared;
mod site;
mod skill_card;
mod slate;
mod staff;
mod stopwatch;
mod student;
mod tallywater;
mod teams;
mod today;
mod typed;
mod upkeep;
mod water;
mod word;

pub use activity::{ActivityRow, ActivityView, Said, Unverified};
pub use agenda::{
    AgendaFault, AgendaReason, AgendaView, Away, AwayRead, AwayRow, AwaysRead, HeldAnew,
    HeldTogether, LostDayRow, LostDayView, ReadIs, Slot, SlotRead, SlotRow, SlotsRead,
};
pub use attachment::{
    AttachmentHere, AttachmentOf, AttachmentRow, AttachmentSaid, AttachmentsView, FileHere,
    KeptFile, MediaKind, most_sound_bytes,
};
pub use attempt_sheet::{AttemptSheetView, BuildsOn, DemandView, MethodMet, SettingMet};
pub use beside::{CellKey, Neighbours};
pub use board::{BoardColumn, BoardCounts, BoardGroup, BoardRow, BoardView, Columns};
pub use board_look::{Board, BoardUpdate, PlacedRow};
pub use briefing::{BriefingCard, BriefingView};
pub use bundle::{
    BundleSeen, BundleTaken, Claim, DoubtCount, PartCheck, Printed, RecordCheck, RecordPart,
    ReferredStudent, Verification, Whose, verify_bundle,
};
pub use calc::*;
pub use cell::CellView;
pub use chart::{
    Chart, ChartBar, ChartFact, ChartLine, ChartOf, ChartShows, ChartSpot, ChartTick, FactIs,
    LineIs,
};
pub use clock::DeviceClock;
pub use course::{Clash, CourseStaff, CourseView, FormsRow, FormsView};
pub use course_list::{CourseListView, CourseRow};
pub use debrief::{DebriefCard, DebriefKept, DebriefText, DebriefView};
pub use demo::{DemoProgress, DemoSchool, build_demo};
pub use dives::{DiveSeen, DiveSheet, DiveSheetRow, DivesTaken, LogSeen, OwnDiveRow, ReadDive};
pub use evidence::{EvidenceView, JudgePair, MarkPair, MarksGiven, SkillEvidence};
pub use exchange::{CourseSummary, Welcome, course_ledger};
pub use export::{NamedFile, TableName};
pub use fault::Fault;
pub use figure::{Figure, UnitOfMeasure};
pub use gaps::{GapRow, GapsView, Missing};
pub use headcount::{HeadcountRow, HeadcountView, Place, TimeSaid, TimesInWater};
pub use history::{ElsewhereRow, HistoryKind, HistoryLine, LineCounts, SaidBy, Withdrawn};
pub use incident::{
    FactAbout, FactRow, Happening, IncidentRow, IncidentView, IncidentsView, PartIn, PersonRow,
    ReportRow, TimelineRow, TimelineWhat,
};
pub use kept::{Hold, KeptLine, KeptRow, KeptWhat, TextRead, TextToRead};
pub use key_store::KeyStore;
pub use kit::{
    KitColumn, KitFaultRow, KitField, KitIssueView, KitKind, KitKindRow, KitLine, KitLineState,
    KitListPreview, KitListRow, KitListTaken, KitMendedRow, KitName, KitOutRow, KitPersonRow,
    KitPiece, KitRetiredRow, KitRow, KitRowFault, KitRowReason, KitState, KitThere, KitView,
    KitWrong, Sizes, SizesView,
};
pub use line_up::{InSweep, LineUpRow, LineUpView, MarkedHere, Presence};
pub use link::{
    CodeEnd, DeviceLink, Held, HeldBy, HeldRow, LateEntries, LinkView, NearbyDevice, Parting,
    ShownCode,
};
pub use link_news::{LinkListener, LinkNews, NotExchanged};
pub use listener::{Change, Listener};
pub use moment::{Day, DayIs, Moment, TimeSpan, Weekday};
pub use name::{Known, StaffName, StudentName, WhoName, finds_name};
pub use note::{NoteRow, NotesOn, NotesView};
pub use on_screen::{OnScreen, Tap};
pub use outline::{
    Demand, Measure, MinuteRange, Outline, OutlineBlock, OutlineFault, OutlineSkill, OutlineView,
    Requirement, RunBy, RunForm, RunPlace, SetBy, Skill, SkillMethod, SkillNamed, SkillRun, Slip,
};
pub use paper::{
    OfficeSheet, PaperLanguage, PaperSetup, PaperTray, PrintedRecord, SlateSize, TakeHome,
    is_in_device_folder, save_file,
};
pub use plan::{
    AdultSeen, BodyMeasures, DiveLog, EmergencyContact, GasUsed, Measured, Origin, PersonDetails,
    ProfilePoint, SessionPlan, WaterPlan, WeightCheck, Who,
};
pub use planning::{
    Glance, german_starter_outline, outline_text, policy_text, read_outline, read_policy,
    read_prior, starter_outline, starter_policy, usual_prior,
};
pub use policy::{
    Before, CapExample, CapOf, Policy, PolicyFault, PolicyRule, PolicyView, Rule, RuleConfirmation,
    RuleRow, RuleText,
};
pub use post::{Question, answer, ask, ask_no_more};
pub use receipt::{EntryRef, Receipt};
pub use record::{
    EndedOn, OutlineName, RecordItem, RecordRow, RecordState, RecordView, RecordsView,
};
pub use request::{
    Admission, Again, HoldOn, InWater, MarkTap, OutlineFrom, Request, Scope, StaffRole,
};
pub use rescue::{BackupSeen, ReadableParts, Rescue, SalvageTaken};
pub use roster::{
    RosterColumn, RosterField, RosterHints, RosterPreview, RosterRow, RosterTaken, RowFault,
    RowReason, Twin, Twins, Watch,
};
pub use season::{
    AgainAfter, AgainPlace, AgainRow, AgainSpan, HeldShare, MinutesRow, ProposedChange,
    SeasonJudges, SeasonProposal, SeasonView,
};
pub use session::{
    AheadAsked, Because, Block, ConditionRow, DaySpan, DepthAgainst, Expectation, Lacking, LeftRow,
    OutlookRow, OutlookView, OverrideRow, PairingView, Prior, ProposalView, RunRow, SessionStaff,
    SessionStudent, SessionView, SessionWater, StaffGapRow, StaffMissing, StationRow,
    StationRunRow, WhatIf, WhatIfRow, Why, WhyRow,
};
pub use session_list::{
    Consider, RatioReason, RatioView, SessionCard, SessionListView, SessionState,
};
pub use share::share_of;
pub use shared::{NotShared, NotSharedBecause, SharedRow, SharedSide, SharedView};
pub use site::{
    Alarm, AlarmCard, AlarmEnd, AlarmEndedRow, AlarmRow, ContactRow, EmergencyHeld, EmergencyPlan,
    EmergencyView, LightView, LostRow, Position, Site, SiteMissing, SiteView, SitesView,
    alarm_cards,
};
pub use skill_card::{
    MeasureCard, MeasureKind, MethodCard, Side, SkillCard, SlipCard, Taken, TakenWith,
};
pub use slate::{
    PrintedSlate, Slate, SlateBox, SlateCounted, SlateMark, SlateRemark, SlateSheet, SlateSkill,
    SlateStudent, SlateSupervision, SlateTimes,
};
pub use staff::{DeviceRow, DeviceState, StaffPaperRow, StaffRow, StaffView};
pub use stopwatch::{StopwatchView, Timed};
pub use student::{
    AttendanceRow, ClearanceRow, ClearanceState, CompletionView, DetailsView, Emergency,
    FamilyCells, NamedCell, SeenBy, StudentView,
};
pub use tallywater::{Me, Stage, StateView, Tallywater};
pub use teams::{
    PairRow, TeamOf, Teams, TeamsApart, TeamsKept, TeamsView, WatchGroup, WatchPair, Zone, ZoneRow,
};
pub use today::{
    Alert, AlertKind, AtHand, CourseCard, CourseStage, SessionName, ToConfirmRow, ToConfirmView,
    TodayView,
};
pub use typed::{FigureKind, count_on, unit_symbol};
pub use upkeep::{Cared, Checked, LookedAfter};
pub use water::{ClimbView, DiveDay, DiveRow, WaterView, WeightRow};
pub use word::{
    AscentsOf, CellState, ClearanceKind, ClearanceResult, Condition, CourseState, Doubt, Family,
    Gate, Kind, Leave, Limit, Mark, MethodsNeeded, Outcome, Passage, RecordClass, Role, Setting,
    StaffPaper, Units, WaterKind, WeightVerdict,
};
