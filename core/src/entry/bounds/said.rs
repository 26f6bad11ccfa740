//! Bounds of what is said in words: a debrief, a reason, an incident, the text of a rule.

use chrono::NaiveDate;

use super::{NAME, NOTE, between, date, longest, optional, text};
use crate::course::is_blank;
use crate::entry::{
    DebriefText, Exemption, Happening, Incident, IncidentMoment, IncidentPerson, Refusal, RuleText,
};

/// The text that a rule was checked against: named, and read on a day that has been.
pub(in crate::entry) fn rule_text(read: &RuleText, today: NaiveDate) -> Result<(), Refusal> {
    text("text that was read", &read.title, NAME)?;
    optional("edition", read.edition.as_ref(), 80)?;
    optional("clause", read.clause.as_ref(), 80)?;
    between(
        "day it was read",
        read.on,
        NaiveDate::from_ymd_opt(1990, 1, 1),
        Some(today),
    )
}

/// A debrief says something, and each part of it fits a card.
pub(in crate::entry) fn debrief(said: &DebriefText) -> Result<(), Refusal> {
    let parts = said.parts();
    if parts.iter().all(|(_, text)| is_blank(text)) {
        return Err(Refusal::TextEmpty { field: "debrief" });
    }
    parts
        .into_iter()
        .try_for_each(|(field, given)| longest(field, given, 1_000))
}

/// A reason in words, or where it was met.
pub(in crate::entry) fn exemption(said: &Exemption) -> Result<(), Refusal> {
    let Some(there) = &said.elsewhere else {
        return text("reason", &said.why, NOTE);
    };
    if !said.why.is_empty() {
        text("reason", &said.why, NOTE)?;
    }
    text("school", &there.school, NAME)?;
    text("fingerprint", &there.file, NAME)?;
    there.judged.as_ref().map_or(Ok(()), |judged| {
        text("name", &judged.by, NAME)?;
        date("day", judged.on)
    })
}

/// A report says what happened and what was done; one that was begun by a press says it later.
pub(in crate::entry) fn incident(incident: &Incident) -> Result<(), Refusal> {
    let words = match &incident.begun {
        None => text,
        Some(_) => longest,
    };
    words("what happened", &incident.happened, NOTE)?;
    words("what was done", &incident.done, NOTE)
}

/// A moment that no word of the list says is said in words.
pub(in crate::entry) fn moment(moment: &IncidentMoment) -> Result<(), Refusal> {
    match (moment.what, &moment.text) {
        (Happening::Other, None) => Err(Refusal::TextEmpty { field: "words" }),
        (_, given) => optional("words", given.as_ref(), NOTE),
    }
}

/// Somebody is named, by id or in words.
pub(in crate::entry) fn person(person: &IncidentPerson) -> Result<(), Refusal> {
    match (person.who, &person.text) {
        (None, None) => Err(Refusal::TextEmpty { field: "who" }),
        (_, given) => optional("who", given.as_ref(), NAME),
    }
}
