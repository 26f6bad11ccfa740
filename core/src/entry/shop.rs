//! Entries of the shop's ledger, and the one of a person's.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::{Consent, DeviceKey};
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
