//! Lines: what hangs on an incident, as its screen has it.

use slint::SharedString;
use tallywater_bindings::{
    AlarmCard, AlarmEnd, EntryId, FactAbout, FactRow, Happening, IncidentView, Leave, PartIn,
    PersonRow, ReportRow, TimelineRow, TimelineWhat, Withdrawn,
};

use crate::ui;
use crate::words;

/// What can happen, in the order in which the screen counts it.
pub(super) const HAPPENINGS: [Happening; 10] = [
    Happening::Noticed,
    Happening::AtSurface,
    Happening::OutOfWater,
    Happening::BreathingChecked,
    Happening::Resuscitation,
    Happening::OxygenBegun,
    Happening::EmergencyCalled,
    Happening::HelpArrived,
    Happening::HandedOver,
    Happening::Other,
];

/// A moment's place among the words of the screen, and the title of an alarm.
fn what(row: &TimelineRow, cards: &[AlarmCard]) -> (i32, SharedString) {
    match &row.what {
        TimelineWhat::Happened(what) => (happening(what), SharedString::new()),
        TimelineWhat::Begun => (10, SharedString::new()),
        TimelineWhat::Raised(alarm) => {
            let card = cards.iter().find(|card| card.what == *alarm);
            let title = card.map(|card| card.title.clone());
            (11, title.unwrap_or_default().into())
        }
        TimelineWhat::Ended(how) => match how {
            AlarmEnd::Found => (12, SharedString::new()),
            AlarmEnd::TakenOver => (13, SharedString::new()),
        },
    }
}

fn happening(what: &Happening) -> i32 {
    let place = HAPPENINGS.iter().position(|one| one == what);
    place.map_or(9, words::count)
}

/// What a withdrawal names, whether it is withdrawn, and whether the reader may turn that. What
/// stands in the incident's own entry goes with the incident alone.
fn turn(
    (entry, incident): (&EntryId, &EntryId),
    withdrawn: Option<&Withdrawn>,
    may: &Leave,
) -> (SharedString, bool, bool) {
    let own = entry == incident;
    match withdrawn {
        Some(gone) => {
            let may = gone.may_bring_back == Leave::Yes && !own;
            (gone.entry.to_string().into(), true, may)
        }
        None => (entry.to_string().into(), false, *may == Leave::Yes && !own),
    }
}

/// When a moment was written, where that was not then: with its day where that is another.
fn written(row: &TimelineRow) -> SharedString {
    if !row.afterwards {
        SharedString::new()
    } else if row.written.day.date == row.when.day.date {
        words::clock(&row.written)
    } else {
        slint::format!("{} {}", row.written.day.date, words::clock(&row.written))
    }
}

/// The moments, in their order.
pub(super) fn moments(view: &IncidentView, cards: &[AlarmCard]) -> Vec<ui::MomentRow> {
    let standing = view.incident.withdrawn.is_none();
    let line = |row: &TimelineRow| {
        let at = (&row.entry, &view.incident.entry);
        let (target, gone, may) = turn(at, row.withdrawn.as_ref(), &row.may_withdraw);
        // An alarm has a page of its own, where it was raised.
        let happened = matches!(row.what, TimelineWhat::Happened(..));
        let (what, alarm) = what(row, cards);
        let who: Vec<&str> = row.who.iter().map(words::who).collect();
        ui::MomentRow {
            entry: row.entry.to_string().into(),
            what,
            alarm,
            text: row.text.clone().unwrap_or_default().into(),
            who: who.join(", ").into(),
            meant: words::moment(&row.when),
            written: written(row),
            by: row.by.name.clone().into(),
            device: row.device.clone().into(),
            target,
            gone,
            may: may && happened,
            may_correct: may && happened && !gone && standing && view.may_add == Leave::Yes,
        }
    };
    view.moments.iter().map(line).collect()
}

/// Whom it concerns, and then who saw it.
pub(super) fn people(view: &IncidentView) -> Vec<ui::SaidRow> {
    let line = |part: &PartIn, row: &PersonRow| {
        let at = (&row.entry, &view.incident.entry);
        let (target, gone, may) = turn(at, row.withdrawn.as_ref(), &row.may_withdraw);
        let words_of = row.text.clone().unwrap_or_default();
        // Of somebody who is named the words are more about them.
        let (text, more) = match &row.who {
            Some(who) => (words::who(who).to_owned(), words_of),
            None => (words_of, String::new()),
        };
        ui::SaidRow {
            entry: row.entry.to_string().into(),
            about: match part {
                PartIn::Concerned => 0,
                PartIn::Witness => 1,
            },
            text: text.into(),
            more: more.into(),
            by: row.by.name.clone().into(),
            when: words::moment(&row.at),
            target,
            gone,
            may,
        }
    };
    let concerned = view.concerned.iter();
    let concerned = concerned.map(|row| line(&PartIn::Concerned, row));
    let witnesses = view.witnesses.iter();
    let witnesses = witnesses.map(|row| line(&PartIn::Witness, row));
    concerned.chain(witnesses).collect()
}

/// What is said of it, by what it is about.
pub(super) fn facts(view: &IncidentView) -> Vec<ui::SaidRow> {
    let line = |row: &FactRow| {
        let at = (&row.entry, &view.incident.entry);
        let (target, gone, may) = turn(at, row.withdrawn.as_ref(), &row.may_withdraw);
        ui::SaidRow {
            entry: row.entry.to_string().into(),
            about: match &row.about {
                FactAbout::Happened => 0,
                FactAbout::Conditions => 1,
                FactAbout::Done => 2,
                FactAbout::Kept => 3,
            },
            text: row.text.clone().into(),
            more: SharedString::new(),
            by: row.by.name.clone().into(),
            when: words::moment(&row.at),
            target,
            gone,
            may,
        }
    };
    view.facts.iter().map(line).collect()
}

/// The reports, the next due first.
pub(super) fn reports(view: &IncidentView) -> Vec<ui::ReportRow> {
    let line = |row: &ReportRow| {
        let at = (&row.entry, &view.incident.entry);
        let (target, gone, may) = turn(at, row.withdrawn.as_ref(), &row.may_withdraw);
        let by = row.made_by.as_ref().map(|by| by.name.clone());
        ui::ReportRow {
            entry: row.entry.to_string().into(),
            to: row.to.clone().into(),
            due: row.due.as_ref().map(words::day).unwrap_or_default(),
            made: row.made.as_ref().map(words::day).unwrap_or_default(),
            made_by: by.unwrap_or_default().into(),
            late: row.late,
            open: row.made.is_none() && !gone,
            target,
            gone,
            may,
        }
    };
    view.reports.iter().map(line).collect()
}
