//! May this be recorded? Facts in, an answer out.
//!
//! Two questions are asked apart. [`may_write`] is about role and kind alone: it is asked
//! when recording *and* whenever an entry from elsewhere is projected, so a device that
//! skips it gains nothing. [`may_record`] adds what only the writer's screen can know:
//! bounds, and whether the things named are there. That part of it is each kind's own: its
//! [`Rule`], beside its struct.

use super::{Body, CourseState, DeviceKey, HoldOn, Kind, Refusal, Who, Writers};
use crate::course::{
    ClearanceKind, CourseId, EntryId, KitKind, KitWrong, LedgerId, Outline, PieceId, Policy, Role,
    SessionId, SiteId, Skill, SkillId, StaffId, StudentId,
};

/// Who writes, as the device's certificate says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Writer {
    /// The person.
    pub staff: StaffId,
    /// In which role.
    pub role: Role,
}

/// What the rules must know of a ledger; [`crate::standing`] answers.
pub trait Facts {
    /// The outline in force.
    fn outline(&self) -> Option<&Outline>;
    /// The policy that an entry set, if it did.
    fn policy_of(&self, entry: &EntryId) -> Option<&Policy>;
    /// Whether the student is enrolled, and the enrolment counts.
    fn has_student(&self, student: &StudentId) -> bool;
    /// Whether the shop admitted this member of staff as more than an assistant.
    fn is_senior(&self, staff: &StaffId) -> bool;
    /// Whether this writer may shut out the device with this key: of the shop's own devices
    /// only those that it admitted itself, if it is not the root.
    fn may_shut_out(&self, by: Writer, key: &DeviceKey) -> bool;
    /// Whether the shop itself named this member of staff.
    fn is_named_by_shop(&self, staff: &StaffId) -> bool;
    /// Whether the shop knows this member of staff.
    fn has_staff(&self, staff: &StaffId) -> bool;
    /// Whether the session is planned: `Some(true)`, or was cancelled: `Some(false)`.
    fn session_open(&self, session: &SessionId) -> Option<bool>;
    /// Kind, writer and whether it counts now.
    fn entry(&self, entry: &EntryId) -> Option<(Kind, StaffId, bool)>;
    /// Whether an instructor stands behind the attempt: who made it takes it back no more.
    fn confirmed(&self, attempt: &EntryId) -> bool;
    /// Whether the attempt is an assistant's that waits for an instructor.
    fn waits(&self, attempt: &EntryId) -> bool;
    /// Whether the skill is not asked of the student.
    fn exempt(&self, student: &StudentId, skill: &SkillId) -> bool;
    /// Whether the student's course has ended.
    fn ended(&self, student: &StudentId) -> bool;
    /// Whether the cell has two views, or a slip since it was met.
    fn needs_settling(&self, student: &StudentId, skill: &SkillId) -> bool;
    /// How many gaps stand before this student's completion.
    fn completion_gaps(&self, student: &StudentId) -> usize;
    /// The entry whose hold keeps this from being deleted on that day; `None` while none does.
    fn held(&self, on: &HoldOn, day: chrono::NaiveDate) -> Option<EntryId>;
    /// Whether the shop has described this site.
    fn has_site(&self, site: &SiteId) -> bool;
    /// Whether a piece of kit is in use; `Some(false)` where it is retired, `None` where nobody
    /// described it.
    fn piece_in_use(&self, piece: &PieceId) -> Option<bool>;
    /// The pieces in use of this kind and number, however it is typed.
    fn pieces_numbered(&self, kind: KitKind, number: &str) -> Vec<PieceId>;
    /// What is wrong with a piece on the day of a session.
    fn piece_wrong(&self, piece: &PieceId, session: &SessionId) -> Vec<KitWrong>;
    /// Who of this course has a piece, by which entry.
    fn piece_out(&self, piece: &PieceId) -> Option<(EntryId, Who)>;
    /// Whether a fault of a piece is mended.
    fn is_mended(&self, fault: &EntryId) -> bool;
    /// Whether a piece that was issued by this entry is back.
    fn is_returned(&self, issue: &EntryId) -> bool;
    /// Where a course stands in the shop's list; `None` if it is not there.
    fn listed(&self, course: &CourseId) -> Option<CourseState>;
    /// Whether a member of staff may write a course's line in the shop's list: whoever is on
    /// it, and its opener while it has none.
    fn may_list(&self, course: &CourseId, staff: &StaffId) -> bool;
    /// Every entry about the student that counts, in order of id.
    fn about(&self, student: &StudentId) -> Vec<EntryId>;
}

/// What of an entry decides who may write it: its kind, and of two kinds what it is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sort {
    kind: Kind,
    /// Of a clearance: one that is shown to a judge.
    judged: bool,
    /// Of a certificate: the role that it gives.
    certifies: Option<Role>,
}

impl From<Kind> for Sort {
    fn from(kind: Kind) -> Self {
        Self {
            kind,
            judged: false,
            certifies: None,
        }
    }
}

impl Sort {
    /// A clearance: the swim and the float are shown to a judge, the others are papers.
    pub fn clearance(what: ClearanceKind) -> Self {
        Self {
            judged: matches!(what, ClearanceKind::Swim | ClearanceKind::Float),
            ..Kind::Clearance.into()
        }
    }

    /// A certificate that gives this role.
    pub fn certificate(role: Role) -> Self {
        Self {
            certifies: Some(role),
            ..Kind::Certificate.into()
        }
    }

    /// The sort of an entry.
    pub fn of(body: &Body) -> Self {
        if let Body::Clearance(clearance) = body {
            Self::clearance(clearance.what)
        } else if let Body::Certificate(certificate) = body {
            Self::certificate(certificate.role)
        } else {
            body.kind().into()
        }
    }

