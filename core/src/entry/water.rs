//! Entries about the water: attendance, dives, weight checks, incidents; and notes.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::bounds::{self, NOTE};
use super::rules::{Asked, Rule, each, known};
use super::{Begun, Refusal};
use crate::course::{DiveLog, EntryId, SessionId, SkillId, StaffId, StudentId, WeightCheck};

/// A student or a member of staff.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Who {
    /// A student of the course.
    Student(StudentId),
    /// A member of staff.
    Staff(StaffId),
}

/// Someone entered the water, came out, or did not come.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Attendance {
    /// Who passed, student or staff.
    pub who: Who,
    /// In which session.
    pub session: SessionId,
    /// In, out, or absent.
    pub passage: Passage,
    /// When; the tap's own time unless it was put right by hand.
    pub when: DateTime<FixedOffset>,
}

/// A passage through the water's surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Passage {
    /// Into the water.
    In,
    /// Out of it, seen and counted.
    Out,
    /// Did not come.
    Absent,
}

/// A weight check of a student.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WeightChecked {
    /// Whose lead was checked.
    pub student: StudentId,
    /// In which session.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub session: Option<SessionId>,
    /// What was worn and what the check showed.
    pub check: WeightCheck,
}

/// A dive of a student or of a member of staff.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct DiveLogged {
    /// Who dived, student or staff.
    pub who: Who,
    /// In which session.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub session: Option<SessionId>,
    /// Where, in words, of a dive that belongs to no session.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site: Option<String>,
    /// The dive.
    pub log: DiveLog,
}

/// A dive that a student made by themselves, brought in from a log of theirs. It is none of the
/// course: nobody of the course saw it, no rule counts it, and whoever took it in stands for no
/// more than that.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OwnDive {
    /// Whose.
    pub student: StudentId,
    /// Where, in words; 1 to 4,000 characters are recorded.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site: Option<String>,
    /// The dive.
    pub log: DiveLog,
}

/// Something went wrong, or nearly.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Incident {
    /// In which session.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub session: Option<SessionId>,
    /// Whom it concerns.
    pub who: Vec<Who>,
    /// When it happened.
    pub when: DateTime<FixedOffset>,
    /// What happened, in words.
    pub happened: String,
    /// What was done, in words.
    pub done: String,
    /// To whom it was reported, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reported: Option<String>,
    /// That it was begun by a press, its words to follow; absent of a report in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub begun: Option<Begun>,
}

/// A remark.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Note {
    /// About whom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub student: Option<StudentId>,
    /// About which skill.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub skill: Option<SkillId>,
    /// About which session.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub session: Option<SessionId>,
    /// About which entry: a remark added to an attempt later.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub entry: Option<EntryId>,
    /// The remark; 1 to 4,000 characters are recorded.
    pub text: String,
}

impl Rule for Attendance {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.who(&self.who)?;
        at.open_session(&self.session)?;
        bounds::passage(self.passage, self.when)
    }
}

impl Rule for WeightChecked {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.student(&self.student)?;
        each(&self.session, |id| at.open_session(id))?;
        bounds::weight(&self.check)
    }
}

impl Rule for DiveLogged {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.who(&self.who)?;
        each(&self.session, |id| at.open_session(id))?;
        bounds::dive(&self.log)
    }
}

impl Rule for OwnDive {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.student(&self.student)?;
        bounds::optional("site", self.site.as_ref(), NOTE)?;
        bounds::dive(&self.log)
    }
}

impl Rule for Note {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        bounds::text("note", &self.text, NOTE)?;
        each(&self.student, |id| at.student(id))?;
        each(&self.skill, |id| at.skill(id).map(|_| ()))?;
        each(&self.session, |id| at.session(id))?;
        each(&self.entry, |id| {
            known("entry", at.facts.entry(id).is_some())
        })
    }
}
