//! A course: opened with everything that is known filled in, and its settings from then on.

mod begin;

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{
    CourseStaff, CourseStage, CourseState, CourseView, Fault, Leave, Request, Role, Scope,
};

use super::{course_file, policy};
use crate::shell::{Route, Shell, on, rows};
use crate::ui::{self, AppDoor, CourseDoor, CourseWords, Load, OfCourse, Screen};
use crate::words;

/// The form behind both screens.
#[derive(Default)]
pub(super) struct Kept {
    /// Which course the form is about; `None` for a new one.
    of: RefCell<Option<Option<String>>>,
    /// The first day, as it crosses.
    starts: RefCell<String>,
    /// Whether something was changed since it was kept.
    changed: Cell<bool>,
    /// Who is put on a new course, and as what.
    staff: RefCell<Vec<(String, Role)>>,
    /// Where a new course may take its outline from: earlier courses, by id.
    earlier: RefCell<Vec<String>>,
    view: RefCell<Option<CourseView>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CourseDoor>();
    on!(shell, door.on_open(course) => shell.open(Route::to(Screen::Board).course(course)));
    on!(shell, door.on_settings(course) => shell.open(Route::to(Screen::Course).course(course)));
    on!(shell, door.on_take_file() => course_file::choose(shell));
    on!(shell, door.on_new_course() => shell.open(Route::to(Screen::NewCourse)));
    on!(shell, door.on_shift(days) => shift(shell, days));
    on!(shell, door.on_typed() => typed(shell));
    on!(shell, door.on_toggle_staff(id) => toggle(shell, &id));
    on!(shell, door.on_choose_outline(n) => {
        if let Some(ui) = shell.ui() {
            ui.global::<CourseDoor>().set_outline(n);
        }
    });
    on!(shell, door.on_begin() => begin::open(shell));
    on!(shell, door.on_keep() => keep(shell));
    on!(shell, door.on_close() => list(shell, CourseState::Closed));
    on!(shell, door.on_reopen() => list(shell, CourseState::Running));
    on!(shell, door.on_go(to) => go(shell, to));
    on!(shell, door.on_again() => shell.show_again());
}

/// The form of a new course.
pub(crate) fn show_new(shell: &Rc<Shell>) {
    begin::show(shell);
}

/// The settings of a course that is there.
pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CourseDoor>();
    let kept = shell.kept::<Kept>();
    let course = shell.route().in_course();
    let view = shell.see(shell.desk().course(course.clone()), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    shell.title(view.title.clone(), view.place.clone().unwrap_or_default());
    // What is being typed is not lost because something arrived meanwhile.
    let same = kept.of.borrow().as_ref() == Some(&Some(course.clone()));
    if !(same && kept.changed.get()) {
        if !same {
            door.set_closing(false);
            door.set_done("".into());
        }
        door.set_title(view.title.clone().into());
        door.set_place(view.place.clone().unwrap_or_default().into());
        let starts = view.starts.as_ref();
        kept.starts
            .replace(starts.map(|day| day.date.to_string()).unwrap_or_default());
        kept.changed.set(false);
        kept.of.replace(Some(Some(course.clone())));
        clear(&door);
    }
    draw_day(shell);
    door.set_changed(kept.changed.get());
    door.set_closed(matches!(
        view.stage,
        Some(CourseStage::Closed | CourseStage::HandedOver)
    ));
    door.set_may_change(view.may_change == Leave::Yes);
    door.set_students(words::count(view.students));
    door.set_open_students(words::count(view.open));
    door.set_staff(rows(view.staff.iter().map(chip)));
    let rules = shell.desk().policy(Scope::Course { course });
    door.set_unconfirmed(words::count(rules.map_or(0, |rules| rules.unconfirmed)));
    door.set_load(Load::Ready);
    kept.view.replace(Some(view));
}

fn clear(door: &CourseDoor<'_>) {
    door.set_fault("".into());
    door.set_title_fault("".into());
    door.set_place_fault("".into());
}

fn chip(one: &CourseStaff) -> ui::PersonChip {
    let role = one.assigned.as_ref().or(one.teaches.as_ref());
    ui::PersonChip {
        id: one.name.staff.to_string().into(),
        called: one.name.name.clone().into(),
        role: role.map(words::role).unwrap_or_default(),
        staff: true,
        on: one.assigned.is_some(),
        ..ui::PersonChip::default()
    }
}

fn draw_day(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let date = shell.kept::<Kept>().starts.borrow().clone();
    let day = shell.desk().day((!date.is_empty()).then_some(date), 0);
    if let Ok(day) = day {
        ui.global::<CourseDoor>().set_starts(words::day(&day));
    }
}

