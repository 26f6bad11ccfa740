//! Enrolment: a new student, or the details of one who is there already.

use std::cell::RefCell;
use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{
    EmergencyContact, Fault, PersonDetails, Request, RosterHints, RowReason, Twins,
};

use crate::shell::{Shell, on, rows};
use crate::ui::{AppDoor, CourseWords, EnrolDoor, Screen};
use crate::words;

#[derive(Default)]
struct Kept {
    /// Whose details the form holds; `None` for a new student.
    of: RefCell<Option<(String, Option<String>)>>,
    born: RefCell<String>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    on!(shell, door.on_key(key) => born(shell, |text| text.push_str(&key)));
    on!(shell, door.on_erase() => born(shell, |text| { text.pop(); }));
    on!(shell, door.on_enrol() => enrol(shell));
    on!(shell, door.on_import() => import(shell));
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    let route = shell.route();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Enrol), "");
    let kept = shell.kept::<Kept>();
    let of = (route.in_course(), route.student.clone());
    // A form that is being filled in is not emptied because something arrived.
    if kept.of.borrow().as_ref() == Some(&of) {
        return;
    }
    kept.born.borrow_mut().clear();
    clear(&door);
    door.set_amending(route.student.is_some());
    if let Some(student) = route.student {
        let seen = shell.desk().student(of.0.clone(), student);
        let Some(view) = shell.see(seen, |fault| door.set_fault(fault)) else {
            return;
        };
        if let Some(details) = view.details {
            door.set_name(details.name.into());
            door.set_called(details.called.unwrap_or_default().into());
            door.set_contact(details.contact.unwrap_or_default().into());
            if let Some(one) = details.emergency {
                door.set_emergency(one.name.into());
                door.set_reach(one.reach.into());
            }
            if let Some(day) = details.born {
                let text = format!("{:02} {:02} {}", day.day, day.month, day.year);
                door.set_born(text.clone().into());
                kept.born.replace(text);
            }
        }
    }
    kept.of.replace(Some(of));
}

fn clear(door: &EnrolDoor<'_>) {
    door.set_name("".into());
    door.set_called("".into());
    door.set_contact("".into());
    door.set_emergency("".into());
    door.set_reach("".into());
    door.set_referred_from("".into());
    door.set_born("".into());
    door.set_fault("".into());
    door.set_done("".into());
    door.set_typing(false);
}

fn born(shell: &Rc<Shell>, change: impl FnOnce(&mut String)) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    change(&mut kept.born.borrow_mut());
    let door = ui.global::<EnrolDoor>();
    door.set_born(kept.born.borrow().clone().into());
    door.set_fault("".into());
}

fn filled(text: &str) -> Option<String> {
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

fn details(shell: &Rc<Shell>, door: &EnrolDoor<'_>) -> Result<PersonDetails, Fault> {
    let text = shell.kept::<Kept>().born.borrow().clone();
    let born = match filled(&text) {
        Some(text) => Some(shell.desk().read_day(text)?.date),
        None => None,
    };
    Ok(PersonDetails {
        name: door.get_name().trim().to_owned(),
        called: filled(&door.get_called()),
        born,
        contact: filled(&door.get_contact()),
        emergency: filled(&door.get_emergency()).map(|name| EmergencyContact {
            name,
            reach: door.get_reach().trim().to_owned(),
        }),
    })
}

/// Takes in a roster: every row, or nobody while one row is bad. Who seems to be there
/// already is left out.
fn import(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    let says = ui.global::<CourseWords>();
    door.set_done("".into());
    door.set_bad_rows(rows([]));
    let Ok(bytes) = std::fs::read(door.get_file().trim()) else {
        return door.set_bad_rows(rows([says.invoke_no_file()]));
    };
    let (desk, course, hints) = (
        shell.desk(),
        shell.route().in_course(),
        RosterHints::default(),
    );
    let seen = desk.look_at_roster(course.clone(), bytes.clone(), hints.clone());
    let preview = match seen {
        Ok(preview) => preview,
        Err(fault) => return door.set_bad_rows(rows([words::fault(&ui, &fault)])),
    };
    if !preview.faults.is_empty() {
        let bad = preview.faults.iter().map(|fault| {
            let why = says.invoke_bad_row_why(reason(&fault.reason));
            says.invoke_bad_row(words::count(fault.line), why)
        });
        return door.set_bad_rows(rows(bad));
    }
    match desk.take_roster(course, bytes, hints, Twins::LeaveOut) {
        Ok(taken) => door.set_done(says.invoke_taken(words::count(taken.enrolled))),
        Err(fault) => door.set_bad_rows(rows([words::fault(&ui, &fault)])),
    }
}

/// Why a row is bad, by number.
const fn reason(reason: &RowReason) -> i32 {
    match reason {
        RowReason::NoName => 0,
        RowReason::TooLong { .. } => 1,
        RowReason::Fields { .. } => 2,
        RowReason::NoDate | RowReason::TwoDates | RowReason::OtherCentury => 3,
        RowReason::HalfContact | RowReason::Undecodable | RowReason::Quotes => 4,
    }
}

fn enrol(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    let route = shell.route();
    let details = match details(shell, &door) {
        Ok(details) => details,
        Err(fault) => return door.set_fault(words::fault(&ui, &fault)),
    };
    let (course, name) = (route.in_course(), details.name.clone());
    let says = ui.global::<CourseWords>();
    match route.student {
        Some(student) => {
            let amended = shell.record(Request::Amend {
                course,
                student,
                details,
            });
            if amended.is_some() {
                door.set_done(says.invoke_kept());
            }
        }
        None => {
            let referred_from = filled(&door.get_referred_from());
            let enrolled = shell.record(Request::Enrol {
                course,
                details,
                referred_from,
            });
            if enrolled.is_some() {
                clear(&door);
                shell.kept::<Kept>().born.borrow_mut().clear();
                door.set_done(says.invoke_enrolled(name.into()));
            }
        }
    }
}
