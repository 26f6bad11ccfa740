//! Begin: an incident begins by one press, before anybody types a word.

use std::rc::Rc;

use tallywater_bindings::{Fault, Request};

use crate::shell::{Route, Shell};
use crate::ui::Screen;

/// Begins an incident of the session that is at hand by one press, and goes to its timeline.
pub(in crate::screen) fn begin(shell: &Rc<Shell>) {
    let route = shell.route();
    let course = route.in_course();
    // An alarm that cannot be read keeps nobody from beginning.
    let from = open_alarm(shell, &course, route.session.as_deref())
        .ok()
        .flatten();
    let begun = shell.record(Request::BeginIncident {
        course,
        session: route.session.clone(),
        who: Vec::new(),
        when: None,
        from,
    });
    let entry = begun.and_then(|receipt| receipt.entries.into_iter().next());
    if let Some(one) = entry {
        open(shell, &route, &one.entry);
    }
}

/// Goes to the timeline of an incident of the course that one is in.
pub(in crate::screen) fn open(shell: &Rc<Shell>, from: &Route, incident: &str) {
    shell.open(from.here(Screen::Timeline).incident(incident));
}

/// The latest alarm of a session, where it has not ended and no incident grew out of it yet.
fn open_alarm(
    shell: &Rc<Shell>,
    course: &str,
    session: Option<&str>,
) -> Result<Option<String>, Fault> {
    let Some(session) = session else {
        return Ok(None);
    };
    let desk = shell.desk();
    let alarms = desk.emergency(course.to_owned(), session.to_owned())?;
    let Some(alarm) = alarms.alarms.last().filter(|one| one.ended.is_none()) else {
        return Ok(None);
    };
    let incidents = desk.incidents(course.to_owned())?.rows;
    for row in incidents.iter().filter(|row| row.withdrawn.is_none()) {
        let view = desk.incident(course.to_owned(), row.entry.clone())?;
        if view.moments.iter().any(|one| one.entry == alarm.entry) {
            return Ok(None);
        }
    }
    Ok(Some(alarm.entry.clone()))
}
