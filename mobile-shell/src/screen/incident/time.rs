//! Time: when a moment was, put right afterwards. What stood there stays in the entries.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{Request, TimelineRow, TimelineWhat, Who, course_ledger};

use super::timeline::{Kept, draw};
use crate::shell::Shell;
use crate::ui::TimelineDoor;
use crate::words;

/// The days that a time may be of, from the moment's own.
const DAYS: [i32; 3] = [-1, 0, 1];
/// Which of them is the moment's own.
const SAME: usize = 1;

/// A moment of the incident that is shown, by its entry.
fn moment_of(kept: &Kept, entry: &str) -> Option<TimelineRow> {
    let view = kept.view.borrow();
    let rows = view.as_ref().map(|view| &view.moments)?;
    rows.iter().find(|row| row.entry == entry).cloned()
}

/// Opens a moment to put its time right, and no other; for no entry none is open.
pub(super) fn correct(shell: &Rc<Shell>, entry: &str) {
    let kept = shell.kept::<Kept>();
    let row = moment_of(&kept, entry);
    let days = row.as_ref().map(|row| {
        let day = |after: &i32| {
            shell
                .desk()
                .day(Some(row.when.day.date.to_string()), *after)
        };
        DAYS.iter().map(day).collect::<Result<Vec<_>, _>>()
    });
    match days {
        Some(Ok(days)) => {
            kept.days.replace(days);
            kept.day.set(SAME);
        }
        Some(Err(fault)) => return shell.fault(&fault),
        None => {}
    }
    kept.active.replace(row.map(|row| row.entry.to_string()));
    typed(shell, String::clear);
}

/// What is typed changes, and what was wrong with it is over.
pub(super) fn typed(shell: &Rc<Shell>, how: impl FnOnce(&mut String)) {
    how(&mut shell.kept::<Kept>().typed.borrow_mut());
    say_time(shell, SharedString::new());
    draw(shell);
}

fn say_time(shell: &Shell, fault: SharedString) {
    if let Some(ui) = shell.ui() {
        ui.global::<TimelineDoor>().set_time_fault(fault);
    }
}

/// The moment again with the time that was typed, and the one that stood there withdrawn: both
/// or neither, and one undo takes back both.
pub(super) fn timed(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let entry = kept.active.borrow().clone().unwrap_or_default();
    let Some(row) = moment_of(&kept, &entry) else {
        return correct(shell, "");
    };
    let text = kept.typed.borrow().clone();
    let day = kept.days.borrow().get(kept.day.get()).cloned();
    let date = day.map_or_else(|| row.when.day.date.to_string(), |day| day.date.to_string());
    // Nothing typed: the time of day stays, and the day may be another.
    let text = match (text.is_empty(), kept.day.get() == SAME) {
        (false, _) => text,
        (true, false) => words::clock(&row.when).to_string(),
        (true, true) => return correct(shell, ""),
    };
    let read = shell.desk().read_clock(date, text);
    let at = match read {
        Ok(at) => at,
        Err(fault) => return say_time(shell, words::fault(&ui, &fault)),
    };
    let TimelineWhat::Happened(what) = row.what else {
        return correct(shell, "");
    };
    let route = shell.route();
    let course = route.in_course();
    let ledger = match course_ledger(course.clone()) {
        Ok(ledger) => ledger,
        Err(fault) => return shell.fault(&fault),
    };
    let requests = vec![
        Request::Withdraw {
            ledger,
            entry,
            why: None,
        },
        Request::AddIncidentMoment {
            course,
            incident: route.incident.unwrap_or_default(),
            what,
            when: Some(at.at.to_rfc3339()),
            who: row.who.first().map(Who::from),
            text: row.text,
        },
    ];
    if shell.record_all(requests).is_some() {
        correct(shell, "");
    }
}
