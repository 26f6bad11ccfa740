//! Students of a course, each with how far they are.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{BoardRow, Columns, share_of};

use crate::shell::{Route, Shell, rows};
use crate::ui::{AppDoor, Load, Screen, StudentDoor, StudentRow};
use crate::words;

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<StudentDoor>();
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Students);
    let course = shell.route().in_course();
    let board = shell.see(shell.desk().board(course, None, Columns::All), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(board) = board else {
        shell.title(heading, "");
        return;
    };
    shell.title(heading, board.title.clone());
    door.set_fault("".into());
    door.set_students(rows(board.rows.iter().map(row)));
    door.set_load(if board.rows.is_empty() {
        Load::Empty
    } else {
        Load::Ready
    });
}

fn row(row: &BoardRow) -> StudentRow {
    StudentRow {
        id: row.name.student.to_string().into(),
        called: row.name.short.clone().into(),
        name: row.name.name.clone().into(),
        initials: words::initials(&row.name),
        met: words::count(row.done),
        of: words::count(row.of),
        share: share_of(row.done, row.of),
        gaps: words::count(row.water_gaps),
        ended: row.ended.is_some(),
    }
}

/// Opens one student of the list.
pub(super) fn open(shell: &Rc<Shell>, student: &str) {
    let route = shell.route().here(Screen::Student).student(student);
    shell.open(route);
}

/// To the form for a new student.
pub(super) fn enrol(shell: &Rc<Shell>) {
    let route: Route = shell.route().here(Screen::Enrol);
    shell.open(route);
}
