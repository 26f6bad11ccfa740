//! Events: may it be recorded who dives with whom, that something went wrong, and what hangs on
//! that? What went wrong went wrong: a session that was cancelled takes it all the same.

use super::bounds::{self, NAME, NOTE};
use super::rules::{Asked, Rule, each};
use super::{
    AlarmEnded, AlarmRaised, Incident, IncidentFact, IncidentMoment, IncidentPerson,
    IncidentReport, IncidentReported, Kind, Refusal, TeamsSet, Who,
};
use crate::course::EntryId;

impl Rule for TeamsSet {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.open_session(&self.session)?;
        bounds::teams(&self.teams)?;
        let mut paired = self.teams.pairs.iter().flatten();
        paired.try_for_each(|one| at.who(one))?;
        for zone in &self.teams.zones {
            at.who(&Who::Staff(zone.staff))?;
            each(&zone.watches, |id| at.student(id))?;
        }
        Ok(())
    }
}

impl Rule for AlarmRaised {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.session(&self.session)?;
        bounds::figure("missing", bounds::count(self.missing.len()), 0, 60)?;
        each(self.missing.iter().chain(&self.reported_by), |one| {
            at.who(one)
        })?;
        bounds::clock("time", self.when.date_naive())
    }
}

impl Rule for AlarmEnded {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.entry(&self.alarm, Kind::AlarmRaised, "alarm")?;
        bounds::clock("time", self.when.date_naive())
    }
}

/// Of a report in words its session must go on; what was begun by a press asks only whether it
/// is there.
impl Rule for Incident {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        if self.begun.is_none() {
            each(&self.session, |id| at.open_session(id))?;
        }
        each(&self.who, |one| at.who(one))?;
        if let Some(begun) = &self.begun {
            each(&self.session, |id| at.session(id))?;
            each(&begun.from, |from| {
                at.entry(from, Kind::AlarmRaised, "alarm")
            })?;
        }
        bounds::clock("time", self.when.date_naive())?;
        bounds::incident(self)?;
        bounds::optional("reported to", self.reported.as_ref(), NAME)
    }
}

/// Whether the incident is there and counts.
fn incident(at: &Asked<'_>, id: &EntryId) -> Result<(), Refusal> {
    at.entry(id, Kind::Incident, "incident")
}

impl Rule for IncidentMoment {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        incident(at, &self.incident)?;
        each(&self.who, |one| at.who(one))?;
        bounds::clock("time", self.when.date_naive())?;
        bounds::moment(self)
    }
}

impl Rule for IncidentPerson {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        incident(at, &self.incident)?;
        each(&self.who, |one| at.who(one))?;
        bounds::person(self)
    }
}

impl Rule for IncidentFact {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        incident(at, &self.incident)?;
        bounds::text("words", &self.text, NOTE)
    }
}

impl Rule for IncidentReport {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        incident(at, &self.incident)?;
        bounds::text("report to", &self.to, NAME)?;
        self.by.map_or(Ok(()), |by| bounds::date("report by", by))
    }
}

impl Rule for IncidentReported {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.entry(&self.report, Kind::IncidentReport, "report")?;
        bounds::date("reported on", self.on)
    }
}
