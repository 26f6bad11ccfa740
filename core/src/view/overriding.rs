//! Overriding: what an instructor set aside for a student in a session, as it is shown
//! wherever the gate is.

use super::reader::skill_name;
use super::{Leave, Moment, Reader, StaffName};
use crate::course::{EntryId, SessionId, StudentId};
use crate::standing::CourseStanding;

/// One override that stands.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct OverrideRow {
    /// Its entry.
    pub entry: EntryId,
    /// The skills it sets aside, by name, in the outline's order.
    pub skills: Vec<String>,
    /// Why.
    pub why: String,
    /// Who.
    pub by: StaffName,
    /// When.
    pub at: Moment,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
}

/// Every override of a student in a session, by id.
pub(super) fn overrides(
    course: &CourseStanding,
    reader: &Reader<'_>,
    session: Option<&SessionId>,
    student: &StudentId,
) -> Vec<OverrideRow> {
    let Some(session) = session else {
        return Vec::new();
    };
    let place = |id: &crate::course::SkillId| {
        let skills = course.outline().map_or(&[][..], |one| &one.skills);
        skills.iter().position(|skill| skill.id == *id)
    };
    course
        .overrides(session, student)
        .map(|(one, body)| {
            let mut skills: Vec<_> = body.skills.iter().collect();
            skills.sort_by_key(|id| place(id));
            OverrideRow {
                entry: one.entry.id,
                skills: skills.iter().map(|id| skill_name(course, id)).collect(),
                why: body.why.clone(),
                by: reader.staff(&one.entry.by),
                at: reader.when(one.entry.at),
                may_withdraw: reader.may_withdraw(course, one),
            }
        })
        .collect()
}
