//! Devices: this one, the others, and where each course is held.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    DeviceLink, DeviceState, HeldRow, Leave, LinkView, Request, Role, StaffView, Stage,
};

use crate::shell::{Shell, on, rows};
use crate::ui::{
    AppDoor, CourseWords, DeviceRow, DevicesDoor, LedgerRow, Load, NearRow, PairView, PersonChip,
    Screen,
};
use crate::words;

#[derive(Default)]
struct Kept {
    /// For whom a code is to be shown, and as what.
    guest: RefCell<Option<(String, Role)>>,
    staff: RefCell<Option<StaffView>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DevicesDoor>();
    on!(shell, door.on_toggle_staff(id) => choose(shell, &id));
    on!(shell, door.on_add_staff(name) => add(shell, &name));
    on!(shell, door.on_show_code() => show_code(shell));
    on!(shell, door.on_stop_code() => {
        shell.desk().hide_code();
        show(shell);
    });
    on!(shell, door.on_pair_tick() => pairing(shell));
    on!(shell, door.on_revoke(key, why) => {
        let revoked = shell.record(Request::Revoke { key: key.into(), why: why.into() });
        if revoked.is_some() && let Some(ui) = shell.ui() {
            ui.global::<DevicesDoor>().set_open(-1);
        }
        show(shell);
    });
    on!(shell, door.on_meet() => {
        shell.desk().meet_now();
        if let Some(ui) = shell.ui() {
            let says = ui.global::<CourseWords>().invoke_met();
            ui.global::<DevicesDoor>().set_done(says);
        }
    });
    on!(shell, door.on_accept_late() => accept_late(shell));
    on!(shell, door.on_move() => super::first_start::go_over(shell));
    on!(shell, door.on_print_recovery() => recovery(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DevicesDoor>();
    let kept = shell.kept::<Kept>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Devices), "");
    let (desk, failed) = (shell.desk(), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let staff = shell.see(desk.staff(), failed);
    let link = shell.see(desk.link(), failed);
    let held = shell.see(desk.held(), failed);
    let late = shell.see(desk.late_entries(), failed);
    let state = shell.see(desk.state(), failed);
    let (Some(staff), Some(link), Some(held), Some(late), Some(state)) =
        (staff, link, held, late, state)
    else {
        return;
    };
    let own = staff.devices.iter().find(|device| device.own);
    door.set_mine(
        own.map(|device| device_row(device, None))
            .unwrap_or_default(),
    );
    let others = staff.devices.iter().filter(|device| !device.own);
    let others = others.filter(|device| device.state != DeviceState::Root);
    let met = |key: &str| link.devices.iter().find(|one| one.key == key);
    door.set_devices(rows(
        others.map(|device| device_row(device, met(&device.key.to_string()))),
    ));
    door.set_ledgers(rows(held.iter().map(ledger_row)));
    door.set_near(rows(desk.nearby().into_iter().map(|one| NearRow {
        id: one.place.clone().into(),
        name: one.fingerprint.into(),
        address: one.place.into(),
    })));
    door.set_place(link.place.clone().unwrap_or_default().into());
    door.set_online(link.devices.iter().any(|device| device.connected));
    door.set_lone(state.lone);
    door.set_may_move(state.may_move);
    let role = state.me.map(|me| me.role);
    door.set_may_admit(
        state.stage == Stage::Ready && matches!(role, Some(Role::Shop | Role::Instructor)),
    );
    door.set_may_revoke(staff.may_revoke == Leave::Yes);
    door.set_is_shop(desk.recovery_lines().is_some());
    door.set_late(words::count(
        late.iter().map(|one| one.entries.len()).sum::<usize>(),
    ));
    door.set_pairing(pair_view(&link));
    kept.staff.replace(Some(staff));
    chips(shell);
    door.set_load(Load::Ready);
}

fn device_row(device: &tallywater_bindings::DeviceRow, met: Option<&DeviceLink>) -> DeviceRow {
    let revoked = device.state == DeviceState::Revoked;
    let why = device.why.clone().filter(|_| revoked);
    DeviceRow {
        id: device.key.to_string().into(),
        name: device.name.clone().into(),
        person: device.staff.name.clone().into(),
        role: words::role(&device.role),
        until: device.until.as_ref().map(words::day).unwrap_or_default(),
        revoked: why.unwrap_or_default().into(),
        here: device.own,
        near: met.is_some_and(|one| one.connected),
        met: met
            .and_then(|one| one.seen.as_ref())
            .map(words::moment)
            .unwrap_or_default(),
        met_known: met.is_some_and(|one| one.seen.is_some()),
        fingerprint: device.fingerprint.clone().into(),
        may_revoke: device.may_revoke == Leave::Yes,
    }
}

fn ledger_row(row: &HeldRow) -> LedgerRow {
    let (held, only_here) = words::held(&row.by_shop);
    LedgerRow {
        id: row.course.clone().unwrap_or_default().into(),
        title: row.title.clone().unwrap_or_default().into(),
        held,
        here: words::count(row.entries),
        only_here,
    }
}

fn pair_view(link: &LinkView) -> PairView {
    let Some(code) = &link.code else {
        return PairView::default();
    };
    let (first, second) = code.code.split_at_checked(3).unwrap_or((&code.code, ""));
    PairView {
        showing: true,
        code: slint::format!("{first} {second}"),
        left: slint::format!("{} s", code.seconds),
        tries: i32::from(code.tries),
        state: 0,
    }
}

/// The seconds that a code is still good, and its end.
fn pairing(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    if let Ok(link) = shell.desk().link() {
        let showing = link.code.is_some();
        ui.global::<DevicesDoor>().set_pairing(pair_view(&link));
        if !showing {
            show(shell);
        }
    }
}

/// Whom a device can be admitted for: each person in the roles this device may admit.
fn chips(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DevicesDoor>();
    let kept = shell.kept::<Kept>();
    let (staff, guest) = (kept.staff.borrow(), kept.guest.borrow());
    let people = staff.iter().flat_map(|view| &view.staff);
    let roles: &[Role] = if door.get_is_shop() {
        &[Role::Instructor, Role::Assistant]
    } else {
        &[Role::Assistant]
    };
    let chips = people.flat_map(|person| {
        roles.iter().map(|role| PersonChip {
            id: slint::format!("{} {}", person.name.staff, role_word(role)),
            called: person.name.name.clone().into(),
            role: words::role(role),
            staff: true,
            on: guest
                .as_ref()
                .is_some_and(|(id, as_what)| *id == person.name.staff && as_what == role),
            ..PersonChip::default()
        })
    });
    door.set_staff(rows(chips));
}

const fn role_word(role: &Role) -> &'static str {
    match role {
        Role::Shop => "shop",
        Role::Instructor => "instructor",
        Role::Assistant => "assistant",
    }
}

