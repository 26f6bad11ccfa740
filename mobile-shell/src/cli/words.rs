//! Words: the choices of the border as a command line and its JSON name them, and as a person
//! reads them. The first never change with the language: scripts rest on them.

use clap::ValueEnum;
use serde_json::{Value, json};
use tallywater_bindings as border;
use tallywater_bindings::{CellView, GapRow, Missing, Moment, StaffName, StudentName, WhoName};

use super::catalogue::{t, tr};

macro_rules! words {
    ($($(#[$m:meta])* $name:ident = $border:ty { $($one:ident = $text:literal),* $(,)? })*) => { $(
        $(#[$m])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
        #[allow(clippy::enum_variant_names, reason = "the border's words, one for one")]
        pub(super) enum $name { $(#[doc = $text] $one),* }

        impl From<$border> for $name {
            fn from(of: $border) -> Self {
                match of { $(<$border>::$one => Self::$one),* }
            }
        }

        impl From<&$border> for $name {
            fn from(of: &$border) -> Self {
                match of { $(<$border>::$one => Self::$one),* }
            }
        }

        impl From<$name> for $border {
            fn from(of: $name) -> Self {
                match of { $($name::$one => Self::$one),* }
            }
        }

        #[allow(dead_code, reason = "some are only read and some only written")]
        impl $name {
            /// As a person reads it.
            pub(super) fn said(self) -> &'static str {
                t(match self { $(Self::$one => $text),* })
            }

            /// As it is typed and as JSON has it.
            pub(super) fn word(self) -> String {
                self.to_possible_value().map_or_else(String::new, |one| one.get_name().to_owned())
            }
        }
    )* };
}

words! {
    /// What was seen in one try.
    Mark = border::Mark { Met = "Met", Nearly = "Nearly", NotYet = "Not yet", SatOut = "Sat out" }
    /// What a device may do.
    Role = border::Role { Shop = "Dive centre", Instructor = "Instructor", Assistant = "Assistant" }
    /// Where something is held.
    Setting = border::Setting {
        Classroom = "Classroom", Surface = "Surface", Confined = "Confined water", Open = "Open water",
    }
    /// The water.
    Water = border::WaterKind { Fresh = "Fresh", Brackish = "Brackish", Salt = "Salt" }
    /// What a weight check showed.
    Verdict = border::WeightVerdict {
        Right = "Sinks slowly on breathing out", Heavy = "Too much weight", Light = "Too little weight",
    }
    /// How a course ended for somebody.
    Outcome = border::Outcome { Completed = "Completed", Referred = "Referred", Left = "Left the course" }
    /// Forms and tests.
    Form = border::ClearanceKind {
        Health = "Health declaration", Physician = "Physician’s clearance", Consent = "Guardian’s consent",
        Swim = "Swim", Float = "Float", Theory = "Theory result",
    }
    /// What a form said.
    Cleared = border::ClearanceResult {
        Cleared = "Cleared", Referred = "Referred to a physician", NotCleared = "Not cleared",
    }
    /// How a form stands.
    FormState = border::ClearanceState {
        Missing = "Missing", NotAsked = "Not asked for", Cleared = "Cleared", Expired = "Expired",
        Referred = "Referred to a physician", NotCleared = "Not cleared",
    }
    /// What something is needed for.
    Gate = border::Gate {
        Water = "before water", OpenWater = "before open water", Completion = "before completion",
    }
    /// What staff renew.
    StaffPaper = border::StaffPaper {
        TeachingStatus = "Teaching status", Insurance = "Insurance", FirstAid = "First aid",
        Oxygen = "Oxygen provider", Medical = "Fit to dive",
    }
    /// What a session can be besides its setting.
    Condition = border::Condition {
        Night = "Night", Current = "Current or surf", Overhead = "Overhead", Ice = "Ice", Boat = "Boat",
    }
    /// How the gas above a reserve is shared out.
    Turning = border::TurnRule {
        DirectAscent = "All usable", ThereAndBack = "Half out, half back", Thirds = "Thirds",
    }
    /// What ends a dive.
    EndsBy = border::LimitedBy {
        Gas = "gas", NoStop = "no-stop time", Cold = "cold", Plan = "planned length",
    }
    /// A calculation.
    Calculation = border::Calculation {
        NoStop = "No-stop times and groups", SecondOpinion = "Second opinion by a dissolved-gas model",
        Flying = "No-fly time", Breathing = "Gas consumption", Reserve = "Reserve", Turn = "Turn pressure",
        Cylinder = "Gas in a cylinder", CylinderBuoyancy = "Buoyancy of a cylinder",
        Suit = "Buoyancy of a suit", Lead = "Starting weight, and after a change",
        LeadDrop = "If the weights are dropped", Ascent = "Ascent rate and safety stop",
        AscentCount = "Ascents a day", Supervision = "Who may be in the water",
        Water = "Density of water", Column = "Pressure at a depth", Altitude = "Air pressure at altitude",
        Attempts = "Tries until met", ShareMet = "Share of tries met",
        Posterior = "What a few tries allow to believe", Agreement = "Do two assessors agree",
        Light = "Daylight",
    }
    /// How far a figure may be trusted.
    Standing = border::FigureStanding {
        Published = "Published and checked", Practice = "Checked; common practice takes part",
        FromMemory = "From memory: open the source before you rely on it",
        Estimate = "An estimate of our own takes part",
    }
    /// Where a figure comes from.
    Origin = border::FigureOrigin {
        Published = "published", CommonPractice = "common practice, no published source",
        FromMemory = "from memory, not read again", OwnEstimate = "own estimate",
        OwnRecord = "from own records", Typed = "typed in",
    }
    /// How a calculation was checked.
    CheckedBy = border::CheckedBy {
        PublishedValue = "checked against printed values",
        ReferenceLibrary = "checked against another program",
        SecondFormula = "checked by a second way",
        Remembered = "checked against printed values, from memory",
    }
    /// Where a course stands.
    Stage = border::CourseStage {
        Running = "running", Ahead = "to come", Closed = "closed", HandedOver = "handed over",
    }
    /// Where a session stands.
    SessionStands = border::SessionState {
        Ahead = "to come", Running = "Now", Over = "Over", Cancelled = "cancelled",
    }
    /// Whether a sweep takes somebody, or why not.
    InSweep = border::InSweep {
        Takes = "taken", NoSession = "no session is named", Gone = "left the course",
        Absent = "Did not come", NotInWater = "not counted in the water", Exempt = "Exempt",
        Differ = "Marks differ", NotHeld = "Not held since", Marked = "marked already",
        Met = "met before", MayNot = "the role of this device does not allow it",
    }
    /// Where somebody is.
    Place = border::Place {
        NotSeen = "not seen yet", InWater = "In the water", Out = "Out", Absent = "Did not come",
    }
    /// How a cell stands.
    Stands = border::CellState {
        Open = "Open", Trying = "tried", Shown = "Shown, to be confirmed", Met = "Met",
        TwoViews = "Marks differ", Exempt = "Exempt",
    }
    /// Whether a device may act.
    DeviceStands = border::DeviceState {
        Root = "the shop’s own key", Admitted = "admitted", NotYet = "not admitted yet",
        Lapsed = "its last day is past", Revoked = "shut out",
    }
    /// A limit of the rules.
    Limit = border::Limit {
        Within = "Within the limit", Over = "Over the limit", Unconfirmed = "Not confirmed by anyone",
        Unknown = "Cannot be said: what it rests on is not known",
        NoRule = "No rule for this",
    }
    /// What waits for someone.
    Alert = border::AlertKind {
        StillInWater = "still in the water past the end", OverRatio = "over the ratio",
        PaperBeforeWater = "form missing or out of date", TwoViews = "marks differ: to settle",
        SlippedSince = "not held since it was met", ToConfirm = "assistant’s mark to confirm",
        RulesUnconfirmed = "rule that nobody has confirmed", Unverified = "entry that counts for nothing",
        Irregular = "irregular change in the ledger", Newer = "entry from a newer version",
    }
    /// What a line of a history is.
    Line = border::HistoryKind { Attempt = "Mark", Resolution = "Marks that differed, settled", Exemption = "Exempted" }
    /// What a line of a history counts for.
    Counts = border::LineCounts {
        Counts = "counts", Waits = "waits for an instructor", SetAside = "set aside", Withdrawn = "Withdrawn",
    }
    /// Why entries count for nothing.
    Doubt = border::Doubt {
        Malformed = "they cannot be read", Signature = "the signature does not hold",
        NoCertificate = "the device was never admitted", NotTheWriter = "signed by another person’s device",
        Role = "the role of the device does not allow it", Late = "they came after the device was shut out",
    }
    /// What can happen at a moment of an incident.
    Happening = border::Happening {
        Noticed = "Noticed", AtSurface = "Was at the surface", OutOfWater = "Out of the water",
        BreathingChecked = "Breathing checked", Resuscitation = "Resuscitation begun",
        OxygenBegun = "Oxygen begun", EmergencyCalled = "Emergency service called",
        HelpArrived = "Help arrived", HandedOver = "Handed over", Other = "Noted",
    }
    /// What somebody's part in an incident was.
    Part = border::PartIn { Concerned = "Concerned", Witness = "Witness" }
    /// What the words about an incident are about.
    FactAbout = border::FactAbout {
        Happened = "What happened", Conditions = "Conditions", Done = "What was done",
        Kept = "Equipment kept as it was",
    }
    /// The kinds of photograph and sound.
    Media = border::MediaKind {
        Jpeg = "JPEG", Png = "PNG", Ogg = "Ogg", Wav = "WAV", Mp4 = "MP4",
    }
    /// The kinds of entry.
    Kind = border::Kind {
        ShopOpened = "Dive centre opened", StaffJoined = "Joined the staff", StaffRenewed = "Staff renewal seen", Certificate = "Device admitted",
        Revocation = "Device shut out", LateAccepted = "Late entries accepted", CourseListed = "Course listed",
        PersonForgotten = "Person forgotten", HoldSet = "Held back from deletion",
        CourseDropped = "Course dropped", Details = "Details", CourseOpened = "Course opened",
        Enrolment = "Enrolled", Amendment = "Details amended", Assignment = "Staff assigned",
        OutlineSet = "Outline adopted", PolicySet = "Rules adopted", PolicyConfirmed = "Rules confirmed",
        SessionPlanned = "Session planned", SessionMoved = "Session moved",
        SessionCancelled = "Session cancelled", Clearance = "Form or check", Attendance = "Headcount",
        Attempt = "Mark", Confirmation = "Confirmed", Resolution = "Marks that differed, settled",
        Exemption = "Exempted", Override = "Skills set aside for a session", Withdrawal = "Withdrawn", Note = "Note", WeightChecked = "Weight check",
        DiveLogged = "Dive logged", Incident = "Incident", Completion = "Completion", Debrief = "Debrief",
        SiteSet = "Site described", EmergencySet = "Emergency plan written", EmergencyConfirmed = "Emergency plan confirmed",
        AlarmRaised = "Something went wrong in the water", AlarmEnded = "Alarm ended",
        TeamsSet = "Pairs and who watches whom", IncidentMoment = "Moment of an incident",
        IncidentPerson = "Somebody in an incident", IncidentFact = "Added to an incident",
        IncidentReport = "Report due", IncidentReported = "Report made",
        Attachment = "Photograph or sound kept", AttachmentText = "Words of a photograph or a sound",
        SlotSet = "Hours of a pool or a site", AwaySet = "Away, or back",
        OwnDive = "Own dive, not of the course",
        KitSet = "Piece of kit described", KitRetired = "Piece of kit retired",
        KitFault = "Fault in a piece of kit", KitMended = "Fault in a piece of kit mended",
        KitIssued = "Kit issued", KitReturned = "Kit returned",
    }
    /// What a piece of kit is.
    KitKind = border::KitKind {
        Suit = "Suit", Boots = "Boots", Fins = "Fins", Mask = "Mask", Bcd = "BCD",
        Regulator = "Regulator", Cylinder = "Cylinder", Weights = "Weights",
        Computer = "Computer", Other = "Other kit",
    }
    /// How a piece of kit stands.
    KitStands = border::KitState {
        Free = "Free", Out = "Issued", Faulty = "Faulty", Overdue = "Past its date", Retired = "Retired",
    }
    /// How somebody stands with one kind of kit for a session.
    KitFor = border::KitLineState {
        Issued = "Issued", Own = "Their own", Missing = "Missing", NotAsked = "Not asked for",
    }
    /// What a column of a kit list holds.
    KitField = border::KitField {
        Kind = "kind of kit", Number = "number", Size = "size", Serial = "serial number",
        Serviced = "last service", ServiceDue = "service due", TestDue = "test due", Note = "note on it",
    }
}

/// A moment for a person, by the clock of its place: `2026-06-06 09:30`.
pub(super) fn moment(at: &Moment) -> String {
    format!("{} {:02}:{:02}", at.day.date, at.hour, at.minute)
}

/// A student as JSON.
pub(super) fn student(name: &StudentName) -> Value {
    json!({ "id": name.student, "name": name.name, "short": name.short })
}

/// A member of staff as JSON.
pub(super) fn staff(name: &StaffName) -> Value {
    json!({ "id": name.staff, "name": name.name })
}

/// A student or a member of staff as JSON.
pub(super) fn who(who: &WhoName) -> Value {
    match who {
        WhoName::Student(name) => json!({ "student": student(name) }),
        WhoName::Staff(name) => json!({ "staff": staff(name) }),
    }
}

/// A student or a member of staff for a person.
pub(super) fn who_said(who: &WhoName) -> &str {
    match who {
        WhoName::Student(name) => &name.short,
        WhoName::Staff(name) => &name.name,
    }
}

/// A cell as JSON.
pub(super) fn cell(cell: &CellView) -> Value {
    json!({
        "skill": cell.skill, "state": Stands::from(&cell.state).word(),
        "last": cell.last.as_ref().map(|mark| Mark::from(mark).word()),
        "met": cell.met, "of": cell.of, "tries": cell.tries, "done": cell.done,
        "slipped_since": cell.slipped_since, "sat_out": cell.sat_out, "waiting": cell.waiting,
    })
}

/// Something missing as JSON.
pub(super) fn gap(gap: &GapRow) -> Value {
    let (what, more) = match &gap.what {
        Missing::Policy => ("rules", json!({})),
        Missing::RuleUnconfirmed(rule) => ("rule", json!({ "rule": rule })),
        Missing::Outline => ("outline", json!({})),
        Missing::Age => ("age", json!({})),
        Missing::TooYoung { least } => ("too-young", json!({ "least": least })),
        Missing::Forbidden(condition) => {
            let condition = Condition::from(condition).word();
            ("forbidden", json!({ "condition": condition }))
        }
        Missing::TooDeepForAge { under, max_cm } => (
            "too-deep-for-age",
            json!({ "under": under, "most_cm": max_cm }),
        ),
        Missing::SkillNotThere(skill) => ("skill-not-there", json!({ "skill": skill })),
        Missing::Clearance(what) => ("form", json!({ "form": Form::from(what).word() })),
        Missing::NotCleared(what, _) => (
            "form-not-cleared",
            json!({ "form": Form::from(what).word() }),
        ),
        Missing::Expired(what, until) => {
            let form = Form::from(what).word();
            ("form-expired", json!({ "form": form, "until": until }))
        }
        Missing::Skill {
            skill,
            state,
            met,
            of,
        } => {
            let state = Stands::from(state).word();
            (
                "skill",
                json!({ "skill": skill, "state": state, "met": met, "of": of }),
            )
        }
        Missing::SlippedSince(skill) => ("slipped", json!({ "skill": skill })),
        Missing::Dives { have, need } => ("dives", json!({ "have": have, "need": need })),
        Missing::Kit { piece, wrong } => ("kit", super::kit_shown::gap_json(piece, wrong)),
    };
    json!({ "what": what, "about": more, "closes_with": Kind::from(&gap.closes_with).word() })
}

/// The rules of a course in words, by id.
pub(super) type Rules = std::collections::BTreeMap<String, String>;

/// Something missing for a person.
pub(super) fn gap_said(gap: &GapRow, rules: &Rules) -> String {
    let named = |skill: &border::SkillId| {
        let name = gap.skill_name.clone();
        name.unwrap_or_else(|| skill.to_string())
    };
    match &gap.what {
        Missing::Policy => tr!("No rules have been adopted"),
        Missing::RuleUnconfirmed(rule) => {
            let said = rules
                .get(rule.as_str())
                .map_or(rule.as_str(), String::as_str);
            tr!("rule not confirmed: {rule}", rule = said)
        }
        Missing::Outline => tr!("No outline has been adopted"),
        Missing::Age => tr!("Age not known"),
        Missing::TooYoung { least } => tr!(
            "younger than {least}, the least age of this course",
            least = least
        ),
        Missing::Forbidden(condition) => tr!(
            "a rule forbids it for this course: {what}",
            what = Condition::from(condition).said()
        ),
        Missing::TooDeepForAge { under, .. } => tr!(
            "under {age}: planned deeper than the rule allows",
            age = under
        ),
        Missing::SkillNotThere(skill) => tr!(
            "a rule asks for a skill that the outline does not have: {skill}",
            skill = skill
        ),
        Missing::Clearance(what) => {
            tr!("{form}: missing", form = Form::from(what).said())
        }
        Missing::NotCleared(what, _) => {
            tr!("{form}: not cleared", form = Form::from(what).said())
        }
        Missing::Expired(what, until) => {
            tr!(
                "{form}: expired on {day}",
                form = Form::from(what).said(),
                day = until
            )
        }
        Missing::Skill { skill, met, of, .. } => {
            tr!(
                "{skill}: {met} of {of} met",
                skill = named(skill),
                met = met,
                of = of
            )
        }
        Missing::SlippedSince(skill) => {
            tr!("{skill}: not held since", skill = named(skill))
        }
        Missing::Dives { have, need } => {
            tr!(
                "open-water dives: {have} of {need}",
                have = have,
                need = need
            )
        }
        Missing::Kit { piece, wrong } => super::kit_shown::gap_said(piece, wrong),
    }
}

/// What kind of figure a part of a requirement takes, as it is typed.
pub(super) const fn measure(kind: &border::MeasureKind) -> &'static str {
    match kind {
        border::MeasureKind::Count => "count",
        border::MeasureKind::Hold => "hold",
        border::MeasureKind::Within => "within",
        border::MeasureKind::Distance => "distance",
        border::MeasureKind::DepthBand => "depth",
        border::MeasureKind::AscentRate => "rate",
        border::MeasureKind::Miss => "miss",
        border::MeasureKind::Reading => "reading",
    }
}
