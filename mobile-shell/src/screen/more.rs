//! More: every other screen, and how this device is held and read.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::Units;

use crate::shell::setup::{self, KEYS, LANGUAGES, TEXT, UNDO};
use crate::shell::{Route, Shell, list, on};
use crate::ui::{AppDoor, Further, Keys, MoreDoor, Screen, Words};
use crate::words;

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<MoreDoor>();
    on!(shell, door.on_leave_demo() => shell.leave_demo());
    on!(shell, door.on_open(further) => open(shell, further));
    on!(shell, door.on_set_dusk(dusk) => {
        let word = if dusk { "dusk" } else { "sun" };
        keep(shell, "theme", word);
    });
    on!(shell, door.on_set_left_handed(left) => {
        let word = if left { "left" } else { "right" };
        keep(shell, "hand", word);
    });
    on!(shell, door.on_set_text_size(size) => keep(shell, "text", at(&TEXT.map(|one| one.0), size)));
    on!(shell, door.on_set_undo(undo) => keep(shell, "undo", at(&UNDO.map(|one| one.0), undo)));
    on!(shell, door.on_set_language(language) => {
        keep(shell, "language", setup::code(language));
    });
    on!(shell, door.on_set_units(units) => set_units(shell, units));
    on!(shell, door.on_learn(place) => learn(shell, place));
    on!(shell, door.on_forget_keys() => {
        for word in KEYS {
            setup::keep(shell, word, "");
        }
        setup::restore(shell);
        shell.show_again();
    });
    let keys = ui.global::<Keys>();
    on!(shell, keys.on_learned(key) => learned(shell, &key));
}

/// The next key that is pressed is learned for this; the same row once more ends it.
fn learn(shell: &Rc<Shell>, place: i32) {
    let Some(ui) = shell.ui() else { return };
    let keys = ui.global::<Keys>();
    let same = keys.get_learning() == place;
    keys.set_learning(if same { 0 } else { place });
    shell.take_keys();
}

/// A key was pressed while one was waited for.
fn learned(shell: &Rc<Shell>, key: &str) {
    let Some(ui) = shell.ui() else { return };
    let keys = ui.global::<Keys>();
    if !keys.invoke_may_learn(key.into()) {
        // Escape and the like lead on as ever, and end the waiting.
        keys.set_learning(0);
        return shell.take_keys();
    }
    let place = usize::try_from(keys.get_learning()).ok();
    keys.set_learning(0);
    shell.take_keys();
    let word = place.and_then(|place| KEYS.get(place.checked_sub(1)?));
    let Some(word) = word else { return };
    // One key does one thing: what it did before is forgotten.
    for (other, had) in KEYS.iter().zip(setup::learned(shell)) {
        if other != word && had == key {
            setup::keep(shell, other, "");
        }
    }
    setup::keep(shell, word, key);
    setup::restore(shell);
    shell.show_again();
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<MoreDoor>();
    let state = shell.desk().state().ok();
    let me = state.as_ref().and_then(|state| state.me.as_ref());
    shell.title(
        ui.global::<AppDoor>().invoke_heading(Screen::More),
        state
            .as_ref()
            .and_then(|state| state.shop.clone())
            .unwrap_or_default(),
    );
    door.set_me(me.map(|me| me.name.name.clone().into()).unwrap_or_default());
    door.set_role(
        me.map(|me| ui.global::<Words>().invoke_role(words::role(&me.role)))
            .unwrap_or_default(),
    );
    door.set_device(me.map(|me| me.device.clone().into()).unwrap_or_default());
    door.set_demo(state.as_ref().is_some_and(|state| state.demo));
    door.set_own(shell.left_own_device());
    door.set_languages(list(LANGUAGES.map(|one| one.0)));
    let chosen = |word, of: &[&str]| words::count(setup::chosen(shell, word, of.iter().copied()));
    door.set_language(chosen("language", &LANGUAGES.map(|one| one.1)));
    door.set_text_size(chosen("text", &TEXT.map(|one| one.0)));
    door.set_undo(chosen("undo", &UNDO.map(|one| one.0)));
    let keys = ui.global::<Keys>();
    let named = setup::learned(shell).map(|key| {
        let plain = key
            .chars()
            .all(|one| one.is_alphanumeric() || one.is_ascii_punctuation());
        keys.invoke_named(key.into(), plain)
    });
    door.set_keys(list(named));
    door.set_units(match shell.desk().units() {
        Units::Metric => 0,
        Units::Imperial => 1,
    });
}

fn at<'a>(of: &[&'a str], place: i32) -> &'a str {
    let place = usize::try_from(place).ok();
    place
        .and_then(|place| of.get(place))
        .copied()
        .unwrap_or_default()
}

fn keep(shell: &Rc<Shell>, word: &str, text: &str) {
    setup::keep(shell, word, text);
    setup::restore(shell);
    shell.show_again();
}

fn set_units(shell: &Rc<Shell>, units: i32) {
    let units = if units == 1 {
        Units::Imperial
    } else {
        Units::Metric
    };
    if let Err(fault) = shell.desk().set_units(units) {
        shell.fault(&fault);
    }
    shell.show_again();
}

fn open(shell: &Rc<Shell>, further: Further) {
    let here = shell.in_hand();
    shell.open(match further {
        Further::Course if here.course.is_none() => Route::to(Screen::Courses),
        Further::Course => here.here(Screen::Course),
        Further::Courses => Route::to(Screen::Courses),
        Further::People => Route::to(Screen::People),
        Further::Forms => here.here(Screen::Forms),
        Further::Students => here.here(Screen::Students),
        Further::Plan => here.here(Screen::Sessions),
        Further::Dives => here.here(Screen::Dives),
        Further::Limits => here.here(Screen::Limits),
        Further::Slate => here.here(Screen::Slate),
        Further::Keep => Route::to(Screen::Keep),
        Further::Judging => here.here(Screen::Judging),
        Further::Records => here.here(Screen::Records),
        Further::Journal => here.here(Screen::Journal),
        Further::Debrief => here.here(Screen::Debrief),
        Further::Emergency => here.here(Screen::Emergency),
        Further::Sites => Route::to(Screen::Sites),
        Further::Kit => Route::to(Screen::Kit),
        Further::Issue => here.here(Screen::Issue),
        Further::Incident => here.here(Screen::Incident),
        Further::ImportRoster => here.here(Screen::Enrol),
        Further::Outline => here.here(Screen::Outline),
        Further::Season => Route::to(Screen::Season),
        Further::Policy => here.here(Screen::Policy),
        Further::Calculators => Route::to(Screen::Calculators),
        Further::Devices => Route::to(Screen::Devices),
        Further::Figures => Route::to(Screen::Figures),
        Further::About => Route::to(Screen::About),
    });
}
