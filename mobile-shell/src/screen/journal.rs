//! Entries: what was recorded in a course, newest first; what is withdrawn stays to be seen.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{ActivityRow, ActivityView, Leave, Said};

use super::student::withdraw;
use crate::shell::{Shell, on, rows};
use crate::ui::{AppDoor, EntryRow, JournalDoor, Load, Look, Marks, Screen};
use crate::words;

/// The most lines that are drawn: what is older is on paper and in the export.
const MOST: u32 = 300;

#[derive(Default)]
struct Kept {
    view: RefCell<Option<ActivityView>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<JournalDoor>();
    on!(shell, door.on_withdraw(entry) => turn(shell, &entry));
    on!(shell, door.on_turn(row) => {
        let place = usize::try_from(row).ok();
        let act = place.and_then(|place| shell.acts().get(place).map(|(act, _)| *act));
        if let Some(act) = act {
            shell.turn(act);
            shell.show_again();
        }
    });
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<JournalDoor>();
    let route = shell.route();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Journal), "");
    let seen = shell
        .desk()
        .activity(route.in_course(), None, None, Vec::new(), MOST);
    let view = shell.see(seen, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    let doubted: BTreeSet<String> = view
        .unverified
        .iter()
        .map(|one| one.entry.to_string())
        .collect();
    let entry = |row: &ActivityRow| entry_row(&ui, row, doubted.contains(&row.entry.to_string()));
    door.set_entries(rows(view.rows.iter().map(entry)));
    door.set_acts(rows(shell.acts().into_iter().map(|(_, told)| told)));
    door.set_newer(words::count(view.newer.len()));
    door.set_unverified(words::count(view.unverified.len()));
    door.set_fault("".into());
    door.set_load(if view.rows.is_empty() {
        Load::Empty
    } else {
        Load::Ready
    });
    shell.kept::<Kept>().view.replace(Some(view));
}

fn entry_row(ui: &crate::ui::App, row: &ActivityRow, doubted: bool) -> EntryRow {
    let told = words::told(ui, row, 1);
    let look = match &row.said {
        _ if doubted => Look::Unverified,
        Said::Mark(mark) => ui.global::<Marks>().invoke_look(words::mark(mark)),
        Said::Nothing
        | Said::Clearance(..)
        | Said::Passage(..)
        | Said::Outcome(..)
        | Said::Confirmed(..)
        | Said::Withdrew(..)
        | Said::Assigned(..) => Look::Met,
    };
    let gone = row.withdrawn.as_ref();
    let may = gone.map_or(&row.may_withdraw, |gone| &gone.may_bring_back);
    let people: Vec<&str> = row.who.iter().map(words::who).collect();
    EntryRow {
        entry: row.entry.to_string().into(),
        what: told.what,
        who: people.join(", ").into(),
        look,
        by: row.by.name.clone().into(),
        role: words::role(&row.role),
        when: words::moment(&row.at),
        counts: if gone.is_some() {
            1
        } else if doubted {
            2
        } else {
            0
        },
        may_withdraw: *may == Leave::Yes,
    }
}

/// Withdraws a line; one that is withdrawn comes back by withdrawing its withdrawal.
fn turn(shell: &Rc<Shell>, entry: &str) {
    let kept = shell.kept::<Kept>();
    let target = {
        let view = kept.view.borrow();
        let row = view
            .as_ref()
            .and_then(|view| view.rows.iter().find(|row| row.entry == entry));
        row.and_then(|row| row.withdrawn.as_ref())
            .map_or_else(|| entry.to_owned(), |gone| gone.entry.to_string())
    };
    withdraw(shell, target);
}
