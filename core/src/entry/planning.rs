//! Entries about people and plans: the course itself, enrolment, staff, outline, policy,
//! sessions, clearances.

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

use super::{Carried, DetailsDigest};
use crate::course::{
    ClearanceKind, EntryId, Outline, Policy, Role, RuleId, SessionId, SessionPlan, ShopId, StaffId,
    StudentId,
};

/// A course begins; a later one re-titles it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CourseOpened {
    /// "First dives, June".
    pub title: String,
    /// The shop it belongs to.
    pub shop: ShopId,
    /// First planned day.
    pub starts: NaiveDate,
    /// Where it is usually held, in words; what a new session begins with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
}

/// A student joins the course.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Enrolment {
    /// Who.
    pub student: StudentId,
    /// The details as they were, by their digest: they live in the person's own ledger.
    pub details: DetailsDigest,
    /// Where an earlier part of the course was done, for a referral.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub referred_from: Option<String>,
    /// The id that the other school knew the student by, where its course file was taken over:
    /// nobody is taken over twice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub known_there_as: Option<StudentId>,
}

/// A student's details have changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Amendment {
    /// Who.
    pub student: StudentId,
    /// The details as they are now, by their digest.
    pub details: DetailsDigest,
}

/// A member of staff works on this course.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Assignment {
    /// Who.
    pub staff: StaffId,
    /// As what.
    pub role: Role,
}

/// An outline is adopted or adapted, by value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OutlineSet {
    /// The whole outline.
    pub outline: Outline,
    /// What was changed and why; none for the first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A policy is adopted, by value. Its rules hold for nothing until they are confirmed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PolicySet {
    /// The whole policy.
    pub policy: Policy,
    /// Confirmations that a course takes over from its shop, each with who and when.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub confirmed: Vec<RuleConfirmed>,
    /// The entries of the shop's ledger that say so, where somebody else than the shop takes
    /// them over: its policy, and each confirmation.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub proofs: Vec<Carried>,
}

/// The text that somebody read before confirming a rule: a standard, a law, a decision of
/// the house.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct RuleText {
    /// What it is called.
    pub title: String,
    /// Which edition, or of which year, where it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
    /// Which clause, section or page, where it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clause: Option<String>,
    /// On which day it was read.
    pub on: NaiveDate,
}

/// A confirmation carried over from the shop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct RuleConfirmed {
    /// Which rule.
    pub rule: RuleId,
    /// Who confirmed it.
    pub by: StaffId,
    /// On which day.
    pub on: NaiveDate,
    /// Which text was read.
    pub read: RuleText,
}

/// A person has checked rules of a policy against their source.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PolicyConfirmed {
    /// The policy, by the entry that set it.
    pub policy: EntryId,
    /// The rules checked.
    pub rules: Vec<RuleId>,
    /// The text they were checked against.
    pub read: RuleText,
}

/// A session is planned, or planned anew.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SessionPlanned {
    /// Which.
    pub session: SessionId,
    /// How.
    pub plan: SessionPlan,
}

/// A session moves in time or place; the rest of its plan stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SessionMoved {
    /// Which.
    pub session: SessionId,
    /// To when.
    pub starts: DateTime<FixedOffset>,
    /// To where.
    pub site: String,
    /// Why, in words: "thunder".
    pub why: String,
}

/// A session will not be held.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SessionCancelled {
    /// Which.
    pub session: SessionId,
    /// Why, in words.
    pub why: String,
}

/// A paper was seen or a test passed. The answers on a health declaration are never
/// stored, only that it was seen and what follows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Clearance {
    /// Who.
    pub student: StudentId,
    /// Which.
    pub what: ClearanceKind,
    /// What it said.
    pub result: ClearanceResult,
    /// Until when it counts, if the paper says so itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<NaiveDate>,
    /// Metres swum, minutes floated or per cent reached, where that is asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub figure: Option<u32>,
}

/// What a clearance said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ClearanceResult {
    /// Seen, in order, passed.
    Cleared,
    /// A health declaration that asks for a physician first.
    Referred,
    /// Not passed, or refused.
    NotCleared,
}
