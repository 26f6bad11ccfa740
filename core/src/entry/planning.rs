//! Entries about people and plans: the course itself, enrolment, staff, outline, policy,
//! sessions, clearances; each with its own rule.

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

use super::bounds::{self, NAME, NOTE};
use super::rules::{Asked, Rule, known};
use super::{Carried, DetailsDigest, Refusal};
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
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum ClearanceResult {
    /// Seen, in order, passed.
    Cleared,
    /// A health declaration that asks for a physician first.
    Referred,
    /// Not passed, or refused.
    NotCleared,
}

impl PolicySet {
    /// The days that it names.
    pub(super) fn days(&self) -> impl Iterator<Item = NaiveDate> {
        let confirmed = self.confirmed.iter();
        confirmed.flat_map(|one| [one.on, one.read.on])
    }
}

impl Rule for CourseOpened {
    fn may_be_recorded(&self, _: &Asked<'_>) -> Result<(), Refusal> {
        bounds::text("title", &self.title, NAME)?;
        bounds::optional("place", self.place.as_ref(), NAME)?;
        bounds::date("start", self.starts)
    }
}

impl Rule for Enrolment {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        bounds::optional("referred from", self.referred_from.as_ref(), NAME)?;
        if at.facts.has_student(&self.student) {
            Err(Refusal::AlreadyEnrolled)
        } else {
            Ok(())
        }
    }
}

impl Rule for Amendment {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.student(&self.student)
    }
}

impl Rule for Assignment {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.staff(&self.staff)
    }
}

impl Rule for OutlineSet {
    fn may_be_recorded(&self, _: &Asked<'_>) -> Result<(), Refusal> {
        bounds::optional("reason", self.why.as_ref(), NOTE)?;
        let faults = self.outline.faults();
        if faults.is_empty() {
            Ok(())
        } else {
            Err(Refusal::Outline(faults))
        }
    }
}

impl Rule for PolicySet {
    fn may_be_recorded(&self, _: &Asked<'_>) -> Result<(), Refusal> {
        bounds::text("title", &self.policy.title, NAME)?;
        let faults = self.policy.faults();
        if faults.is_empty() {
            Ok(())
        } else {
            Err(Refusal::Policy(faults))
        }
    }
}

impl Rule for PolicyConfirmed {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        let policy = at.facts.policy_of(&self.policy);
        let policy = policy.ok_or(Refusal::Unknown { what: "policy" })?;
        bounds::figure("rules", bounds::count(self.rules.len()), 1, 200)?;
        bounds::rule_text(&self.read, at.today)?;
        let mut rules = self.rules.iter();
        known("rule", rules.all(|rule| policy.rule(rule).is_some()))
    }
}

impl Rule for SessionPlanned {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        let plan = &self.plan;
        bounds::plan(plan)?;
        plan.students.iter().try_for_each(|id| at.student(id))?;
        plan.staff.iter().try_for_each(|id| at.staff(id))?;
        // A run list or a class that was changed by hand leaves stations behind that do
        // not fit it: whoever shows them leaves out what is not on the plan.
        for station in &plan.stations {
            at.staff(&station.staff)?;
            let tried = station.runs.iter().flat_map(|run| &run.students);
            let mut named = station.buddies.iter().flatten().chain(tried);
            named.try_for_each(|id| at.student(id))?;
            let mut runs = station.runs.iter();
            runs.try_for_each(|run| at.skill(&run.skill).map(|_| ()))?;
        }
        let mut run_list = plan.run_list.iter();
        run_list.try_for_each(|id| at.skill(id).map(|_| ()))
    }
}

impl Rule for SessionMoved {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.open_session(&self.session)?;
        bounds::text("site", &self.site, NAME)?;
        bounds::text("reason", &self.why, NOTE)?;
        bounds::time("start", self.starts)
    }
}

impl Rule for SessionCancelled {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.open_session(&self.session)?;
        bounds::text("reason", &self.why, NOTE)
    }
}

impl Rule for Clearance {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.student(&self.student)?;
        if self.result == ClearanceResult::Referred && self.what != ClearanceKind::Health {
            return Err(Refusal::NothingOpen);
        }
        self.until
            .map_or(Ok(()), |until| bounds::date("until", until))?;
        self.figure.map_or(Ok(()), |figure| {
            bounds::figure("figure", i64::from(figure), 0, 10_000)
        })
    }
}
