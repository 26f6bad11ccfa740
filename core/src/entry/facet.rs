//! Facets: what the table of kinds says of each kind, and what other rooms read there instead of
//! naming every kind themselves.

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::{ClearanceResult, HoldOn, Kind, Mark, Outcome, Passage, Who, Writer};
use crate::course::{
    ClearanceKind, CourseId, LedgerId, Role, SessionId, SkillId, StaffId, StudentId,
};

/// In which ledgers a kind of entry may stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Home {
    /// The shop's only.
    Shop,
    /// A course's only.
    Course,
    /// A person's only.
    Person,
    /// The shop's and a course's.
    ShopOrCourse,
    /// Any of the three.
    Any,
}

impl Home {
    /// Whether an entry of this home may stand in that ledger.
    pub const fn takes(self, ledger: &LedgerId) -> bool {
        matches!(
            (self, ledger),
            (Self::Any, _)
                | (Self::Shop | Self::ShopOrCourse, LedgerId::Shop(_))
                | (Self::Course | Self::ShopOrCourse, LedgerId::Course(_))
                | (Self::Person, LedgerId::Person(_))
        )
    }
}

/// In which roles a kind of entry is written. The shop plans and keeps, and never judges; an
/// assistant works at the pool.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Writers {
    /// The shop alone.
    Shop,
    /// The shop and instructors.
    Office,
    /// Instructors and assistants.
    Judges,
    /// Instructors alone.
    Instructor,
    /// Everyone who is admitted.
    Anyone,
}

impl Writers {
    /// Whether a role is among them.
    pub const fn include(self, role: Role) -> bool {
        match (self, role) {
            (Self::Anyone, _)
            | (Self::Shop | Self::Office, Role::Shop)
            | (Self::Office | Self::Judges | Self::Instructor, Role::Instructor)
            | (Self::Judges, Role::Assistant) => true,
            (Self::Shop, Role::Instructor | Role::Assistant)
            | (Self::Office | Self::Instructor, Role::Assistant)
            | (Self::Judges | Self::Instructor, Role::Shop) => false,
        }
    }
}

/// Who makes an entry of a kind count no more, by a withdrawal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TakenBack {
    /// Nobody: what happened to trust is not undone so. A certificate is revoked, a person
    /// stays forgotten.
    Never,
    /// The shop, whoever wrote it.
    ByShop,
    /// The shop, and whoever wrote it: else whoever was taken off a course could take that
    /// back, and a colleague's name.
    ByShopOrWriter,
    /// The shop and instructors, and whoever wrote it: who works on a course is the shop's to
    /// say as well.
    ByOfficeOrWriter,
    /// Instructors, and whoever wrote it until an instructor stands behind it.
    ByJudge,
}

impl TakenBack {
    /// Whether this writer may; `by` wrote the entry, `confirmed` says whether an instructor
    /// stands behind it by now.
    pub fn by(self, writer: Writer, by: StaffId, confirmed: bool) -> bool {
        let own = by == writer.staff;
        match self {
            Self::Never => false,
            Self::ByShop => writer.role == Role::Shop,
            Self::ByShopOrWriter => writer.role == Role::Shop || own,
            Self::ByOfficeOrWriter => matches!(writer.role, Role::Instructor | Role::Shop) || own,
            Self::ByJudge => writer.role == Role::Instructor || (own && !confirmed),
        }
    }
}

/// A part of a student's record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum), uniffi(name = "RecordPart"))]
pub enum Part {
    /// Enrolment and details.
    Enrolment,
    /// Papers and tests.
    Papers,
    /// Marks, confirmations, resolutions, exemptions.
    Skills,
    /// Sessions and attendance.
    Sessions,
    /// Dives.
    Dives,
    /// Weight checks.
    Weights,
    /// Completion.
    Completion,
}

impl Part {
    /// All of them, in the order they are printed.
    pub const ALL: [Self; 7] = [
        Self::Enrolment,
        Self::Papers,
        Self::Skills,
        Self::Sessions,
        Self::Dives,
        Self::Weights,
        Self::Completion,
    ];

    /// The word that stands for it in its fingerprint; never changed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Enrolment => "enrolment",
            Self::Papers => "papers",
            Self::Skills => "skills",
            Self::Sessions => "sessions",
            Self::Dives => "dives",
            Self::Weights => "weights",
            Self::Completion => "completion",
        }
    }
}

