//! Debrief: what is said to one student after a session, as its instructor changed and kept
//! it. It is talk and no mark: nothing counts by it, and no record rests on it.

use serde::{Deserialize, Serialize};

use super::rules::{Asked, Rule};
use super::{Refusal, bounds};
use crate::course::{SessionId, StudentId};

/// What was said to a student after a session.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Debrief {
    /// After which session.
    pub session: SessionId,
    /// To whom.
    pub student: StudentId,
    /// What was said.
    pub said: DebriefText,
}

/// The parts of a debrief, each in words; empty where nothing is to be said.
#[derive(Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct DebriefText {
    /// What was met.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub met: String,
    /// One fault.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub fault: String,
    /// What mends it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub fix: String,
    /// What comes next.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub next: String,
    /// What to practise.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub practise: String,
}

impl DebriefText {
    /// Its parts, each with the field's name.
    pub const fn parts(&self) -> [(&'static str, &String); 5] {
        [
            ("met", &self.met),
            ("fault", &self.fault),
            ("fix", &self.fix),
            ("next", &self.next),
            ("practise", &self.practise),
        ]
    }

    /// What is said in its parts, without those in which nothing is.
    pub(super) fn given(&self) -> impl Iterator<Item = &String> {
        let parts = self.parts().into_iter().map(|(_, text)| text);
        parts.filter(|text| !text.is_empty())
    }
}

/// Written by hand so that nothing said to a student can reach a log through `{:?}`.
impl std::fmt::Debug for DebriefText {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("DebriefText(..)")
    }
}

impl Rule for Debrief {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.student(&self.student)?;
        at.session(&self.session)?;
        bounds::debrief(&self.said)
    }
}
