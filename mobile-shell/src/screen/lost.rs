//! Lost: a buddy who is not seen any more, written down by one press on the water's screen, and
//! how that ended.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{Alarm, AlarmEnd, Leave, LostRow, Request, alarm_cards};

use super::papers;
use crate::shell::Shell;
use crate::ui::{EmergencyDoor, LostLine, Screen};
use crate::words;

/// Shows what to do and writes down when. The card comes first, whatever becomes of the entry;
/// pressed by mistake, the header's undo takes it back.
pub(super) fn lose(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let route = shell.route();
    let now = shell.desk().moment(None, 0);
    let since = now.as_ref().map(words::clock).unwrap_or_default();
    shell.open(route.here(Screen::Emergency));
    let door = ui.global::<EmergencyDoor>();
    let cards = alarm_cards(papers::language(shell)).unwrap_or_default();
    let card = cards.iter().position(|card| card.what == Alarm::LostBuddy);
    if let Some(card) = card {
        door.invoke_read(words::count(card));
    }
    let recorded = shell.record(Request::LoseBuddy {
        course: route.in_course(),
        session: route.session.unwrap_or_default(),
        missing: Vec::new(),
        reported_by: None,
        when: None,
    });
    if recorded.is_some() && card.is_some() {
        door.set_since(since);
    }
}

/// It is over.
pub(super) fn end(shell: &Rc<Shell>, alarm: &str, how: AlarmEnd) {
    shell.record(Request::EndAlarm {
        course: shell.route().in_course(),
        alarm: alarm.to_owned(),
        how,
        when: None,
    });
}

/// One of them, as the water's screen says it.
pub(super) fn line(row: &LostRow) -> LostLine {
    let who: Vec<&str> = row.missing.iter().map(words::who).collect();
    LostLine {
        entry: row.entry.to_string().into(),
        since: words::clock(&row.since),
        elapsed: words::span(&row.elapsed),
        who: who.join(", ").into(),
        may: row.may_end == Leave::Yes,
    }
}