/// Whether a kind is in a student's record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InRecord {
    /// No record rests on it and no completion considers it.
    No,
    /// A completion considers it; the record says how many remarks there are.
    AsRemark,
    /// A completion considers it; the record says how many incidents there are.
    AsIncident,
    /// A completion considers it, and the record of whom it is about rests on it, under this
    /// part.
    Under(Part),
    /// The record of everybody who was planned for its session or seen in it rests on it.
    WithSession,
    /// A record rests on it that rests on what it names.
    WithNamed,
}

impl InRecord {
    /// Whether it is filed under the students it is about: what a completion considers.
    pub const fn is_filed(self) -> bool {
        match self {
            Self::AsRemark | Self::AsIncident | Self::Under(_) => true,
            Self::No | Self::WithSession | Self::WithNamed => false,
        }
    }
}

/// How long a kind is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeptAs {
    /// As long as the ledger it stands in.
    Ledger,
    /// As a report of an incident is: it keeps its course as long, counted from its own day.
    Report,
}

/// Whether a kind of the shop's ledger goes with a course to a stranger who checks it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Public {
    /// No.
    No,
    /// With every course.
    Yes,
    /// With the course it is about.
    WithItsCourse,
    /// With a course that the student it is about is enrolled in.
    WithItsStudent,
}

/// Whom, what and where an entry is about.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct About<'a> {
    /// One person, or several.
    pub who: Vec<Who>,
    /// Which skill.
    pub skill: Option<&'a SkillId>,
    /// Which session.
    pub session: Option<SessionId>,
    /// Of an entry of the shop: which course.
    pub course: Option<CourseId>,
}

impl<'a> About<'a> {
    /// Nobody, and nothing that is asked for.
    pub(super) fn nobody() -> Self {
        Self::default()
    }

    pub(super) fn all(who: Vec<Who>) -> Self {
        Self {
            who,
            ..Self::default()
        }
    }

    pub(super) fn one(who: Who) -> Self {
        Self::all(vec![who])
    }

    pub(super) fn maybe(who: Option<Who>) -> Self {
        Self::all(who.into_iter().collect())
    }

    pub(super) fn student(student: StudentId) -> Self {
        Self::one(Who::Student(student))
    }

    pub(super) fn maybe_student(student: Option<StudentId>) -> Self {
        Self::maybe(student.map(Who::Student))
    }

    pub(super) fn staff(staff: StaffId) -> Self {
        Self::one(Who::Staff(staff))
    }

    pub(super) fn course(course: CourseId) -> Self {
        Self {
            course: Some(course),
            ..Self::default()
        }
    }

    pub(super) fn held(on: HoldOn) -> Self {
        match on {
            HoldOn::Student(student) => Self::student(student),
            HoldOn::Course(course) => Self::course(course),
        }
    }

    pub(super) fn of_skill(self, skill: impl Into<Option<&'a SkillId>>) -> Self {
        Self {
            skill: skill.into(),
            ..self
        }
    }

    pub(super) fn in_session(self, session: impl Into<Option<SessionId>>) -> Self {
        Self {
            session: session.into(),
            ..self
        }
    }

    /// The students among them.
    pub fn students(&self) -> impl Iterator<Item = StudentId> {
        self.who.iter().filter_map(|who| match who {
            Who::Student(id) => Some(*id),
            Who::Staff(_) => None,
        })
    }
}

/// What an entry said, as far as a word or a figure says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Said {
    /// The kind says it all.
    Nothing,
    /// A mark.
    Mark(#[cfg_attr(feature = "border", uniffi(name = "mark"))] Mark),
    /// A paper or a test.
    Clearance(
        #[cfg_attr(feature = "border", uniffi(name = "what"))] ClearanceKind,
        #[cfg_attr(feature = "border", uniffi(name = "result"))] ClearanceResult,
    ),
    /// Into the water, out, or absent.
    Passage(#[cfg_attr(feature = "border", uniffi(name = "passage"))] Passage),
    /// How a course ended.
    Outcome(#[cfg_attr(feature = "border", uniffi(name = "outcome"))] Outcome),
    /// So many attempts or rules were confirmed.
    Confirmed(#[cfg_attr(feature = "border", uniffi(name = "count"))] u32),
    /// An entry of this kind was withdrawn; `None` where it is not here.
    Withdrew(#[cfg_attr(feature = "border", uniffi(name = "kind"))] Option<Kind>),
    /// Staff was assigned in this role.
    Assigned(#[cfg_attr(feature = "border", uniffi(name = "role"))] Role),
}

impl Said {
    pub(super) fn confirmed<T>(what: &[T]) -> Self {
        Self::Confirmed(u32::try_from(what.len()).unwrap_or(u32::MAX))
    }
}

/// The day of a time, where that was.
pub(super) fn day(at: DateTime<FixedOffset>) -> NaiveDate {
    at.date_naive()
}
