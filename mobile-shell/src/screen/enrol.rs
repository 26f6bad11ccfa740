//! Enrolment: one student after another, a list, a file, somebody who was here before; or the
//! details of one who is in the course already.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    AdultSeen, Columns, EmergencyContact, Fault, PersonDetails, Request, RosterHints,
    RosterPreview, RosterTaken, RowReason, Twins,
};

use super::courses::has_ended;
use crate::shell::{Route, Shell, on, rows};
use crate::ui::{AppDoor, CourseWords, EnrolDoor, PersonChip, Screen};
use crate::words;

/// So many people who were here before are offered at once.
const OFFERED: u32 = 8;

#[derive(Default)]
struct Kept {
    /// Whose details the form holds; `None` for a new student.
    of: RefCell<Option<(String, Option<String>)>>,
    /// Who saw that the person is of age, and when.
    adult: RefCell<Option<AdultSeen>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    on!(shell, door.on_choose(course) => choose(shell, &course));
    on!(shell, door.on_typed() => {
        if let Some(ui) = shell.ui() {
            faultless(&ui.global::<EnrolDoor>());
        }
    });
    on!(shell, door.on_set_adult(is) => set_adult(shell, is));
    on!(shell, door.on_enrol() => enrol(shell));
    on!(shell, door.on_take_list() => take_list(shell));
    on!(shell, door.on_import() => import(shell));
    on!(shell, door.on_look_for(text) => look_for(shell, text.into()));
    on!(shell, door.on_again(student) => again(shell, student.into()));
    on!(shell, door.on_to_forms() => shell.open(shell.route().here(Screen::Forms)));
    on!(shell, door.on_to_plan() => shell.open(shell.route().here(Screen::Plan).session("")));
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    let route = shell.route();
    let kept = shell.kept::<Kept>();
    let of = (route.in_course(), route.student.clone());
    courses(shell, &of.0);
    shell.title(
        ui.global::<AppDoor>().invoke_heading(Screen::Enrol),
        door.get_course(),
    );
    who_is_in(shell, &of.0);
    // A form that is being filled in is not emptied because something arrived.
    if kept.of.borrow().as_ref() == Some(&of) {
        return;
    }
    clear(&door);
    kept.adult.take();
    door.set_done("".into());
    door.set_list("".into());
    door.set_bad_rows(rows([]));
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
            if let Some(seen) = details.adult {
                door.set_adult(true);
                door.set_seen_by(seen.by.clone().into());
                let (by, on) = (seen.by, seen.on.date.to_string());
                kept.adult.replace(Some(AdultSeen { by, on }));
            }
            if let Some(day) = details.born {
                door.set_born(slint::format!(
                    "{:02} {:02} {}",
                    day.day,
                    day.month,
                    day.year
                ));
            }
        }
    } else {
        look_for(shell, String::new());
    }
    kept.of.replace(Some(of));
}

/// The course that is enrolled into, and the others there are.
fn courses(shell: &Rc<Shell>, of: &str) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    let held = shell.desk().courses_held().unwrap_or_else(|fault| {
        shell.fault(&fault);
        Vec::new()
    });
    let course = held.iter().find(|row| row.course == of);
    door.set_course(
        course
            .map(|row| row.title.clone())
            .unwrap_or_default()
            .into(),
    );
    let open = held.iter().filter(|row| !has_ended(row));
    door.set_courses(rows(open.map(|row| PersonChip {
        id: row.course.to_string().into(),
        called: row.title.clone().into(),
        on: row.course == of,
        ..PersonChip::default()
    })));
}

fn who_is_in(shell: &Rc<Shell>, course: &str) {
    let Some(ui) = shell.ui() else { return };
    let board = shell.desk().board(course.to_owned(), None, Columns::All);
    let names: Vec<SharedString> = board.map_or_else(
        |_| Vec::new(),
        |board| {
            let rows = board.rows.into_iter();
            rows.map(|row| row.name.name.into()).collect()
        },
    );
    ui.global::<EnrolDoor>().set_enrolled(rows(names));
}