fn choose(shell: &Rc<Shell>, chip: &str) {
    let chosen = chip.split_once(' ').map(|(id, word)| {
        let role = match word {
            "instructor" => Role::Instructor,
            _ => Role::Assistant,
        };
        (id.to_owned(), role)
    });
    shell.kept::<Kept>().guest.replace(chosen);
    chips(shell);
}

fn add(shell: &Rc<Shell>, name: &str) {
    let Some(ui) = shell.ui() else { return };
    let name = name.trim().to_owned();
    if name.is_empty() {
        return;
    }
    if shell.record(Request::JoinStaff { name }).is_some() {
        ui.global::<DevicesDoor>().set_new_name("".into());
        show(shell);
    }
}

fn show_code(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DevicesDoor>();
    let guest = shell.kept::<Kept>().guest.borrow().clone();
    let Some((staff, role)) = guest else {
        door.set_fault(ui.global::<CourseWords>().invoke_nobody());
        return;
    };
    door.set_fault("".into());
    match shell.desk().show_code(staff, role, None) {
        Ok(_) => show(shell),
        Err(fault) => door.set_fault(words::fault(&ui, &fault)),
    }
}

fn accept_late(shell: &Rc<Shell>) {
    let late = match shell.desk().late_entries() {
        Ok(late) => late,
        Err(fault) => return shell.fault(&fault),
    };
    for one in late {
        let (ledger, entries) = (one.ledger, one.entries);
        if shell
            .record(Request::AcceptLate { ledger, entries })
            .is_none()
        {
            return;
        }
    }
    if let Some(ui) = shell.ui() {
        let says = ui.global::<CourseWords>().invoke_late_counted();
        ui.global::<DevicesDoor>().set_done(says);
    }
    show(shell);
}

/// The lines of the recovery sheet, to be written down: they are shown until the screen is left.
fn recovery(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let lines = shell.desk().recovery_lines().unwrap_or_default();
    let lines = lines.into_iter().map(SharedString::from);
    ui.global::<DevicesDoor>().set_sheet(rows(lines));
}
