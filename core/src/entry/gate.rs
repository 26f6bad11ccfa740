//! Gate: an instructor's word that somebody goes into the water although a skill that a rule
//! asks for first does not stand.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::Refusal;
use super::bounds::{self, NOTE};
use super::rules::{Asked, Rule};
use crate::course::{SessionId, SkillId, StudentId};

/// A student goes into one session without skills that a rule asks for first.
///
/// It holds for that session and for the skills it names, and for nothing else: no paper, no
/// age and no depth is set aside by it. It is shown and printed wherever the gate is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Override {
    /// Who.
    pub student: StudentId,
    /// Into which session.
    pub session: SessionId,
    /// Without which skills.
    pub skills: BTreeSet<SkillId>,
    /// Why, in words.
    pub why: String,
}

impl Rule for Override {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.student(&self.student)?;
        at.open_session(&self.session)?;
        bounds::figure("skills", bounds::count(self.skills.len()), 1, 60)?;
        let mut skills = self.skills.iter();
        skills.try_for_each(|id| at.skill(id).map(|_| ()))?;
        bounds::text("reason", &self.why, NOTE)
    }
}
