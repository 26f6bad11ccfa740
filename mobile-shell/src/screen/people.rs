//! People: what the school and its staff are called.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{Fault, Leave, Request, StaffRow};

use crate::shell::{Shell, on, rows};
use crate::ui::{AppDoor, Load, PeopleDoor, PersonChip, Screen};
use crate::words;

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PeopleDoor>();
    on!(shell, door.on_keep_school() => keep_school(shell));
    on!(shell, door.on_choose(id) => choose(shell, &id));
    on!(shell, door.on_keep_name() => keep_name(shell));
    on!(shell, door.on_add() => add(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PeopleDoor>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::People), "");
    let staff = shell.see(shell.desk().staff(), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(staff) = staff else { return };
    let called = staff.shop.clone().unwrap_or_default();
    // A name that is being typed is not lost because something arrived meanwhile.
    if door.get_load() != Load::Ready || door.get_school() == door.get_called() {
        door.set_school(called.clone().into());
    }
    door.set_called(called.into());
    door.set_may(staff.may_add == Leave::Yes);
    let who = door.get_who();
    door.set_may_rename(may_rename(&staff.staff, &who));
    door.set_staff(rows(staff.staff.iter().map(chip)));
    super::renewals::draw(&ui, &staff.staff);
    door.set_fault("".into());
    door.set_load(Load::Ready);
}

fn chip(row: &StaffRow) -> PersonChip {
    PersonChip {
        id: row.name.staff.to_string().into(),
        called: row.name.name.clone().into(),
        role: row.roles.first().map(words::role).unwrap_or_default(),
        staff: !row.roles.is_empty(),
        ..PersonChip::default()
    }
}

fn choose(shell: &Rc<Shell>, id: &str) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PeopleDoor>();
    door.set_name_fault("".into());
    if door.get_who() == id {
        return door.set_who("".into());
    }
    let staff = shell.desk().staff().map(|view| view.staff);
    let staff = staff.unwrap_or_default();
    door.set_may_rename(may_rename(&staff, id));
    let found = staff.iter().find(|one| one.name.staff == id);
    let name = found.map(|one| one.name.name.as_str());
    door.set_name(name.unwrap_or_default().into());
    door.set_who(id.into());
    super::renewals::draw(&ui, &staff);
}

/// Whether somebody's name may be changed here: the core says so, person by person.
fn may_rename(staff: &[StaffRow], id: &str) -> bool {
    let found = staff.iter().find(|one| one.name.staff == id);
    found.is_some_and(|one| one.may_rename == Leave::Yes)
}

/// Records what was asked for; what was refused is said at its own field.
fn record(shell: &Rc<Shell>, request: Request, failed: impl FnOnce(&Fault)) -> bool {
    match shell.desk().record(request) {
        Ok(receipt) => {
            shell.recorded(receipt);
            true
        }
        Err(fault) => {
            failed(&fault);
            false
        }
    }
}

fn keep_school(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PeopleDoor>();
    door.set_school_fault("".into());
    let name = door.get_school().trim().to_owned();
    if door.get_called() == name.as_str() {
        return;
    }
    let kept = record(shell, Request::RenameShop { name: name.clone() }, |fault| {
        door.set_school_fault(words::fault(&ui, fault));
    });
    if kept {
        door.set_called(name.clone().into());
        door.set_school(name.into());
        shell.show_again();
    }
}

fn keep_name(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PeopleDoor>();
    door.set_name_fault("".into());
    let request = Request::RenameStaff {
        staff: door.get_who().into(),
        name: door.get_name().trim().to_owned(),
    };
    let kept = record(shell, request, |fault| {
        door.set_name_fault(words::fault(&ui, fault));
    });
    if kept {
        door.set_who("".into());
        shell.show_again();
    }
}

fn add(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PeopleDoor>();
    door.set_new_fault("".into());
    let name = door.get_new_name().trim().to_owned();
    let added = record(shell, Request::JoinStaff { name }, |fault| {
        door.set_new_fault(words::fault(&ui, fault));
    });
    if added {
        door.set_new_name("".into());
        shell.show_again();
    }
}
