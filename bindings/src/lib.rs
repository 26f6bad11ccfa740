//! The border: what a shell may ask of Tallywater's core.
//!
//! One object, [`Tallywater`], over one folder. A screen asks it for a view and draws what
//! it gets; a tap is a [`Request`] handed to [`Tallywater::record`]; a [`Listener`] is told
//! what to draw anew; a [`Fault`] says what went wrong by what a person can do about it.
//! Everything that crosses is a plain value: records, choices, texts. No shell, in whatever
//! language, holds a rule, adds two figures or reckons with dates.
//!
//! What the core shows crosses as the core has it: such a record or choice derives it there,
//! under the core's feature `border`, and is named here. What comes in as well and holds an id
//! or a day, and a view that holds what was on screen ([`OnScreen`]), is written here beside
//! the core's own by `mirror!`. Ids cross as texts; days as `2026-06-06`, moments as RFC 3339.
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

mod agenda;
mod attachment;
mod attempt_sheet;
mod board;
mod board_look;
mod bounds;
mod bundle;
mod calc;
mod calendar;
mod cell;
mod chart;
mod clock;
mod course;
mod cross;
mod debrief;
mod demo;
mod dives;
mod exchange;
mod export;
mod fault;
mod headcount;
mod incident;
mod kept;
mod key_store;
mod kit;
mod line_up;
mod link;
mod link_news;
mod listener;
mod look;
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
mod share;
mod shared;
mod site;
mod slate;
mod stopwatch;
mod student;
mod tallywater;
mod teams;
mod today;
mod typed;
mod upkeep;