    /// Whether this role writes it. An instructor admits assistants, and nobody above.
    ///
    /// # Errors
    /// [`Refusal::Role`].
    pub fn written_by(self, role: Role) -> Result<(), Refusal> {
        let kind = self.kind;
        let writers = if self.judged {
            Writers::Instructor
        } else {
            kind.writers()
        };
        let above = role == Role::Instructor
            && self.certifies.is_some_and(|given| given != Role::Assistant);
        if writers.include(role) && !above {
            Ok(())
        } else {
            Err(Refusal::Role { role, kind })
        }
    }
}

/// May this role write this body into this ledger?
///
/// # Errors
/// [`Refusal::WrongLedger`] or [`Refusal::Role`].
pub fn may_write(role: Role, body: &Body, ledger: &LedgerId) -> Result<(), Refusal> {
    let kind = body.kind();
    if !kind.home().takes(ledger) {
        return Err(Refusal::WrongLedger { kind });
    }
    Sort::of(body).written_by(role)
}

/// May this writer record this now? `today` is the writing device's date.
///
/// # Errors
/// The first rule that forbids it.
pub fn may_record(
    facts: &dyn Facts,
    writer: Writer,
    ledger: &LedgerId,
    body: &Body,
    today: chrono::NaiveDate,
) -> Result<(), Refusal> {
    may_write(writer.role, body, ledger)?;
    body.may_be_recorded(&Asked {
        facts,
        writer,
        ledger,
        today,
    })
}

/// Whose entries a person may withdraw: one's own, unless an instructor stands behind it by
/// now, and for an instructor everything of the course; but see [`super::TakenBack`].
pub fn may_withdraw(writer: Writer, kind: Kind, by: StaffId, confirmed: bool) -> bool {
    kind.taken_back().by(writer, by, confirmed)
}

/// What a kind's own rule is asked with.
pub(super) struct Asked<'a> {
    pub(super) facts: &'a dyn Facts,
    pub(super) writer: Writer,
    pub(super) ledger: &'a LedgerId,
    /// The writing device's date.
    pub(super) today: chrono::NaiveDate,
}

/// What only its own kind knows: bounds, and what must be there.
pub(super) trait Rule {
    /// Whether this may be recorded, by somebody whose role writes it in this ledger.
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal>;
}

impl<'a> Asked<'a> {
    pub(super) fn student(&self, id: &StudentId) -> Result<(), Refusal> {
        known("student", self.facts.has_student(id))
    }

    pub(super) fn staff(&self, id: &StaffId) -> Result<(), Refusal> {
        known("staff", self.facts.has_staff(id))
    }

    pub(super) fn who(&self, who: &Who) -> Result<(), Refusal> {
        match who {
            Who::Student(id) => self.student(id),
            Who::Staff(id) => self.staff(id),
        }
    }

    pub(super) fn site(&self, id: &SiteId) -> Result<(), Refusal> {
        known("site", self.facts.has_site(id))
    }

    /// The session is planned, and was not cancelled.
    pub(super) fn open_session(&self, id: &SessionId) -> Result<(), Refusal> {
        match self.facts.session_open(id) {
            Some(true) => Ok(()),
            Some(false) => Err(Refusal::Closed { what: "session" }),
            None => Err(Refusal::Unknown { what: "session" }),
        }
    }

    /// The session is there, cancelled or not.
    pub(super) fn session(&self, id: &SessionId) -> Result<(), Refusal> {
        known("session", self.facts.session_open(id).is_some())
    }

    pub(super) fn skill(&self, id: &SkillId) -> Result<&'a Skill, Refusal> {
        self.facts
            .outline()
            .and_then(|outline| outline.skill(id))
            .ok_or(Refusal::Unknown { what: "skill" })
    }

    /// The entry that another one is about is there, of the right kind, and counts.
    pub(super) fn entry(
        &self,
        id: &EntryId,
        wanted: Kind,
        what: &'static str,
    ) -> Result<(), Refusal> {
        match self.facts.entry(id) {
            Some((kind, _, true)) if kind == wanted => Ok(()),
            Some((kind, _, false)) if kind == wanted => Err(Refusal::CountsNot { entry: *id }),
            Some(_) | None => Err(Refusal::Unknown { what }),
        }
    }

    /// Nothing keeps this from being deleted today.
    pub(super) fn not_held(&self, on: HoldOn) -> Result<(), Refusal> {
        let what = match on {
            HoldOn::Student(_) => "person",
            HoldOn::Course(_) => "course",
        };
        match self.facts.held(&on, self.today) {
            Some(entry) => Err(Refusal::Held { what, entry }),
            None => Ok(()),
        }
    }

    /// The writer's role writes such a kind, but not this one.
    pub(super) const fn not_this(&self, kind: Kind) -> Refusal {
        let role = self.writer.role;
        Refusal::Role { role, kind }
    }
}

/// Asks of what is there, if it is.
pub(super) fn each<T>(
    given: impl IntoIterator<Item = T>,
    ask: impl FnMut(T) -> Result<(), Refusal>,
) -> Result<(), Refusal> {
    given.into_iter().try_for_each(ask)
}

pub(super) fn known(what: &'static str, is: bool) -> Result<(), Refusal> {
    if is {
        Ok(())
    } else {
        Err(Refusal::Unknown { what })
    }
}

pub(super) fn open(is: bool) -> Result<(), Refusal> {
    if is {
        Ok(())
    } else {
        Err(Refusal::NothingOpen)
    }
}
