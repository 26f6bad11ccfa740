//! The sheet of one incident: its moments in the order of the time that was meant, each with the
//! time it was written; people, what was said, and reports. It holds names and free texts: it is
//! printed only when a person asks for it, and goes nowhere by itself.

use super::teams::{end_of, people};
use super::{BODY, Press, SMALL, furniture, heads};
use crate::course::{EntryId, is_blank};
use crate::entry::{Body, FactAbout, Happening, Incident, PartIn};
use crate::paper::alarm::title_of;
use crate::paper::pdf::{Cell, Column, Flow, PdfError, Room, Row, Style, Table, Turn};
use crate::paper::say::{day, moment, signer_name};
use crate::paper::source::Source;
use crate::paper::words::{Words, fill};
use crate::standing::Counted;
use crate::view::{TimelineAt, TimelineWhat, afterwards, said, timeline};

impl Press {
    /// An incident's sheet; `None` for what is no incident, and for one that was withdrawn.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn incident_sheet(
        &self,
        source: &Source<'_>,
        incident: EntryId,
    ) -> Result<Option<Vec<u8>>, PdfError> {
        let words = self.words();
        let course = source.course;
        let (Some((one, head)), Some(moments)) =
            (course.incident(&incident), timeline(course, &incident))
        else {
            return Ok(None);
        };
        if !course.tally().counts(&incident) {
            return Ok(None);
        }
        let mut parts = course.hanging_on(&incident);
        parts.sort_by_key(|one| (one.entry.at, one.entry.id));
        let all = parts.len();
        parts.retain(|one| course.tally().counts(&one.entry.id));
        let withdrawn = all - parts.len();
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            let title = format!("{} · {}", words.incident_title, moment(head.when));
            super::top(&mut flow, &title, &super::heading_of(source));
            facts_of(&mut flow, source, words, (one, head));
            moments_of(&mut flow, source, words, (head, &moments));
            people_of(&mut flow, source, words, head, &parts);
            words_of(&mut flow, source, words, (one, head), &parts);
            reports(&mut flow, source, words, (one, head), &parts);
            if withdrawn > 0 {
                let n = withdrawn.to_string();
                flow.gap(4.0);
                flow.paragraph(&[(&fill(words.incident_withdrawn, &[("n", &n)]), SMALL)]);
            }
            super::close(&mut flow, words, words.caution_incident);
            let about = super::about(source, words, &title, words.incident_subject);
            flow.finish(
                &about,
                Some(&furniture(source, words, words.incident_title)),
            )
        })
        .map(Some)
    }
}

/// A table of a label and what is said, a row each; nothing for no rows.
fn labelled(flow: &mut Flow<'_>, facts: Vec<(&str, String)>) {
    if facts.is_empty() {
        return;
    }
    let rows = facts.into_iter().map(|(label, said)| {
        Row::of(vec![
            Cell::new(label, BODY.semi().grey()),
            Cell::new(said, BODY),
        ])
    });
    flow.table(&Table {
        columns: vec![Column::left(22.0), Column::left(78.0)],
        head: Vec::new(),
        rows: rows.collect(),
    });
}

/// When, where, and who wrote it first.
fn facts_of(
    flow: &mut Flow<'_>,
    source: &Source<'_>,
    words: &'static Words,
    (one, head): (&Counted, &Incident),
) {
    let mut facts = vec![(words.date, moment(head.when))];
    let held = head
        .session
        .and_then(|id| source.course.sessions().get(&id));
    if let Some(now) = held {
        let plan = &now.plan;
        let where_ = format!(
            "{} · {} ({})",
            plan.title,
            plan.site,
            words.setting_of(plan.setting)
        );
        facts.push((words.site, where_));
    }
    let written = format!(
        "{}, {}",
        signer_name(&source.signer(one)),
        moment(one.entry.at)
    );
    facts.push((words.incident_written, written));
    labelled(flow, facts);
}

