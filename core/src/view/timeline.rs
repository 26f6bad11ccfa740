//! Timeline: an incident with everything that hangs on it: its moments in the order of the time
//! that was meant, each with the time it was written; people, facts, and reports that are due.
//!
//! Texts are personal: they go to the screen and to the sheet that a person prints, and nowhere
//! else.

use chrono::{DateTime, FixedOffset};

use super::headcount::afterwards;
use super::history::Withdrawn;
use super::{Day, IncidentRow, Leave, Moment, Reader, StaffName, WhoName};
use crate::course::{Alarm, CourseId, EntryId, is_blank};
use crate::entry::{AlarmEnd, Body, FactAbout, Happening, Kind, PartIn, Who};
use crate::standing::{Counted, CourseStanding};

/// An incident with its timeline.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct IncidentView {
    /// Of which course.
    pub course: CourseId,
    /// The incident itself.
    pub incident: IncidentRow,
    /// Its moments, oldest first by the time that was meant; withdrawn ones too.
    pub moments: Vec<TimelineRow>,
    /// Whom it concerns.
    pub concerned: Vec<PersonRow>,
    /// Who saw it.
    pub witnesses: Vec<PersonRow>,
    /// What is said of it in words, by what it is about, oldest first.
    pub facts: Vec<FactRow>,
    /// Reports that are due or were made, the next due first.
    pub reports: Vec<ReportRow>,
    /// How many reports are still due.
    pub reports_due: u32,
    /// Whether the reader may add to it.
    pub may_add: Leave,
}

/// What a moment is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum TimelineWhat {
    /// The time that the report names, or at which the incident was begun.
    Begun,
    /// An alarm was raised.
    Raised(#[cfg_attr(feature = "border", uniffi(name = "alarm"))] Alarm),
    /// It ended.
    Ended(#[cfg_attr(feature = "border", uniffi(name = "how"))] AlarmEnd),
    /// A moment of the list.
    Happened(#[cfg_attr(feature = "border", uniffi(name = "what"))] Happening),
}

/// A moment.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct TimelineRow {
    /// Its entry.
    pub entry: EntryId,
    /// What.
    pub what: TimelineWhat,
    /// In words.
    pub text: Option<String>,
    /// About whom.
    pub who: Vec<WhoName>,
    /// The time that was meant.
    pub when: Moment,
    /// When it was written.
    pub written: Moment,
    /// Whether that was not then: by two minutes or more.
    pub afterwards: bool,
    /// Who wrote it.
    pub by: StaffName,
    /// On which device.
    pub device: String,
    /// The withdrawal that took it out, if one did.
    pub withdrawn: Option<Withdrawn>,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
}

/// Somebody in an incident.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct PersonRow {
    /// The entry that says so: the incident's own, where the report named them.
    pub entry: EntryId,
    /// Who, of the course.
    pub who: Option<WhoName>,
    /// Who, in words, or more about them.
    pub text: Option<String>,
    /// Who wrote it.
    pub by: StaffName,
    /// When.
    pub at: Moment,
    /// The withdrawal that took it out, if one did.
    pub withdrawn: Option<Withdrawn>,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
}

/// Something said in words.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct FactRow {
    /// The entry that says so: the incident's own, where it stands in the report.
    pub entry: EntryId,
    /// About what.
    pub about: FactAbout,
    /// The words.
    pub text: String,
    /// Who wrote it.
    pub by: StaffName,
    /// When.
    pub at: Moment,
    /// The withdrawal that took it out, if one did.
    pub withdrawn: Option<Withdrawn>,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
}

/// A report.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ReportRow {
    /// The entry that says so: the incident's own, where it stands in the report.
    pub entry: EntryId,
    /// To whom.
    pub to: String,
    /// By which day.
    pub due: Option<Day>,
    /// On which day it was made; of the one in the report itself the day it was written.
    pub made: Option<Day>,
    /// Who said that it was made.
    pub made_by: Option<StaffName>,
    /// Not made, and its day is past.
    pub late: bool,
    /// The withdrawal that took it out, if one did.
    pub withdrawn: Option<Withdrawn>,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
}

