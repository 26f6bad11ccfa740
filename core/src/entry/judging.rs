//! Entries about judging: attempts, confirmations, resolutions, exemptions, completion.

mod rules;

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

use crate::course::{EntryId, MethodId, SessionId, SkillId, SlipId, StudentId};

/// What a judge saw in one try.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Mark {
    /// The requirement was shown.
    Met,
    /// Close: one thing to put right.
    Nearly,
    /// Not shown.
    NotYet,
    /// Not tried today.
    SatOut,
}

/// One try of one skill by one student, judged.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Attempt {
    /// Who tried.
    pub student: StudentId,
    /// Which skill of the outline.
    pub skill: SkillId,
    /// In which of the skill's ways, if it has several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub method: Option<MethodId>,
    /// What was seen.
    pub mark: Mark,
    /// Figures that were taken.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub measured: Vec<Measured>,
    /// Faults that were seen.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub slips: Vec<SlipId>,
    /// A remark; at most 4,000 characters are recorded.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Why it counts as met although a figure is below what is asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub despite: Option<String>,
    /// In which session.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub session: Option<SessionId>,
    /// How it came in.
    #[serde(default, skip_serializing_if = "Origin::is_live")]
    pub origin: Origin,
}

/// One figure taken in a try, in the base unit of the requirement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Measured {
    /// How many.
    Count(#[cfg_attr(feature = "border", uniffi(name = "figure"))] u32),
    /// How long, in seconds.
    Seconds(#[cfg_attr(feature = "border", uniffi(name = "figure"))] u32),
    /// How far, in decimetres.
    Decimetres(#[cfg_attr(feature = "border", uniffi(name = "figure"))] u32),
    /// How far off in depth, in centimetres.
    Centimetres(#[cfg_attr(feature = "border", uniffi(name = "figure"))] u32),
    /// Upwards, in centimetres a minute.
    CmPerMinute(#[cfg_attr(feature = "border", uniffi(name = "figure"))] u32),
    /// A figure read off.
    Reading(#[cfg_attr(feature = "border", uniffi(name = "figure"))] u32),
}

/// How a mark came into the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(from = "OriginStored", into = "OriginStored")]
pub enum Origin {
    /// Tapped when it was seen.
    #[default]
    Live,
    /// Recorded at the surface, from memory; seen at the time given.
    Memory {
        /// When it was seen, as the one who remembers says.
        seen: DateTime<FixedOffset>,
    },
    /// Typed in from a printed slate; seen at the time given.
    Slate {
        /// When it was seen, as written on the slate.
        seen: DateTime<FixedOffset>,
    },
}

impl Origin {
    const fn is_live(&self) -> bool {
        matches!(self, Self::Live)
    }

    /// When it was seen, where that is not when it was written.
    pub const fn seen(&self) -> Option<DateTime<FixedOffset>> {
        match self {
            Self::Live => None,
            Self::Memory { seen } | Self::Slate { seen } => Some(*seen),
        }
    }
}

/// The stored form. A mark from memory is a live one with the time it was seen added: a
/// version that does not know that field reads a live mark, which counts the same, and not a
/// malformed one, which would count for nothing.
#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "from")]
enum OriginStored {
    Live {
        #[serde(default, skip_serializing_if = "Option::is_none")]
        recalled: Option<DateTime<FixedOffset>>,
    },
    Slate {
        seen: DateTime<FixedOffset>,
    },
}

impl From<OriginStored> for Origin {
    fn from(stored: OriginStored) -> Self {
        match stored {
            OriginStored::Live { recalled: None } => Self::Live,
            OriginStored::Live {
                recalled: Some(seen),
            } => Self::Memory { seen },
            OriginStored::Slate { seen } => Self::Slate { seen },
        }
    }
}

impl From<Origin> for OriginStored {
    fn from(origin: Origin) -> Self {
        match origin {
            Origin::Live => Self::Live { recalled: None },
            Origin::Memory { seen } => Self::Live {
                recalled: Some(seen),
            },
            Origin::Slate { seen } => Self::Slate { seen },
        }
    }
}

/// An instructor stands behind attempts that an assistant marked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Confirmation {
    /// The attempts, by entry.
    pub attempts: Vec<EntryId>,
}

/// An instructor's word on a cell: settles two views or a slip since.
///
/// What it settles is in the entry's `after`: every entry of the cell that was on screen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Resolution {
    /// Whose cell.
    pub student: StudentId,
    /// Which skill: with the student, the cell.
    pub skill: SkillId,
    /// How it stands from here.
    pub mark: Mark,
    /// Why, in words.
    pub why: String,
}

/// A skill this student need not show, with the reason that will be printed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Exemption {
    /// Who need not show it.
    pub student: StudentId,
    /// Which skill.
    pub skill: SkillId,
    /// Why, in words; may be empty where it was met elsewhere.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub why: String,
    /// Where it was met, when another school's course is continued here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub elsewhere: Option<MetElsewhere>,
}

/// A skill that was met at another school, as that school's course file says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MetElsewhere {
    /// The school's name, as it was in the file.
    pub school: String,
    /// The file's fingerprint, short: the file is the proof.
    pub file: String,
    /// Who judged it there, and when; `None` where the file does not say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub judged: Option<JudgedElsewhere>,
}

/// Who judged a skill at another school.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct JudgedElsewhere {
    /// The name, or the id where the file has none.
    pub by: String,
    /// The day.
    pub on: NaiveDate,
}

