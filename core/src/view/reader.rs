//! Reader: who looks at a screen, when, in which units, and what is known beside the
//! course. Every view is a pure function of a standing and this.

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::people::{People, StaffName, StudentName, WhoName};
use super::{Day, Leave, Moment, Units};
use crate::course::{ClearanceKind, Role, SessionId, SkillId, StaffId, StudentId, age_on};
use crate::entry::{Kind, Who, Writer, may_withdraw};
use crate::standing::{Counted, CourseStanding, ShopStanding};
use crate::trust::TrustBook;

/// Who looks, and what this device knows beside the course.
#[derive(Debug, Clone, Copy)]
pub struct Reader<'a> {
    /// The shop.
    pub shop: &'a ShopStanding,
    /// Whose device wrote what, by the certificates of that shop.
    pub trust: &'a TrustBook,
    /// Names.
    pub people: &'a People,
    /// Who this device writes as; `None` while it is not admitted, and then it may only read.
    pub writer: Option<Writer>,
    /// Now.
    pub now: DateTime<FixedOffset>,
    /// In which units.
    pub units: Units,
}

impl Reader<'_> {
    /// Today, where the device is.
    pub fn today(&self) -> NaiveDate {
        self.now.date_naive()
    }

    /// A day, seen from today.
    pub(super) fn day(&self, date: NaiveDate) -> Day {
        Day::of(date, self.today())
    }

    /// A moment, seen from now.
    pub(super) fn when(&self, at: DateTime<FixedOffset>) -> Moment {
        Moment::of(at, self.now)
    }

    /// A student's name.
    pub(super) fn student(&self, id: &StudentId) -> StudentName {
        self.people.name_of(id)
    }

    /// A staff name.
    pub(super) fn staff(&self, id: &StaffId) -> StaffName {
        self.people.staff_name(id)
    }

    /// A name.
    pub(super) fn who(&self, who: &Who) -> WhoName {
        match who {
            Who::Student(id) => WhoName::Student(self.student(id)),
            Who::Staff(id) => WhoName::Staff(self.staff(id)),
        }
    }

    /// A student's birth date, where it is known here.
    pub(super) fn born(&self, student: &StudentId) -> Option<NaiveDate> {
        self.people.students.get(student)?.born
    }

    /// A student's age on a day, where the birth date is known here.
    pub(super) fn age(&self, student: &StudentId, on: NaiveDate) -> Option<u32> {
        age_on(self.born(student)?, on)
    }

    /// The name of the device that wrote an entry; the beginning of its key when no
    /// certificate here names it.
    pub(super) fn device(&self, one: &Counted) -> String {
        self.trust.certificate(&one.device).map_or_else(
            || one.device.short(),
            |certificate| certificate.device.clone(),
        )
    }

    /// Whether the reader works in one of these roles, or why it may not do what they may.
    pub(super) fn leave(&self, roles: &[Role]) -> Leave {
        match self.writer {
            None => Leave::NotAdmitted,
            Some(writer) if roles.contains(&writer.role) => Leave::Yes,
            Some(_) => Leave::Role,
        }
    }

    /// Whether the reader may withdraw an entry.
    pub(super) fn may_withdraw(&self, course: &CourseStanding, one: &Counted) -> Leave {
        let Some(writer) = self.writer else {
            return Leave::NotAdmitted;
        };
        if !course.tally().counts(&one.entry.id) {
            Leave::NothingOpen
        } else if may_withdraw(writer, one.entry.body.kind(), one.entry.by) {
            Leave::Yes
        } else {
            Leave::Role
        }
    }

    /// Whether an entry of this kind is the reader's to write; for a clearance, which one.
    pub(super) fn may_write(&self, kind: Kind, clearance: Option<ClearanceKind>) -> Leave {
        let judged = matches!(clearance, Some(ClearanceKind::Swim | ClearanceKind::Float));
        match kind {
            Kind::Confirmation | Kind::Resolution | Kind::Exemption | Kind::Completion => {
                self.leave(&[Role::Instructor])
            }
            Kind::Clearance if judged => self.leave(&[Role::Instructor]),
            Kind::Attempt | Kind::WeightChecked => self.leave(&JUDGES),
            Kind::Attendance
            | Kind::Withdrawal
            | Kind::Note
            | Kind::DiveLogged
            | Kind::Incident => self.leave(&[Role::Instructor, Role::Assistant, Role::Shop]),
            Kind::ShopOpened
            | Kind::Revocation
            | Kind::LateAccepted
            | Kind::PersonForgotten
            | Kind::HoldSet
            | Kind::CourseDropped => self.leave(&[Role::Shop]),
            Kind::StaffJoined
            | Kind::Certificate
            | Kind::CourseListed
            | Kind::Details
            | Kind::CourseOpened
            | Kind::Enrolment
            | Kind::Amendment
            | Kind::Assignment
            | Kind::OutlineSet
            | Kind::PolicySet
            | Kind::PolicyConfirmed
            | Kind::SessionPlanned
            | Kind::SessionMoved
            | Kind::SessionCancelled
            | Kind::Clearance => self.leave(&[Role::Instructor, Role::Shop]),
        }
    }
}

/// Those who judge at the pool.
pub(super) const JUDGES: [Role; 2] = [Role::Instructor, Role::Assistant];

/// A skill by name: the outline's, or its id where the outline in force no longer has it.
pub(super) fn skill_name(course: &CourseStanding, id: &SkillId) -> String {
    course
        .outline()
        .and_then(|outline| outline.skill(id))
        .map_or_else(|| id.to_string(), |skill| skill.name.clone())
}

/// A session by title; `None` when it is not planned here.
pub(super) fn session_title(course: &CourseStanding, id: &SessionId) -> Option<String> {
    course
        .sessions()
        .get(id)
        .map(|session| session.plan.title.clone())
}

/// A count as it is shown; a course never reaches the end of it.
pub(super) fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
