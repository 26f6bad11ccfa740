//! The sessions of a course.

use std::rc::Rc;

use slint::ComponentHandle;

use super::today::session_row;
use crate::shell::{Shell, rows};
use crate::ui::{AppDoor, CourseWords, Load, PlanDoor, Screen};

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PlanDoor>();
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Sessions);
    shell.title(heading, "");
    let course = shell.route().in_course();
    if course.is_empty() {
        door.set_fault(ui.global::<CourseWords>().invoke_no_course());
        door.set_load(Load::Failed);
        return;
    }
    let list = shell.see(shell.desk().session_list(course), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(list) = list else { return };
    door.set_sessions(rows(list.rows.iter().map(session_row)));
    door.set_fault("".into());
    door.set_load(if list.rows.is_empty() {
        Load::Empty
    } else {
        Load::Ready
    });
}
