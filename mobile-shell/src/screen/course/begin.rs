//! A new course: one form, and then its students.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{OutlineFrom, Request, Role, Scope, StaffRole, StaffRow};

use super::{Kept, clear, draw_day, heading, place, refused, rules};
use crate::screen::policy;
use crate::shell::{Route, Shell, rows};
use crate::ui::{self, CourseDoor, CourseWords, Load, Screen};
use crate::words;

pub(super) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CourseDoor>();
    let kept = shell.kept::<Kept>();
    heading(shell);
    let desk = shell.desk();
    let failed = |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    };
    let staff = shell.see(desk.staff(), failed);
    let earlier = shell.see(desk.courses_held(), failed);
    let (Some(staff), Some(earlier)) = (staff, earlier) else {
        return;
    };
    // A form that is being filled in is not emptied because something arrived.
    if kept.of.borrow().as_ref() != Some(&None) {
        kept.of.replace(Some(None));
        kept.changed.set(false);
        let own = staff.staff.iter().filter(|one| one.own);
        let own = own.filter_map(|one| Some((one.name.staff.to_string(), one.teaches?)));
        kept.staff.replace(own.collect());
        let today = desk.day(None, 0).map(|day| day.date.to_string());
        kept.starts.replace(today.unwrap_or_default());
        door.set_title("".into());
        door.set_place("".into());
        door.set_outline(0);
        door.set_reading(false);
        door.set_read(false);
        door.set_read_text("".into());
        door.set_done("".into());
        clear(&door);
    }
    draw_day(shell);
    draw_staff(shell, &staff.staff);
    let says = ui.global::<CourseWords>();
    let first = [says.invoke_outline_school(), says.invoke_outline_starter()];
    let copies = earlier
        .iter()
        .map(|row| says.invoke_outline_of(row.title.clone().into()));
    let outlines: Vec<SharedString> = first.into_iter().chain(copies).collect();
    door.set_outlines(rows(outlines));
    kept.earlier.replace(
        earlier
            .into_iter()
            .map(|row| row.course.to_string())
            .collect(),
    );
    rules(shell, &door);
    door.set_load(Load::Ready);
}

/// Whoever may teach, and whether they are on it.
fn draw_staff(shell: &Rc<Shell>, staff: &[StaffRow]) {
    let Some(ui) = shell.ui() else { return };
    let chosen = shell.kept::<Kept>().staff.borrow().clone();
    let chips = staff.iter().filter_map(|one| {
        let role = one.teaches.as_ref()?;
        Some(ui::PersonChip {
            id: one.name.staff.to_string().into(),
            called: one.name.name.clone().into(),
            role: words::role(role),
            staff: true,
            on: chosen.iter().any(|(id, _)| *id == one.name.staff),
            ..ui::PersonChip::default()
        })
    });
    ui.global::<CourseDoor>().set_staff(rows(chips));
}

pub(super) fn toggle(shell: &Rc<Shell>, id: &str) {
    let staff = match shell.desk().staff() {
        Ok(staff) => staff.staff,
        Err(fault) => return shell.fault(&fault),
    };
    let role = staff
        .iter()
        .find(|one| one.name.staff == id)
        .and_then(|one| one.teaches);
    {
        let kept = shell.kept::<Kept>();
        let mut chosen = kept.staff.borrow_mut();
        let many = chosen.len();
        chosen.retain(|(one, _)| one != id);
        if chosen.len() == many {
            chosen.extend(role.map(|role: Role| (id.to_owned(), role)));
        }
    }
    draw_staff(shell, &staff);
}

/// Confirms the rules that were read, opens the course, and goes on to its students.
pub(super) fn open(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CourseDoor>();
    let kept = shell.kept::<Kept>();
    clear(&door);
    if door.get_read() {
        let unconfirmed = rules(shell, &door);
        let text = door.get_read_text();
        if !unconfirmed.is_empty() && !policy::confirm_by(shell, Scope::Shop, unconfirmed, &text) {
            return;
        }
        door.set_read(false);
    }
    let outline = match door.get_outline() {
        0 => OutlineFrom::School,
        1 => OutlineFrom::Starter,
        n => {
            let place = usize::try_from(n - 2).ok();
            let earlier = kept.earlier.borrow();
            match place.and_then(|place| earlier.get(place).cloned()) {
                Some(course) => OutlineFrom::Course { course },
                None => OutlineFrom::School,
            }
        }
    };
    let staff = kept.staff.borrow().clone();
    let opened = shell.desk().record(Request::OpenCourse {
        title: door.get_title().trim().to_owned(),
        starts: kept.starts.borrow().clone(),
        place: place(&door),
        outline,
        staff: staff
            .into_iter()
            .map(|(staff, role)| StaffRole { staff, role })
            .collect(),
    });
    match opened {
        Ok(receipt) => {
            kept.of.take();
            let course = receipt.made.clone().unwrap_or_default();
            shell.recorded(receipt);
            shell.replace(Route::to(Screen::Enrol).course(course));
        }
        Err(fault) => refused(shell, &fault),
    }
}
