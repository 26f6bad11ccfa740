//! Add: what hangs on the incident that is shown, each an entry of its own.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{FactAbout, Happening, PartIn, Request, Who};

use super::lines;
use super::timeline::Kept;
use crate::shell::Shell;
use crate::ui::TimelineDoor;
use crate::words;

/// Adds to the incident that is shown.
fn add(shell: &Rc<Shell>, request: impl FnOnce(String, String) -> Request) -> bool {
    let route = shell.route();
    let (course, incident) = (route.in_course(), route.incident.unwrap_or_default());
    shell.record(request(course, incident)).is_some()
}

/// One press: the clock does the rest.
pub(super) fn happened(shell: &Rc<Shell>, n: i32) {
    let place = usize::try_from(n).ok();
    let what = place.and_then(|n| lines::HAPPENINGS.get(n).cloned());
    let Some(what) = what else { return };
    add(shell, |course, incident| Request::AddIncidentMoment {
        course,
        incident,
        what,
        when: None,
        who: None,
        text: None,
    });
}

/// A moment in words.
pub(super) fn note(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let text = door.get_words().trim().to_owned();
    let done = add(shell, |course, incident| Request::AddIncidentMoment {
        course,
        incident,
        what: Happening::Other,
        when: None,
        who: None,
        text: Some(text),
    });
    if done {
        door.set_words("".into());
    }
}

/// Says what is wrong with the day of a report.
pub(super) fn say_day(shell: &Shell, fault: SharedString) {
    if let Some(ui) = shell.ui() {
        ui.global::<TimelineDoor>().set_by_fault(fault);
    }
}

/// Somebody of the course or of its staff.
pub(super) fn add_person(shell: &Rc<Shell>, id: &str) {
    let who = {
        let kept = shell.kept::<Kept>();
        let known = kept.known.borrow();
        let chip = known.iter().find(|chip| chip.id == id);
        chip.map(words::who_of)
    };
    if who.is_some() {
        named(shell, who, None);
    }
}

/// Somebody who is named in words.
pub(super) fn add_somebody(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let text = door.get_somebody().trim().to_owned();
    if named(shell, None, Some(text)) {
        door.set_somebody("".into());
    }
}

fn named(shell: &Rc<Shell>, who: Option<Who>, text: Option<String>) -> bool {
    let Some(ui) = shell.ui() else { return false };
    let part = if ui.global::<TimelineDoor>().get_part() == 0 {
        PartIn::Concerned
    } else {
        PartIn::Witness
    };
    add(shell, |course, incident| Request::AddIncidentPerson {
        course,
        incident,
        part,
        who,
        text,
    })
}

/// Something that is said of it.
pub(super) fn add_fact(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let about = match door.get_about() {
        0 => FactAbout::Happened,
        1 => FactAbout::Conditions,
        2 => FactAbout::Done,
        _ => FactAbout::Kept,
    };
    let text = door.get_said().trim().to_owned();
    let done = add(shell, |course, incident| Request::AddIncidentFact {
        course,
        incident,
        about,
        text,
    });
    if done {
        door.set_said("".into());
    }
}

/// A report that is due.
pub(super) fn add_report(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let to = door.get_to().trim().to_owned();
    let day = door.get_by().trim().to_owned();
    let by = match (!day.is_empty()).then(|| shell.desk().read_day(day)) {
        None => None,
        Some(Ok(day)) => Some(day.date.to_string()),
        Some(Err(fault)) => return say_day(shell, words::fault(&ui, &fault)),
    };
    let done = add(shell, |course, incident| Request::AddIncidentReport {
        course,
        incident,
        to,
        by,
    });
    if done {
        door.set_to("".into());
        door.set_by("".into());
    }
}