pub use agenda::{
    AgendaFault, AgendaReason, AgendaView, Away, AwayRead, AwayRow, AwaysRead, HeldTogether,
    LostDayRow, LostDayView, ReadIs, Slot, SlotRead, SlotRow, SlotsRead,
};
pub use attachment::{AttachmentOf, FileHere, most_sound_bytes};
pub use attempt_sheet::AttemptSheetView;
pub use board::{BoardRow, BoardView};
pub use board_look::{Board, BoardUpdate, PlacedRow};
pub use bundle::{
    BundleSeen, Claim, DoubtCount, PartCheck, RecordCheck, Verification, verify_bundle,
};
pub use calc::*;
pub use cell::CellView;
pub use chart::{Chart, ChartLine, ChartOf};
pub use chrono::Weekday;
pub use clock::DeviceClock;
pub use demo::{DemoProgress, DemoSchool, build_demo};
pub use dives::{DiveSeen, LogSeen, ReadDive};
pub use exchange::{Welcome, course_ledger};
pub use export::NamedFile;
pub use fault::Fault;
pub use headcount::HeadcountView;
pub use kept::{KeptLine, KeptRow};
pub use key_store::KeyStore;
pub use kit::{
    KitColumn, KitListPreview, KitListRow, KitPiece, KitRow, KitRowFault, KitView, Sizes, SizesView,
};
pub use line_up::{LineUpRow, LineUpView};
pub use link::{
    CodeEnd, DeviceLink, Held, HeldBy, HeldRow, LateEntries, LinkView, NearbyDevice, Parting,
    ShownCode,
};
pub use link_news::{LinkListener, LinkNews, NotExchanged};
pub use listener::{Change, Listener};
pub use note::{NotesOn, NotesView};
pub use on_screen::OnScreen;
pub use outline::{
    Demand, Outline, OutlineBlock, OutlineFault, OutlineSkill, OutlineView, Skill, SkillMethod,
    SkillRun, Slip,
};
pub use paper::{
    OfficeSheet, PaperSetup, PaperTray, PrintedRecord, TakeHome, is_in_device_folder, save_file,
};
pub use plan::{AdultSeen, DiveLog, Origin, PersonDetails, ProfilePoint, SessionPlan, Who};
pub use planning::{
    Glance, breakable, german_starter_outline, outline_text, policy_text, read_outline,
    read_policy, read_prior, starter_outline, starter_policy, usual_prior,
};
pub use policy::{Policy, PolicyRule, PolicyView, Rule, RuleRow, RuleText};
pub use post::{answer, ask, ask_no_more};
pub use receipt::{EntryRef, Receipt};
pub use record::{RecordItem, RecordView};
pub use request::{
    Admission, Again, HoldOn, InWater, MarkTap, OutlineFrom, Request, Scope, StaffRole,
};
pub use rescue::{BackupSeen, Rescue};
pub use roster::{RosterColumn, RosterHints, RosterPreview, RosterRow, RowFault, Watch};
pub use season::{
    AgainAfter, AgainPlace, AgainRow, AgainSpan, HeldShare, MinutesRow, ProposedChange,
    SeasonJudges, SeasonProposal, SeasonView,
};
pub use session::{AheadAsked, Block, ProposalView, SessionView};
pub use share::share_of;
pub use shared::{SharedRow, SharedSide, SharedView};
pub use site::alarm_cards;
pub use slate::{SlateMark, SlateRemark, SlateSheet, SlateTimes};
pub use student::{FamilyCells, NamedCell, StudentView};
pub use tallywater::{Me, Stage, StateView, Tallywater};
pub use tallywater_core::calc::ascent::{AscentStanding, Verdict as AscentVerdict};
pub use tallywater_core::calc::caution::{Caution, Origin as FigureOrigin};
pub use tallywater_core::calc::check::{CheckedBy, Standing as FigureStanding};
pub use tallywater_core::calc::cylinder::Metal as CylinderMetal;
pub use tallywater_core::calc::evidence::{AttemptEnd, Level as EvidenceLevel};
pub use tallywater_core::calc::lead::{DropVerdict, InWaterCheck, LeadCause, LeadSource};
pub use tallywater_core::calc::no_stop::{
    DivesBefore, Group as NoStopGroup, Link as DiveLink, Opinion as ShorterOpinion, Recommendation,
};
pub use tallywater_core::calc::reserve::{GivesTo, Governs, TurnRule};
pub use tallywater_core::calc::source::Calculation;
pub use tallywater_core::calc::suit::{SuitAge, SuitKind};
pub use tallywater_core::calc::supervision::{
    Assistant as AssistantCount, Confirmation as PolicyConfirmation, Experience as DiveExperience,
    Setting as CeilingSetting, Standing as CeilingStanding, WaterMotion,
};
pub use tallywater_core::calc::water::Sea;
pub use tallywater_core::course::{
    Alarm, AscentsOf, Before, BlockId, BodyMeasures, CapOf, ClearanceKind, Condition, CourseId,
    EmergencyContact, EmergencyPlan, EntryId, Family, GasUsed, Gate, KitKind, KitName, KitWrong,
    LedgerId, Measure, Media as MediaKind, MethodId, MethodsNeeded, MinuteRange, PieceId,
    PolicyFault, Position, RecordClass, Requirement, Role, RuleId, RunBy, RunForm, RunPlace,
    SessionId, Setting, Site, SiteId, SkillId, SlipId, StaffId, StaffPaper, StudentId, WaterKind,
    WaterPlan, WeightCheck, WeightVerdict,
};
pub use tallywater_core::desk::paper::{
    BundleTaken, DivesTaken, KitListTaken, ReferredStudent, RosterTaken, TextRead, Whose,
};
pub use tallywater_core::desk::{
    Question, Readable as ReadableParts, SalvageTaken, StopwatchView, Timed,
};
pub use tallywater_core::entry::{
    AlarmEnd, ClearanceResult, CourseState, DebriefText, DeviceKey, FactAbout, Happening, KeptFile,
    Kind, Mark, Measured, Outcome, PartIn, Passage,
};
pub use tallywater_core::paper::data::TableName;
pub use tallywater_core::paper::kit_list::{KitField, KitRowReason, KitThere};
pub use tallywater_core::paper::retention::{Hold, KeptWhat, TextToRead};
pub use tallywater_core::paper::roster::{RosterField, RowReason, Twin, Twins};
pub use tallywater_core::paper::{
    AlarmCard, Language as PaperLanguage, Part as RecordPart, Printed, PrintedSlate, Slate,
    SlateBox, SlateCounted, SlateSize, SlateSkill, SlateStudent, Supervision as SlateSupervision,
};
pub use tallywater_core::plan::expect::Prior;
pub use tallywater_core::plan::{KitLineState, Missing, SiteMissing, StaffMissing, Why};
pub use tallywater_core::standing::CellState;
pub use tallywater_core::store::SummaryRow as CourseSummary;
pub use tallywater_core::trust::Doubt;
pub use tallywater_core::view::{
    ActivityRow, ActivityView, AlarmEndedRow, AlarmRow, Alert, AlertKind, ApartBecause, AtHand,
    AttachmentHere, AttachmentRow, AttachmentSaid, AttachmentsView, AttendanceRow, BarMinutes,
    BecauseView as Because, BoardColumn, BoardCounts, BoardGroup, BriefingCard, BriefingView,
    BuildsOn, CapExample, CellKey, ChartBar, ChartFact, Clash, ClearanceRow, ClearanceState,
    ClimbView, Columns, CompletionView, ConditionRow, Consider, ContactRow, CourseCard,
    CourseListView, CourseRow, CourseStaff, CourseStage, CourseView, Day, DayIs, DaySpan,
    DebriefCard, DebriefView, DemandView, DepthAgainst, DetailsView, DeviceRow, DeviceState,
    DiveDay, DiveRow, DiveSheetRow, DiveSheetView as DiveSheet, ElsewhereRow, Emergency,
    EmergencyHeld, EmergencyView, EndedOn, EvidenceView, Expectation, FactIs, FactRow, Figure,
    FigureKind, FormsRow, FormsView, GapRow, GapsView, GasOpen, HeadcountRow, HeldAnew,
    HistoryKind, HistoryLine, InSweep, IncidentRow, IncidentView, IncidentsView, JudgePair,
    KitFaultRow, KitIssueView, KitKindRow, KitLine, KitMendedRow, KitOutRow, KitPersonRow,
    KitRetiredRow, KitState, Known, LackingView as Lacking, Leave, LeftRow, LightView, Limit,
    LimitedBy, LineCounts, LineIs, LostAlong, LostApart, LostRow, MarkPair, MarkedHere, MarksGiven,
    MeasureCard, MeasureKind, MethodCard, MethodMet, Moment, Neighbours, NotShared,
    NotSharedBecause, NoteRow, OutlineName, OutlookRow, OutlookView, OverrideRow, OwnDiveRow,
    PairRow, PairingView, PersonRow, Place, Presence, RatioReason, RatioView, RecordRow,
    RecordState, RecordsView, ReportRow, RuleConfirmation, RunRow, Said, SaidBy, SeenBy,
    SessionCard, SessionListView, SessionName, SessionStaff, SessionState, SessionStudent,
    SessionWater, SetBy, SettingMet, Shows as ChartShows, Side, SiteView, SitesView, SkillCard,
    SkillEvidence, SkillNamed, SlipCard, Span as TimeSpan, Spot as ChartSpot, StaffGapRow,
    StaffName, StaffPaperRow, StaffRow, StaffView, StationRow, StationRunRow, StudentName, Taken,
    TakenWith, Tap, TeamOf, Tick as ChartTick, TimeSaid, TimelineRow, TimelineWhat, TimesInWater,
    ToConfirmRow, ToConfirmView, TodayView, UnitOfMeasure, Units, Unverified, WatchGroup,
    WatchPair, WaterView, WeightRow, WeightingView as Weighting, WhatIf, WhatIfRow, WhoName,
    WhyRow, Withdrawn, ZoneRow,
};
pub use teams::{Teams, TeamsApart, TeamsView, Zone};
pub use typed::{count_on, unit_symbol};
pub use upkeep::{Cared, Checked, LookedAfter};
