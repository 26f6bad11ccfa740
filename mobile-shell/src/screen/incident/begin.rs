//! Begin: an incident begins by one press, before anybody types a word.

use std::rc::Rc;

use tallywater_bindings::Request;

use crate::shell::{Route, Shell};
use crate::ui::Screen;

/// Begins an incident of the session that is at hand by one press, and goes to its timeline.
pub(in crate::screen) fn begin(shell: &Rc<Shell>) {
    let route = shell.route();
    let course = route.in_course();
    // An alarm that cannot be read keeps nobody from beginning.
    let from = route.session.clone().and_then(|session| {
        let seen = shell.desk().emergency(course.clone(), session);
        seen.ok()?.unreported
    });
    let begun = shell.record(Request::BeginIncident {
        course,
        session: route.session.clone(),
        who: Vec::new(),
        when: None,
        from: from.map(|id| id.to_string()),
    });
    let entry = begun.and_then(|receipt| receipt.entries.into_iter().next());
    if let Some(one) = entry {
        open(shell, &route, &one.entry.to_string());
    }
}

/// Goes to the timeline of an incident of the course that one is in.
pub(in crate::screen) fn open(shell: &Rc<Shell>, from: &Route, incident: &str) {
    shell.open(from.here(Screen::Timeline).incident(incident));
}
