//! Events: what went wrong in a course, how it ended, and what hangs on an incident.

use super::CourseStanding;
use crate::course::{Alarm, EntryId, SessionId};
use crate::entry::{AlarmEnded, AlarmRaised, Begun, Body, Incident, IncidentReported, Kind};
use crate::standing::tally::Counted;

/// The kinds that hang on an incident.
const PARTS: [Kind; 4] = [
    Kind::IncidentMoment,
    Kind::IncidentPerson,
    Kind::IncidentFact,
    Kind::IncidentReport,
];

impl CourseStanding {
    /// An alarm, if it stands.
    pub fn alarm(&self, id: &EntryId) -> Option<(&Counted, &AlarmRaised)> {
        let one = self.tally.standing(id)?;
        if let Body::AlarmRaised(raised) = &one.entry.body {
            Some((one, raised))
        } else {
            None
        }
    }

    /// How an alarm ended; of several said apart the earliest end. `None` while it goes on.
    pub fn alarm_end(&self, alarm: &EntryId) -> Option<(&Counted, &AlarmEnded)> {
        let ends = self.of_kind(Kind::AlarmEnded).filter_map(|one| {
            if let Body::AlarmEnded(ended) = &one.entry.body {
                (ended.alarm == *alarm).then_some((one, ended))
            } else {
                None
            }
        });
        ends.min_by_key(|(one, ended)| (ended.when, one.entry.id))
    }

    /// The lost buddies of a session that nobody has said are found, oldest first.
    pub fn lost(&self, session: &SessionId) -> Vec<(&Counted, &AlarmRaised)> {
        let mut lost: Vec<_> = self
            .alarms(session)
            .filter(|(one, raised)| {
                raised.what == Alarm::LostBuddy && self.alarm_end(&one.entry.id).is_none()
            })
            .collect();
        lost.sort_by_key(|(one, raised)| (raised.when, one.entry.id));
        lost
    }

    /// An incident, withdrawn or not.
    pub fn incident(&self, id: &EntryId) -> Option<(&Counted, &Incident)> {
        let one = self.tally.get(id)?;
        if let Body::Incident(incident) = &one.entry.body {
            Some((one, incident))
        } else {
            None
        }
    }

    /// The alarm that an incident grew out of.
    pub fn grew_from(&self, incident: &Incident) -> Option<(&Counted, &AlarmRaised)> {
        let begun: &Begun = incident.begun.as_ref()?;
        self.alarm(begun.from.as_ref()?)
    }

    /// Everything that hangs on an incident, withdrawn or not, in order of id.
    pub fn hanging_on(&self, incident: &EntryId) -> Vec<&Counted> {
        let ids = PARTS.into_iter().flat_map(|kind| self.all_of_kind(kind));
        let parts = ids.filter_map(|id| self.tally.get(&id));
        parts
            .filter(|one| incident_of(&one.entry.body) == Some(*incident))
            .collect()
    }

    /// When a report was made; of several said apart the earliest.
    pub fn report_made(&self, report: &EntryId) -> Option<(&Counted, &IncidentReported)> {
        let made = self.of_kind(Kind::IncidentReported).filter_map(|one| {
            if let Body::IncidentReported(made) = &one.entry.body {
                (made.report == *report).then_some((one, made))
            } else {
                None
            }
        });
        made.min_by_key(|(one, made)| (made.on, one.entry.id))
    }
}

/// On which incident an entry hangs.
const fn incident_of(body: &Body) -> Option<EntryId> {
    if let Body::IncidentMoment(b) = body {
        Some(b.incident)
    } else if let Body::IncidentPerson(b) = body {
        Some(b.incident)
    } else if let Body::IncidentFact(b) = body {
        Some(b.incident)
    } else if let Body::IncidentReport(b) = body {
        Some(b.incident)
    } else {
        None
    }
}