/// Turns to another course; with none there is, to a new one.
fn choose(shell: &Rc<Shell>, course: &str) {
    if course.is_empty() {
        shell.replace(Route::to(Screen::NewCourse));
    } else {
        shell.replace(Route::to(Screen::Enrol).course(course));
    }
}

fn clear(door: &EnrolDoor<'_>) {
    door.set_name("".into());
    door.set_called("".into());
    door.set_contact("".into());
    door.set_emergency("".into());
    door.set_reach("".into());
    door.set_referred_from("".into());
    door.set_born("".into());
    door.set_adult(false);
    door.set_seen_by("".into());
    faultless(door);
}

/// What was wrong before is over.
fn faultless(door: &EnrolDoor<'_>) {
    door.set_fault("".into());
    door.set_name_fault("".into());
    door.set_called_fault("".into());
    door.set_born_fault("".into());
    door.set_contact_fault("".into());
    door.set_emergency_fault("".into());
}

/// What was refused, at the field it is about.
fn refused(shell: &Rc<Shell>, fault: &Fault) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    let says = words::fault(&ui, fault);
    match words::fault_field(fault) {
        Some("name") => door.set_name_fault(says),
        Some("called") => door.set_called_fault(says),
        Some("birth date") => door.set_born_fault(says),
        Some("contact") => door.set_contact_fault(says),
        Some("emergency contact") => door.set_emergency_fault(says),
        Some(_) | None => door.set_fault(says),
    }
}

/// Whoever works on this device says that they saw it, today.
fn set_adult(shell: &Rc<Shell>, is: bool) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    let seen = if is {
        let me = shell.desk().state().map(|state| state.me);
        let today = shell.desk().day(None, 0);
        match (me, today) {
            (Ok(Some(me)), Ok(today)) => Some(AdultSeen {
                by: me.name.name,
                on: today.date.to_string(),
            }),
            (Err(fault), _) | (_, Err(fault)) => return door.set_fault(words::fault(&ui, &fault)),
            (Ok(None), _) => return,
        }
    } else {
        None
    };
    door.set_adult(seen.is_some());
    let by = seen.as_ref().map(|seen| seen.by.clone());
    door.set_seen_by(by.unwrap_or_default().into());
    shell.kept::<Kept>().adult.replace(seen);
}

