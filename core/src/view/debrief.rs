//! Debrief: one card a student after a session, as it was kept or as it is proposed.

use super::history::SaidBy;
use super::{Leave, Reader, StudentName};
use crate::course::{CourseId, SessionId};
use crate::entry::{Body, DebriefText, Kind};
use crate::plan::{debrief, debriefed};
use crate::standing::CourseStanding;

/// The debriefs of a session.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct DebriefView {
    /// Of which course.
    pub course: CourseId,
    /// After which session.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// One card a student, by name as on the board.
    pub cards: Vec<DebriefCard>,
    /// Whether the reader may keep one.
    pub may_keep: Leave,
}

/// What is said to one student.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct DebriefCard {
    /// To whom.
    pub name: StudentName,
    /// What is said: as it was kept, or as the marks propose it.
    pub said: DebriefText,
    /// Who kept it, and when; `None` while it is only proposed.
    pub kept: Option<SaidBy>,
}

impl DebriefView {
    /// The debriefs of a session; `None` when none of its plans stands.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, session: &SessionId) -> Option<Self> {
        let now = course.sessions().get(session)?;
        let students = debriefed(course, session);
        let names = reader.people.roster(&course.students()).into_iter();
        let there = names.filter(|name| students.contains(&name.student));
        Some(Self {
            course: *course.id(),
            session: *session,
            title: now.plan.title.clone(),
            cards: there
                .map(|name| DebriefCard::of(course, reader, session, name))
                .collect(),
            may_keep: reader.may_write(Kind::Debrief),
        })
    }
}

impl DebriefCard {
    fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        session: &SessionId,
        name: StudentName,
    ) -> Self {
        let kept = course.debrief(session, &name.student);
        let said = kept.and_then(|one| {
            if let Body::Debrief(debrief) = &one.entry.body {
                Some(debrief.said.clone())
            } else {
                None
            }
        });
        Self {
            said: said.unwrap_or_else(|| debrief(course, session, &name.student)),
            kept: kept.map(|one| SaidBy::of(reader, &one.entry)),
            name,
        }
    }
}
