//! Entries of the shop's ledger, and the one of a person's, each with its own rule.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::bounds::{self, NAME, NOTE};
use super::rules::{Asked, Rule, known};
use super::{Consent, DeviceKey, Kind, Refusal};
use crate::course::{
    CourseId, EntryId, LedgerId, PersonDetails, Role, StaffId, StaffPaper, StudentId,
};

/// The shop opens; a later one renames it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShopOpened {
    /// Its name, 1 to 200 characters.
    pub name: String,
}

/// A member of staff joins, or changes name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StaffJoined {
    /// Who; the same id again is a new name.
    pub staff: StaffId,
    /// Name as it is printed beside their marks.
    pub name: String,
}

/// Something that a member of staff renews was seen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StaffRenewed {
    /// Who.
    pub staff: StaffId,
    /// What.
    pub what: StaffPaper,
    /// Its last day; none where it has no end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<NaiveDate>,
}

/// A device may act for a member of staff, in a role.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Certificate {
    /// Whose device.
    pub staff: StaffId,
    /// What it makes its holder.
    pub role: Role,
    /// "Renate's tablet".
    pub device: String,
    /// The key that signs entries.
    pub key: DeviceKey,
    /// The key that opens connections.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub link: Option<DeviceKey>,
    /// First day.
    pub from: NaiveDate,
    /// Last day on which the shop admits the device; none for no end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<NaiveDate>,
    /// The device's own word that it lets its issuer admit it; an instructor's certificate
    /// counts only with it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub consent: Option<Consent>,
}

/// A device may no longer act: lost, sold, left.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Revocation {
    /// The key that signed its entries.
    pub key: DeviceKey,
    /// Why, in words.
    pub why: String,
    /// The last entries of this key that the shop held at that moment, ledger by ledger.
    /// They and what the key wrote before them count; what arrives later is listed.
    pub held: BTreeMap<LedgerId, Vec<EntryId>>,
}

/// Entries of a revoked device that arrived late and are accepted all the same.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LateAccepted {
    /// Of which ledger.
    pub ledger: LedgerId,
    /// Which: at least one, at most 100,000.
    pub entries: Vec<EntryId>,
}

/// A course of this shop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CourseListed {
    /// Which.
    pub course: CourseId,
    /// Its title, 1 to 200 characters.
    pub title: String,
    /// First planned day.
    pub starts: NaiveDate,
    /// Who may have its ledger besides the shop.
    pub staff: Vec<StaffId>,
    /// Whether it is still worked on.
    #[serde(default)]
    pub state: CourseState,
}

/// Where a course stands in the shop's list.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum CourseState {
    /// Worked on, or still to begin.
    #[default]
    Running,
    /// Ended; nothing more is expected.
    Closed,
    /// Handed to another shop.
    HandedOver,
}

/// A person's details shall be dropped wherever they are.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PersonForgotten {
    /// Who.
    pub student: StudentId,
    /// Why, in words that name nobody: "kept long enough".
    pub why: String,
}

/// What a hold keeps from being deleted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HoldOn {
    /// A person's details, and every course with the person in it.
    Student(StudentId),
    /// A course, and the details of everyone in it.
    Course(CourseId),
}

/// A claim, an inquiry, an order of a court: what it speaks of is kept on, whatever the
/// policy says. It is lifted by withdrawing it, or ends by itself after its last day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HoldSet {
    /// What it holds.
    pub on: HoldOn,
    /// Why, in words that name nobody.
    pub why: String,
    /// Its last day; none until someone lifts it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<NaiveDate>,
}

/// A whole course shall be dropped wherever it is, with every student's record in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CourseDropped {
    /// Which; it must be closed first.
    pub course: CourseId,
    /// Why, in words that name nobody: "kept long enough".
    pub why: String,
}

/// A person's details, in the person's own ledger.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Details {
    /// The details.
    pub details: PersonDetails,
    /// 32 random bytes in hexadecimal: without them a digest could be guessed from a name.
    pub salt: String,
}

impl Details {
    /// The days that it names.
    pub(super) fn days(&self) -> impl Iterator<Item = NaiveDate> {
        let seen = self.details.adult.iter().map(|seen| seen.on);
        self.details.born.into_iter().chain(seen)
    }
}

impl Rule for ShopOpened {
    fn may_be_recorded(&self, _: &Asked<'_>) -> Result<(), Refusal> {
        bounds::text("name", &self.name, NAME)
    }
}

impl Rule for StaffJoined {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        // Nor would it show: see the standing of the shop.
        if at.writer.role != Role::Shop && at.facts.is_named_by_shop(&self.staff) {
            return Err(at.not_this(Kind::StaffJoined));
        }
        bounds::text("name", &self.name, NAME)
    }
}

impl Rule for StaffRenewed {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.staff(&self.staff)?;
        self.until
            .map_or(Ok(()), |until| bounds::date("until", until))
    }
}

impl Rule for Certificate {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.staff(&self.staff)?;
        bounds::text("device", &self.device, 80)?;
        // Nor would it count: see the trust book.
        let own = self.consent.is_some() && !at.facts.is_senior(&self.staff);
        known("device", at.writer.role != Role::Instructor || own)?;
        bounds::clock("from", self.from)?;
        match self.until {
            Some(until) if until < self.from => Err(Refusal::EndsBeforeItBegins {
                field: "certificate",
            }),
            Some(until) => bounds::date("until", until),
            None => Ok(()),
        }
    }
}

impl Rule for Revocation {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        // Nor would it count: see the trust book.
        if !at.facts.may_shut_out(at.writer, &self.key) {
            return Err(at.not_this(Kind::Revocation));
        }
        bounds::text("reason", &self.why, NOTE)
    }
}

impl Rule for LateAccepted {
    fn may_be_recorded(&self, _: &Asked<'_>) -> Result<(), Refusal> {
        bounds::figure("entries", bounds::count(self.entries.len()), 1, 100_000)
    }
}

impl Rule for CourseListed {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        let staff = &at.writer.staff;
        if at.writer.role != Role::Shop && !at.facts.may_list(&self.course, staff) {
            return Err(at.not_this(Kind::CourseListed));
        }
        bounds::text("title", &self.title, NAME)?;
        bounds::date("start", self.starts)
    }
}

impl Rule for PersonForgotten {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        bounds::text("reason", &self.why, NOTE)?;
        at.not_held(HoldOn::Student(self.student))
    }
}

impl Rule for HoldSet {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        bounds::text("reason", &self.why, NOTE)?;
        // A hold whose last day is past would hold nothing, and look as if it did.
        self.until
            .map_or(Ok(()), |until| bounds::from_day("until", until, at.today))
    }
}

impl Rule for CourseDropped {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        bounds::text("reason", &self.why, NOTE)?;
        at.not_held(HoldOn::Course(self.course))?;
        match at.facts.listed(&self.course) {
            Some(CourseState::Running) => Err(Refusal::StillRunning),
            Some(CourseState::Closed | CourseState::HandedOver) => Ok(()),
            None => Err(Refusal::Unknown { what: "course" }),
        }
    }
}

impl Rule for Details {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        bounds::details(&self.details, at.today)
    }
}
