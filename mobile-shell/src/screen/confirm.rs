//! To be confirmed: every mark that waits, one by one or all. What was confirmed keeps its row
//! until the screen is left, so that nothing moves under the finger.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, VecModel};
use tallywater_bindings::{Leave, Request, ToConfirmView};

use crate::shell::{Shell, fill, on};
use crate::ui::{AppDoor, ConfirmDoor, Load, Screen, ToConfirmRow};
use crate::words;

#[derive(Default)]
struct Kept {
    /// Of which course the rows are.
    of: RefCell<Option<String>>,
    /// As they were drawn first, and what has come since.
    view: RefCell<Option<ToConfirmView>>,
    /// Those that still wait.
    waiting: RefCell<BTreeSet<String>>,
    rows: Rc<VecModel<ToConfirmRow>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<ConfirmDoor>();
    on!(shell, door.on_confirm(entry) => confirm(shell, vec![entry.into()]));
    on!(shell, door.on_confirm_all() => {
        let waiting = shell.kept::<Kept>().waiting.borrow().iter().cloned().collect();
        confirm(shell, waiting);
    });
    on!(shell, door.on_open(entry) => open(shell, &entry));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<ConfirmDoor>();
    let kept = shell.kept::<Kept>();
    let course = shell.route().in_course();
    let now = shell.see(shell.desk().to_confirm(course.clone()), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(now) = now else { return };
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Confirm);
    shell.title(heading, now.title.clone());
    let waiting: BTreeSet<String> = now
        .rows
        .iter()
        .map(|row| row.line.entry.to_string())
        .collect();
    let may = now.may_confirm;
    let shown = ui.global::<AppDoor>().get_screen() == Screen::Confirm;
    let mut view = kept.view.borrow_mut();
    let of = kept.of.replace(Some(course.clone()));
    match view.as_mut().filter(|_| shown && of == Some(course)) {
        // What came meanwhile stands below: no row moves.
        Some(view) => {
            let there: BTreeSet<String> = view
                .rows
                .iter()
                .map(|row| row.line.entry.to_string())
                .collect();
            let new = now.rows.into_iter();
            view.rows
                .extend(new.filter(|row| !there.contains(&row.line.entry.to_string())));
        }
        None => *view = Some(now),
    }
    let Some(view) = view.as_ref() else { return };
    let rows = view.rows.iter().map(|row| ToConfirmRow {
        student: row.name.name.clone().into(),
        skill: row.skill_name.clone().into(),
        one: super::attempt::try_row(&ui, &row.line),
        done: !waiting.contains(&row.line.entry.to_string()),
    });
    fill(&kept.rows, rows.collect());
    door.set_rows(ModelRc::from(Rc::clone(&kept.rows)));
    door.set_waiting(words::count(waiting.len()));
    door.set_may_confirm(may == Leave::Yes);
    door.set_why_not(match may {
        Leave::NothingOpen | Leave::Yes => slint::SharedString::new(),
        Leave::NotAdmitted | Leave::Role | Leave::Gaps(..) => words::leave(&ui, &may),
    });
    kept.waiting.replace(waiting);
    door.set_fault("".into());
    door.set_load(if view.rows.is_empty() {
        Load::Empty
    } else {
        Load::Ready
    });
}

fn confirm(shell: &Rc<Shell>, attempts: Vec<String>) {
    let course = shell.route().in_course();
    shell.record(Request::Confirm { course, attempts });
}

/// The cell of a mark.
fn open(shell: &Rc<Shell>, entry: &str) {
    let kept = shell.kept::<Kept>();
    let cell = kept.view.borrow().as_ref().and_then(|view| {
        let row = view.rows.iter().find(|row| row.line.entry == entry)?;
        Some((row.name.student.to_string(), row.skill.to_string()))
    });
    if let Some((student, skill)) = cell {
        let here = shell.route().here(Screen::Attempt);
        shell.open(here.student(student).skill(skill));
    }
}
