//! Request: what a person asks for. One variant a thing that can be tapped.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::course::{
    Alarm, Away, ClearanceKind, CourseId, DiveLog, EmergencyPlan, EntryId, KitPiece, LedgerId,
    MethodId, Outline, PersonDetails, PieceId, Policy, Role, RuleId, SessionId, SessionPlan, Site,
    SiteId, Sizes, SkillId, SlipId, Slot, StaffId, StaffPaper, StudentId, WeightCheck,
};
use crate::entry::{
    AlarmEnd, ClearanceResult, Consent, CourseState, DebriefText, DeviceKey, FactAbout, Happening,
    HoldOn, Mark, Measured, Origin, Outcome, PartIn, Passage, RuleText, Teams, Who,
};
use crate::view::OnScreen;

/// The shop's book or a course's: where an outline or a policy belongs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// The shop's own, which new courses adopt.
    Shop,
    /// One course's.
    Course(CourseId),
}

/// Where a new course takes its outline from, by value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum OutlineFrom {
    /// The shop's own, as it is now.
    #[default]
    School,
    /// The starter outline that came with the program.
    Starter,
    /// The one in force in another course that this device holds.
    Course(CourseId),
}

/// A device to be admitted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Admission {
    /// Whose it is.
    pub staff: StaffId,
    /// What it may do.
    pub role: Role,
    /// What it is called.
    pub device: String,
    /// The key that signs.
    pub key: DeviceKey,
    /// The key that opens connections, if it has one.
    pub link: Option<DeviceKey>,
    /// Last day on which the shop admits it.
    pub until: Option<NaiveDate>,
}

/// A tap on a mark: a try or, where marks differ and the one who taps may settle them, the
/// word that does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MarkTap {
    /// What was on screen: whose, of which skill, and beside which marks.
    pub on: OnScreen,
    /// What was seen.
    pub mark: Mark,
    /// In which way.
    pub method: Option<MethodId>,
    /// Figures taken.
    pub measured: Vec<Measured>,
    /// Faults seen.
    pub slips: Vec<SlipId>,
    /// A remark; the reason, where the tap settles.
    pub note: Option<String>,
    /// Why it counts as met although a figure is below what is asked.
    pub despite: Option<String>,
    /// In which session.
    pub session: Option<SessionId>,
    /// Live, or from a slate.
    pub origin: Origin,
    /// What it is where the same person marked this cell in this session already.
    pub again: Again,
}

/// A mark on a cell that the same person marked already, in this session or today.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Again {
    /// Nobody said: the same mark once more is the same press and nothing, another one is
    /// refused until that is said.
    #[default]
    Unsaid,
    /// One more try was seen.
    AnotherTry,
    /// The mark was wrong: it is withdrawn, and this stands in its place.
    Correction,
}

/// One dive of one person, as a headcount has it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InWater {
    /// When they went in.
    pub down: DateTime<FixedOffset>,
    /// When they came out; `None` only of the last, who is in still.
    pub up: Option<DateTime<FixedOffset>>,
}