macro_rules! wordless {
    ($($name:ident),+) => { $(
        /// Written by hand so that no text can reach a log through `{:?}`.
        impl std::fmt::Debug for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                write!(f, "{}({})", stringify!($name), self.entry)
            }
        }
    )+ };
}
wordless!(TimelineRow, PersonRow, FactRow, ReportRow);

/// A moment of an incident, before anybody's name is put to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TimelineAt<'a> {
    /// What.
    pub what: TimelineWhat,
    /// The time that was meant.
    pub when: DateTime<FixedOffset>,
    /// The entry that says so.
    pub one: &'a Counted,
}

/// The moments of an incident, withdrawn ones too, in the order of the time that was meant; those
/// of the alarm that it grew out of first among them. `None` for what is no incident.
pub fn timeline<'a>(course: &'a CourseStanding, incident: &EntryId) -> Option<Vec<TimelineAt<'a>>> {
    let (one, head) = course.incident(incident)?;
    let mut all = Vec::new();
    let from = course.grew_from(head);
    if from.is_none_or(|(_, alarm)| alarm.when != head.when) {
        all.push(TimelineAt {
            what: TimelineWhat::Begun,
            when: head.when,
            one,
        });
    }
    if let Some((raised, alarm)) = from {
        all.push(TimelineAt {
            what: TimelineWhat::Raised(alarm.what),
            when: alarm.when,
            one: raised,
        });
        if let Some((ended, end)) = course.alarm_end(&raised.entry.id) {
            all.push(TimelineAt {
                what: TimelineWhat::Ended(end.how),
                when: end.when,
                one: ended,
            });
        }
    }
    for one in course.hanging_on(incident) {
        if let Body::IncidentMoment(moment) = &one.entry.body {
            all.push(TimelineAt {
                what: TimelineWhat::Happened(moment.what),
                when: moment.when,
                one,
            });
        }
    }
    all.sort_by_key(|at| (at.when, at.what, at.one.entry.id));
    Some(all)
}

impl IncidentView {
    /// An incident; `None` for what is none.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, id: &EntryId) -> Option<Self> {
        let (one, head) = course.incident(id)?;
        let moments = timeline(course, id)?;
        let mut parts = course.hanging_on(id);
        parts.sort_by_key(|one| (one.entry.at, one.entry.id));
        let people = |part: PartIn| -> Vec<PersonRow> {
            let said = parts.iter().filter_map(|one| {
                if let Body::IncidentPerson(person) = &one.entry.body {
                    (person.part == part).then(|| {
                        PersonRow::of(course, reader, one, (person.who, person.text.clone()))
                    })
                } else {
                    None
                }
            });
            said.collect()
        };
        let mut concerned: Vec<PersonRow> = head
            .who
            .iter()
            .map(|who| PersonRow::of(course, reader, one, (Some(*who), None)))
            .collect();
        concerned.extend(people(PartIn::Concerned));
        let reports = reports(course, reader, one, &parts);
        let due = reports
            .iter()
            .filter(|row| row.made.is_none() && row.withdrawn.is_none());
        Some(Self {
            course: *course.id(),
            incident: IncidentRow::of(course, reader, one)?,
            moments: moments
                .iter()
                .map(|at| TimelineRow::of(course, reader, at))
                .collect(),
            concerned,
            witnesses: people(PartIn::Witness),
            facts: facts(course, reader, one, &parts),
            reports_due: super::reader::count(due.count()),
            reports,
            may_add: reader.may_write(Kind::IncidentMoment),
        })
    }
}

