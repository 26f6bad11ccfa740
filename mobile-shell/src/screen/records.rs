//! Records of a course: who is ready, who has ended, what is missing.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{Columns, RecordRow, RecordState, share_of};

use super::student::outcome;
use crate::shell::{Shell, rows};
use crate::ui::{AppDoor, Load, RecordDoor, RecordView, Screen};
use crate::words;

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<RecordDoor>();
    let course = shell.route().in_course();
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Records);
    let (desk, failed) = (shell.desk(), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let records = shell.see(desk.records(course.clone()), failed);
    let board = shell.see(desk.board(course, None, Columns::All), failed);
    let (Some(records), Some(board)) = (records, board) else {
        shell.title(heading, "");
        return;
    };
    shell.title(heading, board.title.clone());
    let share = |row: &RecordRow| {
        let beside = board
            .rows
            .iter()
            .find(|one| one.name.student == row.name.student);
        beside.map_or(0.0, |one| share_of(one.done, one.of))
    };
    door.set_records(rows(records.rows.iter().map(|row| view(row, share(row)))));
    door.set_done("".into());
    door.set_written(false);
    door.set_refused("".into());
    door.set_fault("".into());
    door.set_load(if records.rows.is_empty() {
        Load::Empty
    } else {
        Load::Ready
    });
}

/// How a record stands, as a number, and how many gaps are open.
pub(super) fn state(state: &RecordState) -> (i32, i32) {
    match state {
        RecordState::Open(gaps) => (0, words::count(*gaps)),
        RecordState::Ready => (1, 0),
        RecordState::Ended(end) => (outcome(end), 0),
    }
}

fn view(row: &RecordRow, share: f32) -> RecordView {
    let (state, gaps) = state(&row.state);
    RecordView {
        student: row.name.name.clone().into(),
        student_id: row.name.student.to_string().into(),
        state,
        gaps,
        share,
        waiting: words::count(row.waiting),
        by: row
            .ended
            .as_ref()
            .map(|end| end.by.name.clone())
            .unwrap_or_default()
            .into(),
        on: row
            .ended
            .as_ref()
            .map(|end| words::day(&end.on))
            .unwrap_or_default(),
        ..RecordView::default()
    }
}
