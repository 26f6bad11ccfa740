//! Incident: what happened, to whom, what was done: written moment by moment, or whole after the
//! people are looked after.

mod add;
pub(super) mod begin;
mod lines;
mod time;
pub(super) mod timeline;

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{Columns, IncidentRow, Leave, Request, Who};

use crate::shell::{Shell, on, rows};
use crate::ui::{self, AppDoor, IncidentDoor, PersonChip, Screen};
use crate::words;

#[derive(Default)]
struct Kept {
    course: RefCell<String>,
    people: RefCell<Vec<PersonChip>>,
    chosen: RefCell<Vec<String>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<IncidentDoor>();
    on!(shell, door.on_toggle(id) => {
        words::toggle(&mut shell.kept::<Kept>().chosen.borrow_mut(), &id);
        draw(shell);
    });
    on!(shell, door.on_record() => record(shell));
    on!(shell, door.on_begin() => begin::begin(shell));
    on!(shell, door.on_open(entry) => begin::open(shell, &shell.route(), &entry));
    timeline::join(shell);
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<IncidentDoor>();
    let kept = shell.kept::<Kept>();
    let course = shell.route().in_course();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Incident), "");
    if *kept.course.borrow() != course {
        kept.course.replace(course.clone());
        kept.chosen.borrow_mut().clear();
        empty(&door);
        door.set_recorded(false);
    }
    let failed = |fault| door.set_fault(fault);
    let earlier = shell.see(shell.desk().incidents(course.clone()), failed);
    let may = earlier.as_ref().map(|view| &view.may_add);
    door.set_may(may == Some(&Leave::Yes));
    let earlier = earlier.map(|view| view.rows).unwrap_or_default();
    door.set_earlier(rows(earlier.iter().map(earlier_row)));
    let Some(known) = known(shell, &course, failed) else {
        return;
    };
    kept.people.replace(known);
    draw(shell);
}

/// Whom an incident may name: the students of the course, and the school's staff.
fn known(
    shell: &Rc<Shell>,
    course: &str,
    failed: impl Fn(SharedString),
) -> Option<Vec<PersonChip>> {
    let desk = shell.desk();
    let board = shell.see(desk.board(course.to_owned(), None, Columns::All), &failed)?;
    let staff = shell.see(desk.staff(), &failed)?;
    let students = board
        .rows
        .iter()
        .map(|row| words::student_chip(&row.name, false, 0));
    let colleagues = staff.staff.iter().map(|row| PersonChip {
        id: row.name.staff.to_string().into(),
        called: row.name.name.clone().into(),
        role: row.roles.first().map(words::role).unwrap_or_default(),
        staff: true,
        ..PersonChip::default()
    });
    Some(students.chain(colleagues).collect())
}

fn earlier_row(row: &IncidentRow) -> ui::IncidentRow {
    let who: Vec<&str> = row.who.iter().map(words::who).collect();
    ui::IncidentRow {
        entry: row.entry.to_string().into(),
        who: who.join(", ").into(),
        when: words::moment(&row.when),
        happened: row.happened.clone().into(),
        done: row.done.clone().into(),
        reported: row.reported.clone().unwrap_or_default().into(),
        by: row.by.name.clone().into(),
        withdrawn: row.withdrawn.is_some(),
    }
}

fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let (people, chosen) = (kept.people.borrow(), kept.chosen.borrow());
    let chips = people.iter().map(|chip| PersonChip {
        on: is_chosen(&chosen, chip),
        ..chip.clone()
    });
    ui.global::<IncidentDoor>().set_people(rows(chips));
}

fn is_chosen(chosen: &[String], chip: &PersonChip) -> bool {
    chosen.iter().any(|id| chip.id == id.as_str())
}

fn empty(door: &IncidentDoor<'_>) {
    door.set_happened("".into());
    door.set_done("".into());
    door.set_reported("".into());
    door.set_fault("".into());
}

fn record(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<IncidentDoor>();
    let kept = shell.kept::<Kept>();
    let who: Vec<Who> = {
        let (people, chosen) = (kept.people.borrow(), kept.chosen.borrow());
        let concerned = people.iter().filter(|chip| is_chosen(&chosen, chip));
        concerned.map(words::who_of).collect()
    };
    let now = match shell.desk().moment(None, 0) {
        Ok(now) => now,
        Err(fault) => return shell.fault(&fault),
    };
    let reported = door.get_reported().trim().to_owned();
    let route = shell.route();
    let recorded = shell.record(Request::ReportIncident {
        course: route.in_course(),
        session: route.session,
        who,
        when: now.at.to_rfc3339(),
        happened: door.get_happened().trim().to_owned(),
        done: door.get_done().trim().to_owned(),
        reported: (!reported.is_empty()).then_some(reported),
    });
    if recorded.is_some() {
        kept.chosen.borrow_mut().clear();
        empty(&door);
        draw(shell);
    }
    door.set_recorded(recorded.is_some());
}
