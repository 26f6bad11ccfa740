//! Source: what every paper and file is made from. Facts only; the caller brings them.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::proofs::Proofs;
use super::words::Words;
use crate::course::{AgeKnown, PersonDetails, Role, SessionId, StaffId, StudentId};
use crate::entry::DeviceKey;
use crate::ledger::Ledger;
use crate::standing::{Counted, CourseStanding, ShopStanding};
use crate::trust::TrustBook;
use crate::view::{Alongside, Known, People, StudentName};

/// Who a student is, from the person's own ledger; nothing once the person is forgotten.
pub trait Names {
    /// The details in force; `None` when this device has none.
    fn details(&self, student: &StudentId) -> Option<PersonDetails>;
}

impl Names for BTreeMap<StudentId, PersonDetails> {
    fn details(&self, student: &StudentId) -> Option<PersonDetails> {
        self.get(student).cloned()
    }
}

impl Names for People {
    fn details(&self, student: &StudentId) -> Option<PersonDetails> {
        self.students.get(student).cloned()
    }
}

/// What a paper about a course is made from.
#[derive(Clone, Copy)]
pub struct Source<'a> {
    /// What the course's entries come to.
    pub course: &'a CourseStanding,
    /// The entries themselves: devices and fingerprint are read from them.
    pub ledger: &'a Ledger,
    /// The shop's name and its staff.
    pub shop: &'a ShopStanding,
    /// Which device belongs to whom.
    pub trust: &'a TrustBook,
    /// The students' details.
    pub names: &'a dyn Names,
    /// What can be proved of these entries, worked out at most once.
    pub proofs: &'a Proofs,
    /// The moment of printing, by the device's clock.
    pub now: DateTime<FixedOffset>,
    /// Whom other courses bring into the water of its sessions; `None` where nobody asked.
    pub water: Option<&'a BTreeMap<SessionId, Alongside>>,
}

/// Who put their name to an entry.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Signer {
    /// The person.
    pub staff: StaffId,
    /// The name in force; `None` when the shop's ledger does not say.
    pub name: Option<String>,
    /// In which role the device was admitted.
    pub role: Role,
    /// What the device is called.
    pub device: Option<String>,
    /// The key that signed.
    pub key: Option<DeviceKey>,
}

impl Source<'_> {
    /// Today, where the device is.
    pub fn today(&self) -> NaiveDate {
        self.now.date_naive()
    }

    /// Who wrote an entry, with what.
    pub fn signer(&self, one: &Counted) -> Signer {
        let key = self
            .ledger
            .lines()
            .get(&one.entry.id)
            .and_then(|line| line.key);
        Signer {
            staff: one.writer.staff,
            name: self.staff_name(&one.writer.staff),
            role: one.writer.role,
            device: key
                .and_then(|key| self.trust.certificate(&key))
                .map(|certificate| certificate.device.clone()),
            key,
        }
    }

    /// Who wrote an entry of the shop's own ledger: which device it was is not asked.
    pub(crate) fn signer_of_shop(&self, one: &Counted) -> Signer {
        Signer {
            staff: one.writer.staff,
            name: self.staff_name(&one.writer.staff),
            role: one.writer.role,
            device: None,
            key: None,
        }
    }

    /// The name of a member of staff; the shop's own name for its office.
    pub fn staff_name(&self, staff: &StaffId) -> Option<String> {
        let office = StaffId::new(crate::trust::shop_id(self.trust.root()).uuid());
        match self.shop.staff_name(staff) {
            Some(name) => Some(name.to_owned()),
            None if *staff == office => self.shop.name().map(str::to_owned),
            None => None,
        }
    }

    /// A student's name as it is printed: the id where no details are left.
    pub(crate) fn student_name(&self, student: &StudentId, words: &Words) -> String {
        match self.names.details(student) {
            Some(details) => details.name,
            None => nameless(student, words),
        }
    }

    /// Students in the order in which every list has them, each called as shortly as tells
    /// the course's students apart.
    pub(crate) fn roster(&self, students: &[StudentId], words: &Words) -> Vec<(StudentId, String)> {
        let enrolled = self.course.students().into_iter();
        let all: BTreeSet<StudentId> = enrolled.chain(students.iter().copied()).collect();
        let all: Vec<StudentId> = all.into_iter().collect();
        let details = all
            .iter()
            .filter_map(|id| Some((*id, self.names.details(id)?)));
        let people = People {
            students: details.collect(),
            ..People::default()
        };
        let called = |name: StudentName| match name.known {
            Known::Here => (name.student, name.short),
            Known::NotHere | Known::Forgotten => (name.student, nameless(&name.student, words)),
        };
        let roster = people.roster(&all).into_iter();
        roster
            .filter(|name| students.contains(&name.student))
            .map(called)
            .collect()
    }

    /// What is known of a student's age.
    pub(crate) fn age(&self, student: &StudentId) -> AgeKnown {
        let details = self.names.details(student);
        details.map_or(AgeKnown::Nothing, |details| details.age())
    }

    /// Birth date, where the course holds one.
    pub(crate) fn born(&self, student: &StudentId) -> Option<NaiveDate> {
        self.names.details(student).and_then(|details| details.born)
    }
}

/// A forgotten student: the last group of the id, which differs from student to student
/// where the first is only the time of enrolment.
pub(crate) fn nameless(student: &StudentId, words: &Words) -> String {
    let id = student.to_string();
    let last = id.rsplit('-').next().unwrap_or_default();
    format!("{} {last}", words.student)
}