fn filled(text: &str) -> Option<String> {
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

fn details(shell: &Rc<Shell>, door: &EnrolDoor<'_>) -> Result<PersonDetails, Fault> {
    let born = match filled(&door.get_born()) {
        Some(text) => Some(shell.desk().read_day(text)?.date.to_string()),
        None => None,
    };
    Ok(PersonDetails {
        name: door.get_name().trim().to_owned(),
        called: filled(&door.get_called()),
        born,
        adult: shell.kept::<Kept>().adult.borrow().clone(),
        contact: filled(&door.get_contact()),
        emergency: filled(&door.get_emergency()).map(|name| EmergencyContact {
            name,
            reach: door.get_reach().trim().to_owned(),
        }),
        // Typed where a weight is worked out; an amendment leaves it as it is.
        body: None,
        sizes: None,
    })
}

fn enrol(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    let route = shell.route();
    faultless(&door);
    let details = match details(shell, &door) {
        Ok(details) => details,
        // The one thing that is read here is the birth date.
        Err(fault) => return door.set_born_fault(words::fault(&ui, &fault)),
    };
    let (course, name) = (route.in_course(), details.name.clone());
    let says = ui.global::<CourseWords>();
    let amends = route.student.is_some();
    let request = match route.student {
        Some(student) => Request::Amend {
            course,
            student,
            details,
        },
        None => Request::Enrol {
            course,
            details,
            referred_from: filled(&door.get_referred_from()),
        },
    };
    match shell.desk().record(request) {
        Ok(receipt) => {
            if amends {
                door.set_done(says.invoke_kept());
            } else {
                clear(&door);
                shell.kept::<Kept>().adult.take();
                door.set_done(says.invoke_enrolled(name.into()));
                door.set_round(door.get_round().wrapping_add(1));
            }
            shell.recorded(receipt);
            show(shell);
        }
        Err(fault) => refused(shell, &fault),
    }
}

/// Takes in a pasted list: every line, or nobody while one is bad. Who seems to be there
/// already is left out.
fn take_list(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    let (desk, course) = (shell.desk(), shell.route().in_course());
    let text = door.get_list().to_string();
    let seen = desk.look_at_names(course.clone(), text.clone());
    let taken = take(shell, seen, || {
        desk.take_names(course, text, Twins::LeaveOut)
    });
    if taken {
        door.set_list("".into());
    }
}

/// Takes in a roster that a person chooses: every row, or nobody while one row is bad.
fn import(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let title = ui.global::<CourseWords>().invoke_choose_roster();
    let course = shell.route().in_course();
    shell.choose_file(&title, &["csv", "txt", "tsv"], move |shell, file| {
        let Some(ui) = shell.ui() else { return };
        let bytes = match file {
            Ok(file) => file.bytes,
            Err(says) => return ui.global::<EnrolDoor>().set_bad_rows(rows([says])),
        };
        let (desk, hints) = (shell.desk(), RosterHints::default());
        let seen = desk.look_at_roster(course.clone(), bytes.clone(), hints.clone());
        take(shell, seen, || {
            desk.take_roster(course, bytes, hints, Twins::LeaveOut)
        });
    });
}

/// Takes what was looked at, unless a row of it is bad: each of those is named.
fn take(
    shell: &Rc<Shell>,
    seen: Result<RosterPreview, Fault>,
    takes: impl FnOnce() -> Result<RosterTaken, Fault>,
) -> bool {
    let Some(ui) = shell.ui() else { return false };
    let door = ui.global::<EnrolDoor>();
    let says = ui.global::<CourseWords>();
    door.set_done("".into());
    door.set_bad_rows(rows([]));
    let preview = match seen {
        Ok(preview) => preview,
        Err(fault) => {
            door.set_bad_rows(rows([words::fault(&ui, &fault)]));
            return false;
        }
    };
    if !preview.faults.is_empty() {
        let bad = preview.faults.iter().map(|fault| {
            let why = says.invoke_bad_row_why(reason(&fault.reason));
            says.invoke_bad_row(words::count(fault.line), why)
        });
        door.set_bad_rows(rows(bad));
        return false;
    }
    match takes() {
        Ok(taken) => {
            let mut said = vec![says.invoke_taken(words::count(taken.enrolled))];
            if !taken.left_out.is_empty() {
                said.push(says.invoke_left_out(words::count(taken.left_out.len())));
            }
            let said: Vec<String> = said.iter().map(ToString::to_string).collect();
            door.set_done(said.join(". ").into());
            show(shell);
            true
        }
        Err(fault) => {
            door.set_bad_rows(rows([words::fault(&ui, &fault)]));
            false
        }
    }
}

/// People who were here before, by a part of their name.
fn look_for(shell: &Rc<Shell>, text: String) {
    let Some(ui) = shell.ui() else { return };
    let course = shell.route().in_course();
    let found = shell.desk().who_could_come(course, text, OFFERED);
    let chips = found
        .unwrap_or_default()
        .into_iter()
        .map(|name| PersonChip {
            id: name.student.to_string().into(),
            called: name.name.into(),
            ..PersonChip::default()
        });
    ui.global::<EnrolDoor>().set_known(rows(chips));
}

/// Enrols somebody who was here before, with the details the school has.
fn again(shell: &Rc<Shell>, student: String) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EnrolDoor>();
    let enrolled = shell.record(Request::EnrolAgain {
        course: shell.route().in_course(),
        student,
        referred_from: filled(&door.get_referred_from()),
    });
    if enrolled.is_some() {
        door.set_referred_from("".into());
        look_for(shell, door.get_looked_for().into());
        show(shell);
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
        RowReason::UnknownKit => 5,
    }
}
