//! Incidents: what went wrong, or nearly, in the words of those who were there.

use super::history::Withdrawn;
use super::reader::session_title;
use super::{Leave, Moment, Reader, StaffName, WhoName};
use crate::course::{CourseId, EntryId, SessionId};
use crate::entry::{Body, Kind};
use crate::standing::{Counted, CourseStanding};

/// The incidents of a course, newest first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IncidentsView {
    /// Of which course.
    pub course: CourseId,
    /// The incidents, withdrawn ones too.
    pub rows: Vec<IncidentRow>,
    /// Whether the reader may record one.
    pub may_add: Leave,
}

/// One incident. The texts are personal: they go to the screen and nowhere else.
#[derive(Clone, PartialEq, Eq)]
pub struct IncidentRow {
    /// Its entry.
    pub entry: EntryId,
    /// When it happened.
    pub when: Moment,
    /// In which session.
    pub session: Option<SessionId>,
    /// Its title.
    pub session_title: Option<String>,
    /// Whom it concerns.
    pub who: Vec<WhoName>,
    /// What happened.
    pub happened: String,
    /// What was done.
    pub done: String,
    /// To whom it was reported.
    pub reported: Option<String>,
    /// Who wrote it down.
    pub by: StaffName,
    /// When that was.
    pub at: Moment,
    /// The withdrawal that took it out, if one did.
    pub withdrawn: Option<Withdrawn>,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
}

/// Written by hand so that no text can reach a log through `{:?}`.
impl std::fmt::Debug for IncidentRow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "IncidentRow({})", self.entry)
    }
}

impl IncidentsView {
    /// The incidents of a course.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>) -> Self {
        let mut rows: Vec<IncidentRow> = course
            .all_of_kind(Kind::Incident)
            .iter()
            .filter_map(|id| IncidentRow::of(course, reader, course.tally().get(id)?))
            .collect();
        rows.sort_by_key(|row| std::cmp::Reverse((row.when.at, row.entry)));
        Self {
            course: *course.id(),
            rows,
            may_add: reader.may_write(Kind::Incident),
        }
    }
}

impl IncidentRow {
    fn of(course: &CourseStanding, reader: &Reader<'_>, one: &Counted) -> Option<Self> {
        let Body::Incident(incident) = &one.entry.body else {
            return None;
        };
        Some(Self {
            entry: one.entry.id,
            when: reader.when(incident.when),
            session: incident.session,
            session_title: incident.session.and_then(|id| session_title(course, &id)),
            who: incident.who.iter().map(|who| reader.who(who)).collect(),
            happened: incident.happened.clone(),
            done: incident.done.clone(),
            reported: incident.reported.clone(),
            by: reader.staff(&one.entry.by),
            at: reader.when(one.entry.at),
            withdrawn: Withdrawn::of(course, reader, &one.entry.id),
            may_withdraw: reader.may_withdraw(course, one),
        })
    }
}
