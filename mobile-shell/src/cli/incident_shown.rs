//! Incident shown: an incident with everything that hangs on it, to a person and to a program.

use serde_json::{Value, json};
use tallywater_bindings::{
    AlarmEnd, Fault, IncidentView, PersonRow, ReportRow, TimelineRow, TimelineWhat, alarm_cards,
};

use super::catalogue::{Language, t, tr};
use super::site::Alarm;
use super::turn::Turn;
use super::words::{self, FactAbout, Happening, Part};

/// An incident with everything that hangs on it.
pub(super) fn answer(seen: &IncidentView, turn: &Turn) -> Result<(), Fault> {
    let value = value(seen);
    let lines = lines(seen)?;
    let ids = || {
        seen.moments
            .iter()
            .map(|row| row.entry.to_string())
            .collect()
    };
    turn.answer("incident.show", &value, ids, || lines);
    Ok(())
}

/// What a moment is, as JSON names it, and which alarm.
fn what(row: &TimelineRow) -> (String, Option<&'static str>) {
    match &row.what {
        TimelineWhat::Begun => ("begun".to_owned(), None),
        TimelineWhat::Raised(alarm) => ("raised".to_owned(), Some(Alarm::word(alarm))),
        TimelineWhat::Ended(how) => match how {
            AlarmEnd::Found => ("found".to_owned(), None),
            AlarmEnd::TakenOver => ("taken-over".to_owned(), None),
        },
        TimelineWhat::Happened(what) => (Happening::from(what).word(), None),
    }
}

/// The same for a person; an alarm by the title of its card.
fn what_said(row: &TimelineRow) -> Result<String, Fault> {
    Ok(match &row.what {
        TimelineWhat::Begun => tr!("Begun"),
        TimelineWhat::Raised(alarm) => {
            let cards = alarm_cards(Language::spoken().of_paper())?;
            let card = cards.into_iter().find(|card| card.what == *alarm);
            card.map_or_else(|| Alarm::word(alarm).to_owned(), |card| card.title)
        }
        TimelineWhat::Ended(how) => match how {
            AlarmEnd::Found => tr!("Found"),
            AlarmEnd::TakenOver => tr!("Taken over by others"),
        },
        TimelineWhat::Happened(what) => Happening::from(what).said().to_owned(),
    })
}

fn person(row: &PersonRow) -> Value {
    json!({
        "entry": row.entry, "who": row.who.as_ref().map(words::who), "text": row.text,
        "by": words::staff(&row.by), "at": row.at.at.to_rfc3339(), "withdrawn": row.withdrawn.is_some(),
    })
}

fn value(seen: &IncidentView) -> Value {
    let head = &seen.incident;
    let moments = seen.moments.iter().map(|row| {
        let (what, alarm) = what(row);
        json!({
            "entry": row.entry, "what": what, "alarm": alarm, "text": row.text,
            "who": row.who.iter().map(words::who).collect::<Vec<_>>(),
            "when": row.when.at.to_rfc3339(), "written": row.written.at.to_rfc3339(), "afterwards": row.afterwards,
            "by": words::staff(&row.by), "device": row.device,
            "withdrawn": row.withdrawn.is_some(),
        })
    });
    let facts = seen.facts.iter().map(|row| {
        json!({
            "entry": row.entry, "about": FactAbout::from(&row.about).word(), "text": row.text,
            "by": words::staff(&row.by), "at": row.at.at.to_rfc3339(), "withdrawn": row.withdrawn.is_some(),
        })
    });
    let reports = seen.reports.iter().map(|row| {
        json!({
            "entry": row.entry, "to": row.to,
            "due": row.due.as_ref().map(|day| &day.date),
            "made": row.made.as_ref().map(|day| &day.date),
            "made_by": row.made_by.as_ref().map(words::staff),
            "late": row.late, "withdrawn": row.withdrawn.is_some(),
        })
    });
    json!({
        "course": seen.course, "entry": head.entry, "when": head.when.at.to_rfc3339(),
        "session": head.session, "by": words::staff(&head.by),
        "withdrawn": head.withdrawn.is_some(), "reports_due": seen.reports_due,
        "moments": moments.collect::<Vec<_>>(),
        "concerned": seen.concerned.iter().map(person).collect::<Vec<_>>(),
        "witnesses": seen.witnesses.iter().map(person).collect::<Vec<_>>(),
        "facts": facts.collect::<Vec<_>>(), "reports": reports.collect::<Vec<_>>(),
    })
}

/// A line, said to be withdrawn where it is.
fn line(text: String, withdrawn: bool) -> String {
    if withdrawn {
        format!("  {}", t("Withdrawn: {0}").replace("{0}", &text))
    } else {
        format!("  {text}")
    }
}

fn moment_line(row: &TimelineRow) -> Result<String, Fault> {
    let mut parts = vec![words::moment(&row.when), what_said(row)?];
    parts.extend(row.text.clone());
    parts.extend(row.who.iter().map(|who| words::who_said(who).to_owned()));
    parts.push(row.by.name.clone());
    if row.afterwards {
        let when = words::moment(&row.written);
        parts.push(tr!("written {when}", when = when));
    }
    let text = format!("{}  {}", row.entry, parts.join("  "));
    Ok(line(text, row.withdrawn.is_some()))
}

fn person_line(part: Part, row: &PersonRow) -> String {
    let named = row.who.as_ref().map(|who| words::who_said(who).to_owned());
    let said: Vec<String> = named.into_iter().chain(row.text.clone()).collect();
    let text = format!("{}: {}", part.said(), said.join(", "));
    line(text, row.withdrawn.is_some())
}

fn report_line(row: &ReportRow) -> String {
    let stands = match (&row.made, &row.due) {
        (Some(made), _) => tr!("made on {when}", when = made.date),
        (None, Some(due)) if row.late => tr!("OVERDUE since {when}", when = due.date),
        (None, Some(due)) => tr!("not made; due by {when}", when = due.date),
        (None, None) => tr!("not made; no day is named"),
    };
    let text = format!("{}  {}: {stands}", row.entry, row.to);
    line(text, row.withdrawn.is_some())
}

fn lines(seen: &IncidentView) -> Result<Vec<String>, Fault> {
    let head = &seen.incident;
    let mut title = format!("{}  {}", head.entry, words::moment(&head.when));
    if let Some(session) = &head.session_title {
        title = format!("{title}  {session}");
    }
    let mut lines = vec![title];
    if head.withdrawn.is_some() {
        lines.push(tr!(
            "This incident was withdrawn: it counts for nothing, and nothing is added to it."
        ));
    }
    for row in &seen.moments {
        lines.push(moment_line(row)?);
    }
    let concerned = seen.concerned.iter();
    lines.extend(concerned.map(|row| person_line(Part::Concerned, row)));
    let witnesses = seen.witnesses.iter();
    lines.extend(witnesses.map(|row| person_line(Part::Witness, row)));
    lines.extend(seen.facts.iter().map(|row| {
        let about = FactAbout::from(&row.about).said();
        line(format!("{about}: {}", row.text), row.withdrawn.is_some())
    }));
    lines.extend(seen.reports.iter().map(report_line));
    lines.push(tr!(
        "Who must be told, and by when, local law, the training organisation and the insurer say."
    ));
    lines.push(tr!(
        "It stays on the devices of this course and is never sent anywhere by itself. It is each writer’s own word, and finds no cause and no fault."
    ));
    Ok(lines)
}