fn moments_of(
    flow: &mut Flow<'_>,
    source: &Source<'_>,
    words: &'static Words,
    (head, moments): (&Incident, &[TimelineAt<'_>]),
) {
    flow.heading(2, words.incident_moments);
    let tally = source.course.tally();
    let standing = moments.iter().filter(|at| tally.counts(&at.one.entry.id));
    let rows = standing.map(|at| {
        let entry = &at.one.entry;
        let (who, text) = said(&entry.body);
        let mut what = Cell::new(what_of(words, at.what), BODY.semi());
        if !who.is_empty() {
            what = what.and(format!("\n{}", people(source, words, &who)), SMALL);
        }
        if let Some(text) = text {
            what = what.and(format!("\n{text}"), SMALL);
        }
        // The time it was written always stands there; in bold where it is another one.
        let written = format!(
            "{}\n{}",
            moment(entry.at),
            signer_name(&source.signer(at.one))
        );
        let later = afterwards(at.when, entry.at).is_some();
        let style = if later { SMALL.bold() } else { SMALL };
        let time = at.when.format("%H:%M:%S").to_string();
        let mut meant = Cell::new(time, Style::new(11.0).bold());
        if at.when.date_naive() != head.when.date_naive() {
            meant = meant.and(format!("\n{}", day(at.when.date_naive())), SMALL.bold());
        }
        Row::of(vec![meant, what, Cell::new(written, style)])
    });
    flow.table(&Table {
        columns: vec![Column::left(14.0), Column::left(58.0), Column::left(28.0)],
        head: heads(&[
            words.incident_meant,
            words.incident_what,
            words.incident_written,
        ]),
        rows: rows.collect(),
    });
}

/// What a moment is, in a word.
const fn what_of(words: &Words, what: TimelineWhat) -> &'static str {
    match what {
        TimelineWhat::Begun => words.incident_begun,
        TimelineWhat::Raised(alarm) => title_of(alarm, words),
        TimelineWhat::Ended(how) => end_of(words, how),
        TimelineWhat::Happened(happening) => match happening {
            Happening::Noticed => words.happening_noticed,
            Happening::AtSurface => words.happening_surface,
            Happening::OutOfWater => words.happening_out,
            Happening::BreathingChecked => words.happening_breathing,
            Happening::Resuscitation => words.happening_resuscitation,
            Happening::OxygenBegun => words.happening_oxygen,
            Happening::EmergencyCalled => words.happening_called,
            Happening::HelpArrived => words.happening_help,
            Happening::HandedOver => words.happening_handed,
            Happening::Other => words.happening_other,
        },
    }
}

fn people_of(
    flow: &mut Flow<'_>,
    source: &Source<'_>,
    words: &'static Words,
    head: &Incident,
    parts: &[&Counted],
) {
    let mut rows: Vec<(&str, String)> = Vec::new();
    let own = head.who.iter().map(std::slice::from_ref);
    rows.extend(own.map(|who| (words.incident_concerned, people(source, words, who))));
    for one in parts {
        if let Body::IncidentPerson(person) = &one.entry.body {
            let label = match person.part {
                PartIn::Concerned => words.incident_concerned,
                PartIn::Witness => words.incident_witness,
            };
            let named = person.who.map(|who| people(source, words, &[who]));
            let said: Vec<String> = named.into_iter().chain(person.text.clone()).collect();
            rows.push((label, said.join(" · ")));
        }
    }
    if !rows.is_empty() {
        flow.heading(2, words.incident_people);
        labelled(flow, rows);
    }
}

fn words_of(
    flow: &mut Flow<'_>,
    source: &Source<'_>,
    words: &'static Words,
    (one, head): (&Counted, &Incident),
    parts: &[&Counted],
) {
    for about in FactAbout::ALL {
        let label = match about {
            FactAbout::Happened => words.fact_happened,
            FactAbout::Conditions => words.fact_conditions,
            FactAbout::Done => words.fact_done,
            FactAbout::Kept => words.fact_kept,
        };
        let own = match about {
            FactAbout::Happened => Some(head.happened.as_str()),
            FactAbout::Done => Some(head.done.as_str()),
            FactAbout::Conditions | FactAbout::Kept => None,
        };
        let own = own.filter(|text| !is_blank(text)).map(|text| (one, text));
        let added = parts.iter().filter_map(|one| {
            if let Body::IncidentFact(fact) = &one.entry.body {
                (fact.about == about).then_some((*one, fact.text.as_str()))
            } else {
                None
            }
        });
        let said: Vec<(&Counted, &str)> = own.into_iter().chain(added).collect();
        if said.is_empty() {
            continue;
        }
        flow.heading(2, label);
        for (one, text) in said {
            flow.paragraph(&[(text, BODY)]);
            let by = format!(
                "{}, {}",
                signer_name(&source.signer(one)),
                moment(one.entry.at)
            );
            flow.paragraph(&[(&by, SMALL.grey())]);
            flow.gap(2.0);
        }
    }
}

fn reports(
    flow: &mut Flow<'_>,
    source: &Source<'_>,
    words: &'static Words,
    (one, head): (&Counted, &Incident),
    parts: &[&Counted],
) {
    let mut rows = Vec::new();
    for one in parts {
        if let Body::IncidentReport(report) = &one.entry.body {
            let made = source.course.report_made(&one.entry.id);
            let late = made.is_none() && report.by.is_some_and(|by| by < source.today());
            let state = match made {
                Some((_, made)) => Cell::new(day(made.on), BODY),
                None if late => Cell::new(words.report_late, BODY.bold()),
                None => Cell::new(words.report_open, BODY),
            };
            rows.push(Row::of(vec![
                Cell::new(report.to.clone(), BODY),
                Cell::new(report.by.map(day).unwrap_or_default(), BODY),
                state,
            ]));
        }
    }
    if let Some(to) = &head.reported {
        rows.push(Row::of(vec![
            Cell::new(to.clone(), BODY),
            Cell::new("", BODY),
            Cell::new(day(one.entry.at.date_naive()), BODY),
        ]));
    }
    if rows.is_empty() {
        return;
    }
    flow.heading(2, words.incident_reports);
    flow.table(&Table {
        columns: vec![Column::left(54.0), Column::left(22.0), Column::left(24.0)],
        head: heads(&[words.report_to, words.report_due, words.report_made]),
        rows,
    });
}
