//! About: what this is, and whose work it rests on.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};

use crate::shell::{Shell, list, on};
use crate::ui::{AboutDoor, AppDoor, Screen};

/// Licence texts by what they cover.
const LICENCES: [(&str, &str); 3] = [
    (
        "Tallywater: Apache License 2.0",
        include_str!("../../../LICENSE"),
    ),
    (
        "Inter: SIL Open Font License 1.1",
        include_str!("../../ui/fonts/LICENSE-inter.txt"),
    ),
    (
        "Lucide: ISC License",
        include_str!("../../ui/icons/LICENSE-lucide.txt"),
    ),
];

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AboutDoor>();
    on!(shell, door.on_show(which) => open(shell, which));
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AboutDoor>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::About), "");
    door.set_version(env!("CARGO_PKG_VERSION").into());
    door.set_names(list(LICENCES.map(|one| one.0)));
    open(shell, -1);
}

fn open(shell: &Rc<Shell>, which: i32) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AboutDoor>();
    let text = usize::try_from(which)
        .ok()
        .and_then(|which| LICENCES.get(which));
    door.set_text(
        text.map(|one| SharedString::from(one.1))
            .unwrap_or_default(),
    );
    door.set_open(which);
}