/// An entry that shall no longer count. It stays, and the record shows both.
///
/// A withdrawal can be withdrawn: that is how an undo is undone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Withdrawal {
    /// The entry, which stays and no longer counts.
    pub entry: EntryId,
    /// Why, in words; an undo straight after the tap needs none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// How a student's course ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Outcome {
    /// Everything the outline and the policy ask for is met.
    Completed,
    /// The rest will be done elsewhere.
    Referred,
    /// Ended before completion.
    Left,
}

/// An instructor's statement that a student's course has ended, over the exact set of
/// entries that were considered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Completion {
    /// Whose course has ended.
    pub student: StudentId,
    /// How it ended.
    pub outcome: Outcome,
    /// Every entry about this student that counted at that moment, in order of id.
    pub considered: Vec<EntryId>,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// How a mark came in, as a version has it that knows nothing of memory.
    #[derive(Debug, PartialEq, Deserialize)]
    #[serde(rename_all = "snake_case", tag = "from")]
    enum Older {
        Live,
        Slate { seen: DateTime<FixedOffset> },
    }

    #[test]
    fn an_older_version_counts_a_mark_from_memory_and_one_from_a_slate() {
        let seen = DateTime::parse_from_rfc3339("2026-06-06T10:20:00+02:00").unwrap();
        let memory = serde_json::to_string(&Origin::Memory { seen }).unwrap();
        assert_eq!(
            memory,
            r#"{"from":"live","recalled":"2026-06-06T10:20:00+02:00"}"#
        );
        assert_eq!(serde_json::from_str::<Older>(&memory).unwrap(), Older::Live);
        let slate = serde_json::to_string(&Origin::Slate { seen }).unwrap();
        assert_eq!(
            slate,
            r#"{"from":"slate","seen":"2026-06-06T10:20:00+02:00"}"#
        );
        assert_eq!(
            serde_json::from_str::<Older>(&slate).unwrap(),
            Older::Slate { seen }
        );
        for (text, origin) in [
            (memory.as_str(), Origin::Memory { seen }),
            (slate.as_str(), Origin::Slate { seen }),
            (r#"{"from":"live"}"#, Origin::Live),
        ] {
            assert_eq!(serde_json::from_str::<Origin>(text).unwrap(), origin);
        }
    }
}