/// What a person asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
#[expect(
    missing_docs,
    reason = "each field is the one of the entry it becomes, documented there"
)]
pub enum Request {
    /// The shop takes another name.
    RenameShop { name: String },
    /// A member of staff joins.
    JoinStaff { name: String },
    /// A member of staff takes another name.
    RenameStaff { staff: StaffId, name: String },
    /// Something that a member of staff renews was seen.
    RenewStaff {
        staff: StaffId,
        what: StaffPaper,
        until: Option<NaiveDate>,
    },
    /// A device is admitted.
    Admit(Admission),
    /// The same, with the device's own word that this one may: an instructor needs it.
    AdmitPaired(Admission, Consent),
    /// A device is shut out: lost, sold, left.
    Revoke { key: DeviceKey, why: String },
    /// Late entries of a revoked device are accepted.
    AcceptLate {
        ledger: LedgerId,
        entries: Vec<EntryId>,
    },
    /// An outline is adopted or adapted.
    SetOutline {
        scope: Scope,
        outline: Outline,
        why: Option<String>,
    },
    /// A policy is adopted or changed.
    SetPolicy { scope: Scope, policy: Policy },
    /// Rules of the policy in force have been checked against their source.
    ConfirmRules {
        scope: Scope,
        rules: Vec<RuleId>,
        read: RuleText,
    },
    /// A course begins, with an outline to begin with and the shop's policy as it is now.
    OpenCourse {
        title: String,
        starts: NaiveDate,
        place: Option<String>,
        outline: OutlineFrom,
        staff: Vec<(StaffId, Role)>,
    },
    /// A course takes another title, day or place.
    RetitleCourse {
        course: CourseId,
        title: String,
        starts: NaiveDate,
        place: Option<String>,
    },
    /// A course is closed, opened again or handed over, in the shop's list.
    ListCourse {
        course: CourseId,
        state: CourseState,
    },
    /// Staff is assigned to a course.
    AssignStaff {
        course: CourseId,
        staff: StaffId,
        role: Role,
    },
    /// Staff is taken off a course: what they signed in it stands.
    TakeOffStaff { course: CourseId, staff: StaffId },
    /// A student joins, new to the shop.
    Enrol {
        course: CourseId,
        details: PersonDetails,
        referred_from: Option<String>,
    },
    /// A student the shop knows joins another course.
    EnrolAgain {
        course: CourseId,
        student: StudentId,
        referred_from: Option<String>,
    },
    /// A student's details change.
    Amend {
        course: CourseId,
        student: StudentId,
        details: PersonDetails,
    },
    /// A session is planned, or planned anew.
    PlanSession {
        course: CourseId,
        session: Option<SessionId>,
        plan: SessionPlan,
    },
    /// A session moves.
    MoveSession {
        course: CourseId,
        session: SessionId,
        starts: DateTime<FixedOffset>,
        site: String,
        why: String,
    },
    /// A session is cancelled.
    CancelSession {
        course: CourseId,
        session: SessionId,
        why: String,
    },
    /// A paper was seen or a test passed.
    Clear {
        course: CourseId,
        student: StudentId,
        what: ClearanceKind,
        result: ClearanceResult,
        until: Option<NaiveDate>,
        figure: Option<u32>,
    },
    /// Someone goes in, comes out, or did not come.
    Pass {
        course: CourseId,
        session: SessionId,
        who: Who,
        passage: Passage,
        when: Option<DateTime<FixedOffset>>,
    },
    /// Somebody's times in and out of the water in a session, as they really were: each dive
    /// in its order, the whole of them. What was counted otherwise is withdrawn, and the
    /// record shows both.
    SetTimes {
        course: CourseId,
        session: SessionId,
        who: Who,
        dives: Vec<InWater>,
    },
    /// A try is marked.
    Mark(MarkTap),
    /// An assistant's attempts are confirmed.
    Confirm {
        course: CourseId,
        attempts: Vec<EntryId>,
    },
    /// Two views or a slip since are settled.
    Resolve {
        on: OnScreen,
        mark: Mark,
        why: String,
    },
    /// A skill need not be shown.
    Exempt { on: OnScreen, why: String },
    /// A student goes into a session without skills that a rule asks for first.
    Override {
        course: CourseId,
        student: StudentId,
        session: SessionId,
        skills: BTreeSet<SkillId>,
        why: String,
    },
    /// An entry shall not count.
    Withdraw {
        ledger: LedgerId,
        entry: EntryId,
        why: Option<String>,
    },
    /// A remark.
    Note {
        course: CourseId,
        student: Option<StudentId>,
        skill: Option<SkillId>,
        session: Option<SessionId>,
        entry: Option<EntryId>,
        text: String,
    },
    /// A weight check.
    CheckWeight {
        course: CourseId,
        student: StudentId,
        session: Option<SessionId>,
        check: WeightCheck,
    },
    /// A dive.
    LogDive {
        course: CourseId,
        who: Who,
        session: Option<SessionId>,
        log: DiveLog,
    },
    /// Something went wrong.
    ReportIncident {
        course: CourseId,
        session: Option<SessionId>,
        who: Vec<Who>,
        when: DateTime<FixedOffset>,
        happened: String,
        done: String,
        reported: Option<String>,
    },
    /// What is said to a student after a session, as it was changed.
    Debrief {
        course: CourseId,
        session: SessionId,
        student: StudentId,
        said: DebriefText,
    },
    /// A site is described, or described anew.
    SetSite { site: Option<SiteId>, details: Site },
    /// The school has hours of a pool or a site, or has them no more.
    SetSlot { slot: Slot, dropped: bool },
    /// Somebody is away, or comes after all; of a student in which course, of staff in none.
    SetAway {
        course: Option<CourseId>,
        who: Who,
        away: Away,
        dropped: bool,
    },
    /// What is done at a site in an emergency.
    SetEmergency { site: SiteId, plan: EmergencyPlan },
    /// The emergency plan of a site, as it was on screen, is right.
    ConfirmEmergency { site: SiteId, plan: EntryId },
    /// Something went wrong in the water; now, where no time is given.
    RaiseAlarm {
        course: CourseId,
        session: SessionId,
        what: Alarm,
        when: Option<DateTime<FixedOffset>>,
    },
    /// Pairs and zones of a session, whole; `seen` is what was on screen.
    SetTeams {
        course: CourseId,
        session: SessionId,
        teams: Teams,
        seen: Vec<EntryId>,
    },
    /// One person dives beside another, or beside nobody; the rest stays as it is, or as it is
    /// proposed while nobody has said anything.
    MoveBuddy {
        course: CourseId,
        session: SessionId,
        who: Who,
        beside: Option<Who>,
    },
    /// One student is watched by somebody else, or by nobody; the rest as for a buddy.
    MoveZone {
        course: CourseId,
        session: SessionId,
        student: StudentId,
        staff: Option<StaffId>,
    },
    /// A buddy is not seen any more; now, where no time is given.
    LoseBuddy {
        course: CourseId,
        session: SessionId,
        missing: Vec<Who>,
        reported_by: Option<Who>,
        when: Option<DateTime<FixedOffset>>,
    },
    /// What was raised is over; now, where no time is given.
    EndAlarm {
        course: CourseId,
        alarm: EntryId,
        how: AlarmEnd,
        when: Option<DateTime<FixedOffset>>,
    },
    /// An incident begins before anybody typed a word; `from` is the alarm that it grew out of.
    /// Without a time it is the alarm's, or now.
    BeginIncident {
        course: CourseId,
        session: Option<SessionId>,
        who: Vec<Who>,
        when: Option<DateTime<FixedOffset>>,
        from: Option<EntryId>,
    },
    /// A moment of an incident; now, where no time is given.
    AddIncidentMoment {
        course: CourseId,
        incident: EntryId,
        what: Happening,
        when: Option<DateTime<FixedOffset>>,
        who: Option<Who>,
        text: Option<String>,
    },
    /// Somebody whom an incident concerns, or who saw it.
    AddIncidentPerson {
        course: CourseId,
        incident: EntryId,
        part: PartIn,
        who: Option<Who>,
        text: Option<String>,
    },
    /// Something that is said of an incident in words.
    AddIncidentFact {
        course: CourseId,
        incident: EntryId,
        about: FactAbout,
        text: String,
    },
    /// A report is due.
    AddIncidentReport {
        course: CourseId,
        incident: EntryId,
        to: String,
        by: Option<NaiveDate>,
    },
    /// A report was made; today, where no day is given.
    ReportMade {
        course: CourseId,
        report: EntryId,
        on: Option<NaiveDate>,
    },
    /// What a person says of a photograph, or heard in a sound.
    SayOfAttachment {
        course: CourseId,
        attachment: EntryId,
        text: String,
    },
    /// A piece of kit is described, or described anew; one that was retired is in use again.
    SetKit {
        piece: Option<PieceId>,
        details: KitPiece,
    },
    /// A piece of kit is out of use for good.
    RetireKit { piece: PieceId, why: String },
    /// Something is wrong with a piece of kit; found now, where no time is given.
    ReportKitFault {
        piece: PieceId,
        what: String,
        when: Option<DateTime<FixedOffset>>,
    },
    /// A fault is mended; now, where no time is given.
    MendKit {
        fault: EntryId,
        how: String,
        when: Option<DateTime<FixedOffset>>,
    },
    /// A piece of kit is issued; now, where no time is given. `despite` is why, although it is
    /// faulty or past a date.
    IssueKit {
        course: CourseId,
        session: SessionId,
        piece: PieceId,
        to: Who,
        despite: Option<String>,
        when: Option<DateTime<FixedOffset>>,
    },
    /// A piece of kit is back, with what is wrong with it, if something is; now, where no time
    /// is given.
    ReturnKit {
        course: CourseId,
        issue: EntryId,
        fault: Option<String>,
        when: Option<DateTime<FixedOffset>>,
    },
    /// A student's sizes; the other details stay.
    SetSizes {
        course: CourseId,
        student: StudentId,
        sizes: Sizes,
    },
    /// A student's course ends.
    Complete {
        course: CourseId,
        student: StudentId,
        outcome: Outcome,
        considered: Vec<EntryId>,
    },
    /// A person's details shall be dropped everywhere.
    Forget { student: StudentId, why: String },
    /// What is kept of a person or a course shall not be deleted, whatever the policy says.
    SetHold {
        on: HoldOn,
        why: String,
        until: Option<NaiveDate>,
    },
    /// A course that has ended shall be dropped everywhere, and with it the details of everyone
    /// who is in no other course.
    DropCourse { course: CourseId, why: String },
}

/// What was recorded.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Recorded {
    /// The entries, in the order they were written.
    pub entries: Vec<(LedgerId, EntryId)>,
    /// The id that was made for a new student, member of staff, course or session.
    pub made: Option<String>,
}
