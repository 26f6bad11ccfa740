//! Events: may it be recorded who dives with whom, that something went wrong, and what hangs on
//! that? What went wrong went wrong: a session that was cancelled takes it all the same.

use super::bounds::{self, NAME, NOTE};
use super::rules::known;
use super::{
    AlarmEnded, AlarmRaised, Facts, Incident, IncidentFact, IncidentMoment, IncidentPerson,
    IncidentReport, IncidentReported, Kind, Refusal, Teams, Who,
};
use crate::course::{EntryId, SessionId};

/// Whether somebody who is named is there.
pub(super) fn who(facts: &dyn Facts, who: &Who) -> Result<(), Refusal> {
    match who {
        Who::Student(id) => known("student", facts.has_student(id)),
        Who::Staff(id) => known("staff", facts.has_staff(id)),
    }
}

fn session(facts: &dyn Facts, id: &SessionId) -> Result<(), Refusal> {
    known("session", facts.session_open(id).is_some())
}

pub(super) fn teams(facts: &dyn Facts, teams: &Teams) -> Result<(), Refusal> {
    bounds::teams(teams)?;
    let mut paired = teams.pairs.iter().flatten();
    paired.try_for_each(|one| who(facts, one))?;
    for zone in &teams.zones {
        who(facts, &Who::Staff(zone.staff))?;
        let mut watched = zone.watches.iter();
        watched.try_for_each(|id| who(facts, &Who::Student(*id)))?;
    }
    Ok(())
}

pub(super) fn alarm_raised(facts: &dyn Facts, raised: &AlarmRaised) -> Result<(), Refusal> {
    session(facts, &raised.session)?;
    bounds::figure("missing", bounds::count(raised.missing.len()), 0, 60)?;
    let mut named = raised.missing.iter().chain(&raised.reported_by);
    named.try_for_each(|one| who(facts, one))?;
    bounds::clock("time", raised.when.date_naive())
}

pub(super) fn alarm_ended(facts: &dyn Facts, ended: &AlarmEnded) -> Result<(), Refusal> {
    hangs_on(facts, &ended.alarm, Kind::AlarmRaised, "alarm")?;
    bounds::clock("time", ended.when.date_naive())
}

/// Of a report in words the caller asks whether the session goes on; what was begun by a press
/// asks only whether it is there.
pub(super) fn incident(facts: &dyn Facts, incident: &Incident) -> Result<(), Refusal> {
    incident.who.iter().try_for_each(|one| who(facts, one))?;
    if let Some(begun) = &incident.begun {
        let held = incident.session.as_ref();
        held.map_or(Ok(()), |id| session(facts, id))?;
        let from = begun.from.as_ref();
        from.map_or(Ok(()), |from| {
            hangs_on(facts, from, Kind::AlarmRaised, "alarm")
        })?;
    }
    bounds::clock("time", incident.when.date_naive())?;
    bounds::incident(incident)?;
    bounds::optional("reported to", incident.reported.as_ref(), NAME)
}

pub(super) fn moment(facts: &dyn Facts, moment: &IncidentMoment) -> Result<(), Refusal> {
    hangs_on(facts, &moment.incident, Kind::Incident, "incident")?;
    moment.who.iter().try_for_each(|one| who(facts, one))?;
    bounds::clock("time", moment.when.date_naive())?;
    bounds::moment(moment)
}

pub(super) fn person(facts: &dyn Facts, person: &IncidentPerson) -> Result<(), Refusal> {
    hangs_on(facts, &person.incident, Kind::Incident, "incident")?;
    person.who.iter().try_for_each(|one| who(facts, one))?;
    bounds::person(person)
}

pub(super) fn fact(facts: &dyn Facts, fact: &IncidentFact) -> Result<(), Refusal> {
    hangs_on(facts, &fact.incident, Kind::Incident, "incident")?;
    bounds::text("words", &fact.text, NOTE)
}

pub(super) fn report(facts: &dyn Facts, report: &IncidentReport) -> Result<(), Refusal> {
    hangs_on(facts, &report.incident, Kind::Incident, "incident")?;
    bounds::text("report to", &report.to, NAME)?;
    report.by.map_or(Ok(()), |by| bounds::date("report by", by))
}

pub(super) fn reported(facts: &dyn Facts, done: &IncidentReported) -> Result<(), Refusal> {
    hangs_on(facts, &done.report, Kind::IncidentReport, "report")?;
    bounds::date("reported on", done.on)
}

/// Whether the entry that another one is about is there, of the right kind, and counts.
fn hangs_on(
    facts: &dyn Facts,
    entry: &EntryId,
    wanted: Kind,
    what: &'static str,
) -> Result<(), Refusal> {
    match facts.entry(entry) {
        Some((kind, _, true)) if kind == wanted => Ok(()),
        Some((kind, _, false)) if kind == wanted => Err(Refusal::CountsNot { entry: *entry }),
        Some(_) | None => Err(Refusal::Unknown { what }),
    }
}
