//! What hangs on an incident: moments, people, facts and reports, each an entry of its own, so
//! that two devices write at the same time and nobody waits for the other.
//!
//! Times are those that the writer meant; the entry says when it was written. All of it is
//! personal: it is kept with the incident, and sent nowhere by itself.

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

use super::Who;
use crate::course::EntryId;

/// How an incident came to be written down before anybody typed a word.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Begun {
    /// The alarm that it grew out of: its moments are the incident's first ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<EntryId>,
}

/// A moment of an incident: one press, and the clock does the rest.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct IncidentMoment {
    /// Of which incident.
    pub incident: EntryId,
    /// What.
    pub what: Happening,
    /// When it was.
    pub when: DateTime<FixedOffset>,
    /// Whom it is about, where that was said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<Who>,
    /// In words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub text: Option<String>,
}

/// What can happen at a moment, in the words of first aid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Happening {
    /// Somebody noticed it.
    Noticed,
    /// The casualty was at the surface.
    AtSurface,
    /// The casualty was out of the water.
    OutOfWater,
    /// Breathing was checked.
    BreathingChecked,
    /// Resuscitation began.
    Resuscitation,
    /// Oxygen began.
    OxygenBegun,
    /// The emergency service was called.
    EmergencyCalled,
    /// Help arrived.
    HelpArrived,
    /// The casualty was handed over.
    HandedOver,
    /// What the words say.
    Other,
}

impl Happening {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 10] = [
        Self::Noticed,
        Self::AtSurface,
        Self::OutOfWater,
        Self::BreathingChecked,
        Self::Resuscitation,
        Self::OxygenBegun,
        Self::EmergencyCalled,
        Self::HelpArrived,
        Self::HandedOver,
        Self::Other,
    ];
}

/// Somebody whom an incident concerns, or who saw it.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct IncidentPerson {
    /// In which incident.
    pub incident: EntryId,
    /// As what.
    pub part: PartIn,
    /// Who, of the course.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<Who>,
    /// Who, in words, of those who are not of the course; or more about them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub text: Option<String>,
}

/// What somebody's part in an incident was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum PartIn {
    /// It concerns them.
    Concerned,
    /// They saw it.
    Witness,
}

/// Something that is said of an incident in words.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct IncidentFact {
    /// Of which incident.
    pub incident: EntryId,
    /// About what.
    pub about: FactAbout,
    /// The words.
    pub text: String,
}

/// What the words about an incident are about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum FactAbout {
    /// What happened.
    Happened,
    /// Water, weather, visibility, depth.
    Conditions,
    /// What was done.
    Done,
    /// Equipment that is kept as it was, and where.
    Kept,
}

impl FactAbout {
    /// All of them, in the order in which they are printed.
    pub const ALL: [Self; 4] = [Self::Happened, Self::Conditions, Self::Done, Self::Kept];
}

/// A report that somebody is owed.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct IncidentReport {
    /// Of which incident.
    pub incident: EntryId,
    /// To whom, in words.
    pub to: String,
    /// By which day, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<NaiveDate>,
}

/// A report was made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct IncidentReported {
    /// Which one.
    pub report: EntryId,
    /// On which day.
    pub on: NaiveDate,
}

macro_rules! wordless {
    ($($name:ident),+) => { $(
        /// Written by hand so that no text can reach a log through `{:?}`.
        impl std::fmt::Debug for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                write!(f, "{}({})", stringify!($name), self.incident)
            }
        }
    )+ };
}
wordless!(IncidentMoment, IncidentPerson, IncidentFact, IncidentReport);