fn shift(shell: &Rc<Shell>, days: i32) {
    let kept = shell.kept::<Kept>();
    let date = kept.starts.borrow().clone();
    match shell.desk().day((!date.is_empty()).then_some(date), days) {
        Ok(day) => {
            kept.starts.replace(day.date.to_string());
            typed(shell);
            draw_day(shell);
        }
        Err(fault) => shell.fault(&fault),
    }
}

fn typed(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CourseDoor>();
    shell.kept::<Kept>().changed.set(true);
    door.set_changed(true);
    door.set_done("".into());
    clear(&door);
}

/// What was refused, at the field it is about.
fn refused(shell: &Rc<Shell>, fault: &Fault) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CourseDoor>();
    let says = words::fault(&ui, fault);
    match words::fault_field(fault) {
        Some("title") => door.set_title_fault(says),
        Some("place") => door.set_place_fault(says),
        Some(_) | None => door.set_fault(says),
    }
}

/// The place that was typed; none where nothing was.
fn place(door: &CourseDoor<'_>) -> Option<String> {
    let place = door.get_place().trim().to_owned();
    (!place.is_empty()).then_some(place)
}

fn keep(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CourseDoor>();
    let kept = shell.kept::<Kept>();
    if !kept.changed.get() {
        return;
    }
    let retitled = shell.desk().record(Request::RetitleCourse {
        course: shell.route().in_course(),
        title: door.get_title().trim().to_owned(),
        starts: kept.starts.borrow().clone(),
        place: place(&door),
    });
    match retitled {
        Ok(receipt) => {
            kept.changed.set(false);
            shell.recorded(receipt);
            door.set_done(ui.global::<CourseWords>().invoke_kept());
            shell.show_again();
        }
        Err(fault) => refused(shell, &fault),
    }
}

/// Puts somebody on the course, or takes them off it; on the form of a new one, for later.
fn toggle(shell: &Rc<Shell>, id: &str) {
    let kept = shell.kept::<Kept>();
    if shell.route().screen == Screen::NewCourse {
        return begin::toggle(shell, id);
    }
    let course = shell.route().in_course();
    let found = {
        let view = kept.view.borrow();
        let staff = view.iter().flat_map(|view| &view.staff);
        staff
            .filter(|one| one.name.staff == id)
            .map(|one| (one.assigned, one.teaches))
            .next()
    };
    let staff = id.to_owned();
    match found {
        Some((Some(_), _)) => {
            shell.record(Request::TakeOffStaff { course, staff });
        }
        Some((None, Some(role))) => {
            shell.record(Request::AssignStaff {
                course,
                staff,
                role,
            });
        }
        Some((None, None)) | None => {}
    }
    shell.show_again();
}

/// Closes the course in the school's list, or opens it again.
fn list(shell: &Rc<Shell>, state: CourseState) {
    let Some(ui) = shell.ui() else { return };
    let course = shell.route().in_course();
    if shell
        .record(Request::ListCourse { course, state })
        .is_some()
    {
        ui.global::<CourseDoor>().set_closing(false);
        shell.show_again();
    }
}

fn go(shell: &Rc<Shell>, to: OfCourse) {
    let here = shell.route();
    shell.open(here.here(match to {
        OfCourse::Board => Screen::Board,
        OfCourse::Enrol => Screen::Enrol,
        OfCourse::Forms => Screen::Forms,
        OfCourse::Sessions => Screen::Sessions,
        OfCourse::Agenda => Screen::Agenda,
        OfCourse::Records => Screen::Records,
        OfCourse::Outline => Screen::Outline,
        OfCourse::Rules => Screen::Policy,
    }));
}

/// The rules of the school, for reading.
fn rules(shell: &Rc<Shell>, door: &CourseDoor<'_>) -> Vec<String> {
    match shell.desk().policy(Scope::Shop) {
        Ok(view) => {
            door.set_rules(rows(policy::texts(shell, &view)));
            door.set_unconfirmed(words::count(view.unconfirmed));
            let open = view.rules.iter().filter(|rule| rule.confirmed.is_none());
            open.map(|rule| rule.id.clone()).collect()
        }
        Err(_) => {
            // A school without rules: the screen says so, and each gate names it.
            door.set_rules(rows([]));
            door.set_unconfirmed(0);
            Vec::new()
        }
    }
}

/// The heading of the form of a new course.
fn heading(shell: &Rc<Shell>) {
    if let Some(ui) = shell.ui() {
        shell.title(ui.global::<AppDoor>().invoke_heading(Screen::NewCourse), "");
    }
}
