//! Request: what a person asks for. One variant a thing that can be tapped.
//!
//! Figures come in base units, as [`read_figure`](crate::Tallywater::read_figure) and
//! [`read_measure`](crate::Tallywater::read_measure) give them; ids, days and times as the texts they
//! crossed as.

use std::sync::Arc;

use tallywater_core::{course, desk};

use crate::cross::mirror;
use crate::{
    Alarm, AlarmEnd, Away, ClearanceKind, ClearanceResult, CourseState, DebriefText, DiveLog,
    EmergencyPlan, FactAbout, Happening, KitPiece, Mark, Measured, OnScreen, Origin, Outcome,
    Outline, PartIn, Passage, PersonDetails, Policy, Role, RuleText, SessionPlan, Site, Sizes,
    Slot, StaffPaper, Teams, WeightCheck, Who,
};

mirror! {
    /// What a person asks for.
    asked private enum Request = desk::Request {
        RenameShop { name: String },
        JoinStaff { name: String },
        RenameStaff { staff: String, name: String },
        RenewStaff { staff: String, what: StaffPaper, until: Option<String> },
        Admit(admission: Admission),
        Revoke { key: String, why: String },
        AcceptLate { ledger: String, entries: Vec<String> },
        SetOutline { scope: Scope, outline: Outline, why: Option<String> },
        SetPolicy { scope: Scope, policy: Policy },
        ConfirmRules { scope: Scope, rules: Vec<String>, read: RuleText },
        OpenCourse {
            title: String,
            starts: String,
            place: Option<String>,
            outline: OutlineFrom,
            staff: Vec<StaffRole>,
        },
        RetitleCourse { course: String, title: String, starts: String, place: Option<String> },
        ListCourse { course: String, state: CourseState },
        AssignStaff { course: String, staff: String, role: Role },
        TakeOffStaff { course: String, staff: String },
        Enrol { course: String, details: PersonDetails, referred_from: Option<String> },
        EnrolAgain { course: String, student: String, referred_from: Option<String> },
        Amend { course: String, student: String, details: PersonDetails },
        PlanSession { course: String, session: Option<String>, plan: SessionPlan },
        MoveSession { course: String, session: String, starts: String, site: String, why: String },
        CancelSession { course: String, session: String, why: String },
        Clear {
            course: String,
            student: String,
            what: ClearanceKind,
            result: ClearanceResult,
            until: Option<String>,
            figure: Option<u32>,
        },
        Pass { course: String, session: String, who: Who, passage: Passage, when: Option<String> },
        SetTimes { course: String, session: String, who: Who, dives: Vec<InWater> },
        Mark(tap: MarkTap),
        Confirm { course: String, attempts: Vec<String> },
        Resolve { on: Arc<OnScreen>, mark: Mark, why: String },
        Exempt { on: Arc<OnScreen>, why: String },
        Override {
            course: String,
            student: String,
            session: String,
            skills: Vec<String>,
            why: String,
        },
        Withdraw { ledger: String, entry: String, why: Option<String> },
        Note {
            course: String,
            student: Option<String>,
            skill: Option<String>,
            session: Option<String>,
            entry: Option<String>,
            text: String,
        },
        CheckWeight {
            course: String,
            student: String,
            session: Option<String>,
            check: WeightCheck,
        },
        LogDive { course: String, who: Who, session: Option<String>, log: DiveLog },
        ReportIncident {
            course: String,
            session: Option<String>,
            who: Vec<Who>,
            when: String,
            happened: String,
            done: String,
            reported: Option<String>,
        },
        Debrief { course: String, session: String, student: String, said: DebriefText },
        SetSite { site: Option<String>, details: Site },
        SetSlot { slot: Slot, dropped: bool },
        SetAway { course: Option<String>, who: Who, away: Away, dropped: bool },
        SetEmergency { site: String, plan: EmergencyPlan },
        ConfirmEmergency { site: String, plan: String },
        RaiseAlarm { course: String, session: String, what: Alarm, when: Option<String> },
        SetTeams { course: String, session: String, teams: Teams, seen: Vec<String> },
        MoveBuddy { course: String, session: String, who: Who, beside: Option<Who> },
        MoveZone { course: String, session: String, student: String, staff: Option<String> },
        LoseBuddy {
            course: String,
            session: String,
            missing: Vec<Who>,
            reported_by: Option<Who>,
            when: Option<String>,
        },
        EndAlarm { course: String, alarm: String, how: AlarmEnd, when: Option<String> },
        BeginIncident {
            course: String,
            session: Option<String>,
            who: Vec<Who>,
            when: Option<String>,
            from: Option<String>,
        },
        AddIncidentMoment {
            course: String,
            incident: String,
            what: Happening,
            when: Option<String>,
            who: Option<Who>,
            text: Option<String>,
        },
        AddIncidentPerson {
            course: String,
            incident: String,
            part: PartIn,
            who: Option<Who>,
            text: Option<String>,
        },
        AddIncidentFact { course: String, incident: String, about: FactAbout, text: String },
        AddIncidentReport { course: String, incident: String, to: String, by: Option<String> },
        ReportMade { course: String, report: String, on: Option<String> },
        SayOfAttachment { course: String, attachment: String, text: String },
        SetKit { piece: Option<String>, details: KitPiece },
        RetireKit { piece: String, why: String },
        ReportKitFault { piece: String, what: String, when: Option<String> },
        MendKit { fault: String, how: String, when: Option<String> },
        IssueKit {
            course: String,
            session: String,
            piece: String,
            to: Who,
            despite: Option<String>,
            when: Option<String>,
        },
        ReturnKit { course: String, issue: String, fault: Option<String>, when: Option<String> },
        SetSizes { course: String, student: String, sizes: Sizes },
        Complete { course: String, student: String, outcome: Outcome, considered: Vec<String> },
        Forget { student: String, why: String },
        SetHold { on: HoldOn, why: String, until: Option<String> },
        DropCourse { course: String, why: String },
    }

    /// The shop's book or a course's: where an outline or a policy belongs.
    both enum Scope = desk::Scope {
        Shop,
        Course(course: String),
    }

    /// Where a new course takes its outline from.
    asked enum OutlineFrom = desk::OutlineFrom {
        School,
        Starter,
        Course(course: String),
    }

    /// What a hold keeps from being deleted.
    both enum HoldOn = tallywater_core::entry::HoldOn {
        Student(student: String),
        Course(course: String),
    }

    /// A device to be admitted.
    asked record Admission = desk::Admission {
        staff: String,
        role: Role,
        device: String,
        key: String,
        link: Option<String>,
        until: Option<String>,
    }

    /// One dive of one person, as a headcount has it.
    asked record InWater = desk::InWater {
        down: String,
        up: Option<String>,
    }

    /// A tap on a mark: a try or, where that is what it means, the word that settles.
    asked private record MarkTap = desk::MarkTap {
        on: Arc<OnScreen>,
        mark: Mark,
        method: Option<String>,
        measured: Vec<Measured>,
        slips: Vec<String>,
        note: Option<String>,
        despite: Option<String>,
        session: Option<String>,
        origin: Origin,
        again: Again,
    }

    /// A mark on a cell that the same person marked already, in this session or today.
    asked enum Again = desk::Again {
        Unsaid,
        AnotherTry,
        Correction,
    }

    /// A member of staff, and as what.
    both tuple StaffRole = (course::StaffId, Role) {
        staff: String,
        role: Role,
    }
}
