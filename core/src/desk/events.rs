//! Events: a lost buddy, how it ended, an incident and its moments. One press each: where no
//! time is typed the clock gives it, and two presses within a second are one.

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::draft::SAME_PRESS;
use super::shelf::Shelf;
use super::{DeskError, Drafts};
use crate::course::{Alarm, CourseId, EntryId, LedgerId, SessionId};
use crate::entry::{
    AlarmEnd, AlarmEnded, AlarmRaised, Begun, Body, Happening, Incident, IncidentMoment,
    IncidentReported, Kind, Refusal, Who,
};

impl Shelf {
    pub(super) fn lost_drafts(
        &mut self,
        course: CourseId,
        session: SessionId,
        (missing, reported_by): (Vec<Who>, Option<Who>),
        when: Option<DateTime<FixedOffset>>,
    ) -> Result<Drafts, DeskError> {
        let raised = AlarmRaised {
            session,
            what: Alarm::LostBuddy,
            when: self.time_of(when)?,
            missing,
            reported_by,
        };
        let same = |body: &Body| {
            matches!(body, Body::AlarmRaised(b) if b.session == session
                && b.what == raised.what
                && b.missing == raised.missing)
        };
        if when.is_none() && self.just_pressed(&course, Kind::AlarmRaised, same)? {
            return Ok(Drafts::none());
        }
        Ok(Drafts::one(LedgerId::Course(course), raised, Vec::new()))
    }

    pub(super) fn end_alarm_drafts(
        &mut self,
        course: CourseId,
        alarm: EntryId,
        how: AlarmEnd,
        when: Option<DateTime<FixedOffset>>,
    ) -> Result<Drafts, DeskError> {
        let at = self.time_of(when)?;
        let standing = &self.course(&course)?.standing;
        let raised = standing.alarm(&alarm);
        // Of a typed time alone: another device's clock may stand differently.
        if let (Some((_, raised)), true) = (raised, when.is_some())
            && at < raised.when
        {
            return Err(Refusal::EndsBeforeItBegins { field: "alarm" }.into());
        }
        if standing.alarm_end(&alarm).is_some() {
            return Err(Refusal::NothingOpen.into());
        }
        let ended = AlarmEnded {
            alarm,
            how,
            when: at,
        };
        let ledger = LedgerId::Course(course);
        Ok(Drafts::one(ledger, ended, vec![alarm]))
    }

    pub(super) fn begin_incident_drafts(
        &mut self,
        course: CourseId,
        session: Option<SessionId>,
        who: Vec<Who>,
        (when, from): (Option<DateTime<FixedOffset>>, Option<EntryId>),
    ) -> Result<Drafts, DeskError> {
        let now = self.time_of(when)?;
        let standing = &self.course(&course)?.standing;
        let alarm = from.and_then(|from| standing.alarm(&from));
        let alarm = alarm.map(|(_, raised)| raised);
        let incident = Incident {
            session: session.or(alarm.map(|raised| raised.session)),
            who: match alarm {
                Some(raised) if who.is_empty() => raised.missing.clone(),
                Some(_) | None => who,
            },
            when: when.or(alarm.map(|raised| raised.when)).unwrap_or(now),
            happened: String::new(),
            done: String::new(),
            reported: None,
            begun: Some(Begun { from }),
        };
        let after = from.into_iter().collect();
        Ok(Drafts::one(LedgerId::Course(course), incident, after))
    }

    pub(super) fn moment_drafts(
        &mut self,
        course: CourseId,
        (incident, what): (EntryId, Happening),
        when: Option<DateTime<FixedOffset>>,
        (who, text): (Option<Who>, Option<String>),
    ) -> Result<Drafts, DeskError> {
        let text = text.map(|text| text.trim().to_owned());
        let moment = IncidentMoment {
            incident,
            what,
            when: self.time_of(when)?,
            who,
            text: text.filter(|text| !text.is_empty()),
        };
        let same = |body: &Body| {
            matches!(body, Body::IncidentMoment(b) if b.incident == incident
                && b.what == what
                && b.who == moment.who
                && b.text == moment.text)
        };
        if when.is_none() && self.just_pressed(&course, Kind::IncidentMoment, same)? {
            return Ok(Drafts::none());
        }
        Ok(Drafts::one(LedgerId::Course(course), moment, Vec::new()))
    }

    pub(super) fn report_made_drafts(
        &mut self,
        course: CourseId,
        report: EntryId,
        on: Option<NaiveDate>,
    ) -> Result<Drafts, DeskError> {
        let today = self.today();
        let on = on.unwrap_or(today);
        if on > today {
            let field = "reported on";
            return Err(Refusal::StillToCome { field }.into());
        }
        let standing = &self.course(&course)?.standing;
        if standing.report_made(&report).is_some() {
            return Err(Refusal::NothingOpen.into());
        }
        let made = IncidentReported { report, on };
        Ok(Drafts::one(LedgerId::Course(course), made, vec![report]))
    }

    /// The time that is meant: typed, and then not one that is still to come; else now.
    fn time_of(
        &self,
        typed: Option<DateTime<FixedOffset>>,
    ) -> Result<DateTime<FixedOffset>, DeskError> {
        let now = self.stamps.now();
        match typed {
            Some(typed) if typed > now => Err(Refusal::StillToCome { field: "time" }.into()),
            Some(typed) => Ok(typed),
            None => Ok(now),
        }
    }

    /// Whether this device wrote such an entry within this second.
    fn just_pressed(
        &mut self,
        course: &CourseId,
        kind: Kind,
        is: impl Fn(&Body) -> bool,
    ) -> Result<bool, DeskError> {
        let (own_key, now) = (self.device.key.public(), self.stamps.now());
        let standing = &self.course(course)?.standing;
        Ok(standing.of_kind(kind).any(|one| {
            one.device == own_key && (now - one.entry.at).abs() < SAME_PRESS && is(&one.entry.body)
        }))
    }
}
