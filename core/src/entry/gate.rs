//! Gate: an instructor's word that somebody goes into the water although a skill that a rule
//! asks for first does not stand.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::bounds::{self, NOTE};
use super::{Facts, Refusal};
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

/// May it be recorded, its session and student being there?
pub(super) fn may_override(facts: &dyn Facts, asked: &Override) -> Result<(), Refusal> {
    bounds::figure("skills", bounds::count(asked.skills.len()), 1, 60)?;
    let outline = facts.outline();
    let known = |id: &SkillId| outline.is_some_and(|outline| outline.skill(id).is_some());
    if !asked.skills.iter().all(known) {
        return Err(Refusal::Unknown { what: "skill" });
    }
    bounds::text("reason", &asked.why, NOTE)
}
