//! Courses: those worked on, and those that have ended, out of the way and in reach.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{CourseRow, CourseStage, Leave};

use crate::shell::{Shell, rows};
use crate::ui::{self, AppDoor, CourseDoor, Load, Screen};
use crate::words;

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CourseDoor>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Courses), "");
    let list = shell.see(shell.desk().course_list(None), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(list) = list else { return };
    let (ended, running): (Vec<_>, Vec<_>) = list.rows.iter().partition(|row| has_ended(row));
    door.set_running(rows(running.into_iter().map(view)));
    door.set_ended(rows(ended.into_iter().map(view)));
    door.set_may_open(list.may_open == Leave::Yes);
    door.set_fault("".into());
    door.set_load(Load::Ready);
}

/// Whether the shop's list says that nothing more is expected of it.
pub(super) const fn has_ended(row: &CourseRow) -> bool {
    match row.stage {
        CourseStage::Closed | CourseStage::HandedOver => true,
        CourseStage::Running | CourseStage::Ahead => false,
    }
}

fn view(row: &CourseRow) -> ui::CourseRow {
    let staff: Vec<&str> = row.staff.iter().map(|one| one.name.as_str()).collect();
    ui::CourseRow {
        id: row.course.to_string().into(),
        title: row.title.clone().into(),
        starts: words::day(&row.starts),
        closed: has_ended(row),
        staff: staff.join(", ").into(),
        ..ui::CourseRow::default()
    }
}
