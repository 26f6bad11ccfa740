//! Reader: who looks at a screen, when, in which units, and what is known beside the
//! course. Every view is a pure function of a standing and this.

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::facts::KnownFacts;
use super::people::{People, StaffName, StudentName, WhoName};
use super::{Day, Leave, Moment, Units};
use crate::course::{AgeKnown, LedgerId, PersonDetails, SessionId, SkillId, StaffId, StudentId};
use crate::entry::{Authority, Body, DeviceKey, Sort, Who, Withdrawal, Writer};
use crate::standing::{Counted, CourseStanding, ShopStanding};
use crate::trust::{TrustBook, shop_id};

/// Who looks, and what this device knows beside the course.
#[derive(Debug, Clone, Copy)]
pub struct Reader<'a> {
    /// The shop.
    pub shop: &'a ShopStanding,
    /// Whose device wrote what, by the certificates of that shop.
    pub trust: &'a TrustBook,
    /// Names.
    pub people: &'a People,
    /// What this device may write; nothing while it is not admitted, and then it only reads.
    pub authority: Authority,
    /// The key of this device: what it drew is answered on it alone.
    pub device: DeviceKey,
    /// Now.
    pub now: DateTime<FixedOffset>,
    /// In which units.
    pub units: Units,
    /// The running courses of this device, for the hours, the staff and the water that they
    /// share with the one that is looked at; none where nobody asked for them.
    pub courses: &'a [&'a CourseStanding],
}

impl Reader<'_> {
    /// A course among the running ones of this device, itself with them.
    pub(super) fn among<'b>(&'b self, course: &'b CourseStanding) -> Vec<&'b CourseStanding> {
        let others = self.courses.iter().copied();
        let others = others.filter(|other| other.id() != course.id());
        others.chain([course]).collect()
    }

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

    /// What is known here of a student's age.
    pub(super) fn age(&self, student: &StudentId) -> AgeKnown {
        let details = self.people.students.get(student);
        details.map_or(AgeKnown::Nothing, PersonDetails::age)
    }

    /// The name of the device that wrote an entry; the beginning of its key when no
    /// certificate here names it.
    pub(super) fn device(&self, one: &Counted) -> String {
        self.trust.certificate(&one.device).map_or_else(
            || one.device.short(),
            |certificate| certificate.device.clone(),
        )
    }

    /// Who this device writes as; `None` while it is not admitted.
    pub fn writer(&self) -> Option<Writer> {
        self.authority.own()
    }

    /// Whether entries of this sort are the reader's to write.
    pub(super) fn may_write(&self, sort: impl Into<Sort>) -> Leave {
        match self.authority.may_write(sort.into()) {
            Ok(_) => Leave::Yes,
            Err(refusal) => Leave::after(&refusal),
        }
    }

    /// Whether the reader may record just this in a course now: the rules are asked as they
    /// are when it is recorded.
    pub(super) fn may_record(&self, course: &CourseStanding, body: impl Into<Body>) -> Leave {
        let ledger = LedgerId::Course(*course.id());
        let age = |student: &StudentId| self.age(student);
        let facts = KnownFacts {
            ledger: &ledger,
            shop: self.shop,
            book: self.trust,
            course: Some(course),
            today: self.today(),
            own: None,
            age: &age,
        };
        let asked = self
            .authority
            .may_record(&facts, &ledger, &body.into(), self.today());
        match asked {
            Ok(_) => Leave::Yes,
            Err(refusal) => Leave::after(&refusal),
        }
    }

    /// Whether the reader may record just this in the shop's ledger now.
    pub(super) fn may_record_in_shop(&self, body: impl Into<Body>) -> Leave {
        let ledger = LedgerId::Shop(shop_id(self.trust.root()));
        let age = |student: &StudentId| self.age(student);
        let facts = KnownFacts {
            ledger: &ledger,
            shop: self.shop,
            book: self.trust,
            course: None,
            today: self.today(),
            own: Some(self.device),
            age: &age,
        };
        let asked = self
            .authority
            .may_record(&facts, &ledger, &body.into(), self.today());
        match asked {
            Ok(_) => Leave::Yes,
            Err(refusal) => Leave::after(&refusal),
        }
    }

    /// Whether the reader may withdraw an entry.
    pub(super) fn may_withdraw(&self, course: &CourseStanding, one: &Counted) -> Leave {
        let entry = one.entry.id;
        self.may_record(course, Withdrawal { entry, why: None })
    }
}

/// A skill by name: the outline's, or its id where the outline in force no longer has it.
pub(super) fn skill_name(course: &CourseStanding, id: &SkillId) -> String {
    course
        .spoken_skill(id)
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
