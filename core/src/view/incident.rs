//! Incidents: what went wrong, or nearly, in the words of those who were there.

use super::history::Withdrawn;
use super::reader::session_title;
use super::{Leave, Moment, Reader, StaffName, WhoName};
use crate::course::{CourseId, EntryId, SessionId, is_blank};
use crate::entry::{Body, FactAbout, Kind};
use crate::standing::{Counted, CourseStanding};

/// The incidents of a course, newest first.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
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
#[cfg_attr(feature = "border", derive(uniffi::Record))]
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

/// The words of a report; of one that was begun by a press what was added since.
fn said(course: &CourseStanding, incident: &EntryId, given: &str, about: FactAbout) -> String {
    if !is_blank(given) {
        return given.to_owned();
    }
    let parts = course.hanging_on(incident).into_iter();
    let mut facts: Vec<&Counted> = parts
        .filter(|one| course.tally().counts(&one.entry.id))
        .filter(|one| matches!(&one.entry.body, Body::IncidentFact(fact) if fact.about == about))
        .collect();
    facts.sort_by_key(|one| (one.entry.at, one.entry.id));
    let texts: Vec<&str> = facts
        .iter()
        .filter_map(|one| {
            if let Body::IncidentFact(fact) = &one.entry.body {
                Some(fact.text.as_str())
            } else {
                None
            }
        })
        .collect();
    texts.join("\n")
}

impl IncidentRow {
    pub(super) fn of(course: &CourseStanding, reader: &Reader<'_>, one: &Counted) -> Option<Self> {
        let Body::Incident(incident) = &one.entry.body else {
            return None;
        };
        Some(Self {
            entry: one.entry.id,
            when: reader.when(incident.when),
            session: incident.session,
            session_title: incident.session.and_then(|id| session_title(course, &id)),
            who: incident.who.iter().map(|who| reader.who(who)).collect(),
            happened: said(
                course,
                &one.entry.id,
                &incident.happened,
                FactAbout::Happened,
            ),
            done: said(course, &one.entry.id, &incident.done, FactAbout::Done),
            reported: incident.reported.clone(),
            by: reader.staff(&one.entry.by),
            at: reader.when(one.entry.at),
            withdrawn: Withdrawn::of(course, reader, &one.entry.id),
            may_withdraw: reader.may_withdraw(course, one),
        })
    }
}