impl TimelineRow {
    fn of(course: &CourseStanding, reader: &Reader<'_>, at: &TimelineAt<'_>) -> Self {
        let entry = &at.one.entry;
        let (who, text) = said(&entry.body);
        Self {
            entry: entry.id,
            what: at.what,
            text,
            who: super::lost::people(reader, &who),
            when: reader.when(at.when),
            written: reader.when(entry.at),
            afterwards: afterwards(at.when, entry.at).is_some(),
            by: reader.staff(&entry.by),
            device: reader.device(at.one),
            withdrawn: Withdrawn::of(course, reader, &entry.id),
            may_withdraw: reader.may_withdraw(course, at.one),
        }
    }
}

/// Whom a moment is about, and its words.
pub(crate) fn said(body: &Body) -> (Vec<Who>, Option<String>) {
    if let Body::IncidentMoment(moment) = body {
        (moment.who.into_iter().collect(), moment.text.clone())
    } else if let Body::AlarmRaised(raised) = body {
        (raised.missing.clone(), None)
    } else if let Body::Incident(incident) = body {
        (incident.who.clone(), None)
    } else {
        (Vec::new(), None)
    }
}

impl PersonRow {
    fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        one: &Counted,
        (who, text): (Option<Who>, Option<String>),
    ) -> Self {
        Self {
            entry: one.entry.id,
            who: who.map(|who| reader.who(&who)),
            text,
            by: reader.staff(&one.entry.by),
            at: reader.when(one.entry.at),
            withdrawn: Withdrawn::of(course, reader, &one.entry.id),
            may_withdraw: reader.may_withdraw(course, one),
        }
    }
}

fn facts(
    course: &CourseStanding,
    reader: &Reader<'_>,
    head: &Counted,
    parts: &[&Counted],
) -> Vec<FactRow> {
    let row = |one: &Counted, about: FactAbout, text: &str| FactRow {
        entry: one.entry.id,
        about,
        text: text.to_owned(),
        by: reader.staff(&one.entry.by),
        at: reader.when(one.entry.at),
        withdrawn: Withdrawn::of(course, reader, &one.entry.id),
        may_withdraw: reader.may_withdraw(course, one),
    };
    let mut rows = Vec::new();
    if let Body::Incident(incident) = &head.entry.body {
        let own = [
            (FactAbout::Happened, &incident.happened),
            (FactAbout::Done, &incident.done),
        ];
        let own = own.into_iter().filter(|(_, text)| !is_blank(text));
        rows.extend(own.map(|(about, text)| row(head, about, text)));
    }
    for one in parts {
        if let Body::IncidentFact(fact) = &one.entry.body {
            rows.push(row(one, fact.about, &fact.text));
        }
    }
    rows.sort_by_key(|row| row.about);
    rows
}

fn reports(
    course: &CourseStanding,
    reader: &Reader<'_>,
    head: &Counted,
    parts: &[&Counted],
) -> Vec<ReportRow> {
    let mut rows = Vec::new();
    for one in parts {
        if let Body::IncidentReport(report) = &one.entry.body {
            let made = course.report_made(&one.entry.id);
            let past = report.by.is_some_and(|by| by < reader.today());
            rows.push(ReportRow {
                entry: one.entry.id,
                to: report.to.clone(),
                due: report.by.map(|by| reader.day(by)),
                made: made.map(|(_, made)| reader.day(made.on)),
                made_by: made.map(|(one, _)| reader.staff(&one.entry.by)),
                late: made.is_none() && past,
                withdrawn: Withdrawn::of(course, reader, &one.entry.id),
                may_withdraw: reader.may_withdraw(course, one),
            });
        }
    }
    rows.sort_by_key(|row| {
        let due = row.due.map(|day| day.date);
        (row.made.is_some(), due.is_none(), due, row.entry)
    });
    if let Body::Incident(incident) = &head.entry.body
        && let Some(to) = &incident.reported
    {
        rows.push(ReportRow {
            entry: head.entry.id,
            to: to.clone(),
            due: None,
            made: Some(reader.day(head.entry.at.date_naive())),
            made_by: Some(reader.staff(&head.entry.by)),
            late: false,
            withdrawn: Withdrawn::of(course, reader, &head.entry.id),
            may_withdraw: reader.may_withdraw(course, head),
        });
    }
    rows
}
