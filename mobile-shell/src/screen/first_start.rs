//! First start: who this device is for.

use std::cell::RefCell;
use std::io::ErrorKind;
use std::path::PathBuf;
use std::rc::Rc;
use std::sync::Arc;
use std::thread;

use slint::{ComponentHandle, ModelRc, VecModel};
use tallywater_bindings::{DemoProgress, Fault, NearbyDevice, Tallywater, build_demo};

use crate::shell::news::{Done, News, Post};
use crate::shell::setup::{self, LANGUAGES};
use crate::shell::{Route, Shell, fill, list, on, rows};
use crate::ui::{FirstDoor, NearRow, Screen, Step, Who};
use crate::words;

#[derive(Default)]
struct Kept {
    near: Rc<VecModel<NearRow>>,
    /// Where the device is that was picked.
    place: RefCell<String>,
}

/// Tells the drawing thread how far the demo school has been built.
struct Told(Arc<Post>);

impl DemoProgress for Told {
    fn built(&self, percent: u8) {
        self.0.put(News::Done(Done::DemoPart(percent)));
    }
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FirstDoor>();
    on!(shell, door.on_set_language(language) => {
        setup::keep(shell, "language", setup::code(language));
        setup::restore(shell);
        shell.show_again();
    });
    on!(shell, door.on_choose(step) => choose(shell, step));
    on!(shell, door.on_choose_who(who) => choose_who(shell, who));
    on!(shell, door.on_begin() => begin(shell));
    on!(shell, door.on_recover() => recover(shell));
    on!(shell, door.on_sheet_kept() => {
        if let Some(ui) = shell.ui() {
            let door = ui.global::<FirstDoor>();
            door.set_step(Step::Choose);
            door.set_sheet(rows([]));
        }
        shell.begin();
    });
    on!(shell, door.on_look() => look(shell));
    on!(shell, door.on_pick(place) => pick(shell, place.into()));
    on!(shell, door.on_code_key(key) => code(shell, |code| code.push_str(&key)));
    on!(shell, door.on_code_erase() => code(shell, |code| {
        code.pop();
    }));
    on!(shell, door.on_join() => pair(shell));
    on!(shell, door.on_demo() => demo(shell));
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FirstDoor>();
    shell.title("Tallywater", "");
    door.set_languages(list(LANGUAGES.map(|one| one.0)));
    let codes = LANGUAGES.iter().map(|one| one.1);
    door.set_language(words::count(setup::chosen(shell, "language", codes)));
    if door.get_step() == Step::Choose && door.get_who() == Who::Joins {
        near(shell);
    }
}

/// Something that was begun off the drawing thread has ended.
pub(crate) fn done(shell: &Rc<Shell>, done: Done) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FirstDoor>();
    match done {
        Done::DemoPart(percent) => door.set_building(i32::from(percent)),
        Done::Paired(Ok(())) => {
            door.set_busy(false);
            door.set_moving(false);
            door.set_fault("".into());
            door.set_step(Step::Choose);
            shell.begin();
        }
        Done::Demo(Ok(folder)) => {
            door.set_building(-1);
            match Tallywater::open(folder) {
                Ok(desk) => shell.look_at_demo(desk),
                Err(fault) => failed(shell, &fault),
            }
        }
        // Told to the screen that asked.
        Done::Ahead(..) | Done::Season(..) => {}
        Done::Paired(Err(fault)) | Done::Demo(Err(fault)) => {
            door.set_building(-1);
            door.set_busy(false);
            failed(shell, &fault);
        }
    }
}

fn choose(shell: &Rc<Shell>, step: Step) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FirstDoor>();
    clear(&door);
    if step == Step::Choose && door.get_moving() && door.get_step() == Step::Choose {
        door.set_moving(false);
        door.set_who(Who::Teaches);
        return shell.back();
    }
    door.set_step(step);
    if step == Step::Choose && door.get_who() == Who::Joins {
        look(shell);
    }
}

fn choose_who(shell: &Rc<Shell>, who: Who) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FirstDoor>();
    clear(&door);
    door.set_who(who);
    if who == Who::Joins {
        look(shell);
    }
}

/// What was wrong before is over.
fn clear(door: &FirstDoor<'_>) {
    door.set_fault("".into());
    door.set_name_fault("".into());
    door.set_shop_fault("".into());
}

/// Goes over to another shop with a code, from a device that has one.
pub(crate) fn go_over(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FirstDoor>();
    let state = shell.desk().state().ok();
    let own = state.and_then(|state| state.me).map(|me| me.device);
    door.set_device_name(own.unwrap_or_default().into());
    door.set_moving(true);
    door.set_who(Who::Joins);
    shell.open(Route::to(Screen::FirstStart));
    choose(shell, Step::Code);
    choose(shell, Step::Choose);
}

/// Sets this device up with what was typed, and goes on: an instructor to the first screen of
/// work, an office to its recovery sheet first.
fn begin(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FirstDoor>();
    clear(&door);
    let me = door.get_my_name().trim().to_owned();
    let named = door.get_shop_name().trim().to_owned();
    let office = door.get_who() == Who::Office;
    let shop = if named.is_empty() && !office {
        me.clone()
    } else {
        named
    };
    let begun = if office {
        shell.desk().start_shop(shop.clone(), me.clone())
    } else {
        shell.desk().start_alone(shop.clone(), me.clone())
    };
    if let Err(fault) = begun {
        let says = words::fault(&ui, &fault);
        return match words::fault_field(&fault) {
            Some("name") => door.set_name_fault(says),
            Some("shop") => door.set_shop_fault(says),
            Some(_) | None => door.set_fault(says),
        };
    }
    if office {
        let lines = shell.desk().recovery_lines().unwrap_or_default();
        door.set_sheet(list(lines));
        door.set_step(Step::Sheet);
    } else {
        shell.begin();
    }
}

fn recover(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FirstDoor>();
    clear(&door);
    let restored = shell
        .desk()
        .restore_shop(door.get_sheet_words().into(), door.get_my_name().into());
    match restored {
        Ok(_) => {
            door.set_step(Step::Choose);
            door.set_sheet_words("".into());
            shell.begin();
        }
        Err(fault) => failed(shell, &fault),
    }
}

fn failed(shell: &Shell, fault: &Fault) {
    if let Some(ui) = shell.ui() {
        let door = ui.global::<FirstDoor>();
        door.set_fault(words::fault(&ui, fault));
    }
}

fn look(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    shell.desk().meet_now();
    let online = shell.desk().link().is_ok_and(|link| link.online);
    ui.global::<FirstDoor>().set_looking(online);
    near(shell);
}

fn near(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let row = |one: NearbyDevice| NearRow {
        id: one.place.into(),
        name: one.fingerprint.into(),
        address: "".into(),
    };
    fill(
        &kept.near,
        shell.desk().nearby().into_iter().map(row).collect(),
    );
    ui.global::<FirstDoor>()
        .set_near(ModelRc::from(Rc::clone(&kept.near)));
}

fn pick(shell: &Rc<Shell>, place: String) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let door = ui.global::<FirstDoor>();
    let named = shell
        .desk()
        .nearby()
        .into_iter()
        .find(|one| one.place == place);
    let name = named.map_or_else(|| place.clone(), |one| one.fingerprint);
    door.set_chosen_shop(name.into());
    door.set_code("".into());
    kept.place.replace(place);
    choose(shell, Step::Code);
}

fn code(shell: &Rc<Shell>, how: impl FnOnce(&mut String)) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FirstDoor>();
    let mut code = String::from(door.get_code());
    how(&mut code);
    door.set_code(code.into());
    door.set_fault("".into());
}

/// Joins the shop; the answer may take some twenty seconds, so it is waited for elsewhere.
fn pair(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FirstDoor>();
    door.set_busy(true);
    door.set_fault("".into());
    let place = shell.kept::<Kept>().place.borrow().clone();
    let (code, device) = (
        String::from(door.get_code()),
        String::from(door.get_device_name()),
    );
    let (desk, post) = (shell.desk(), shell.post());
    thread::spawn(move || {
        let paired = desk.pair(place, code, device);
        post.put(News::Done(Done::Paired(paired)));
    });
}

/// Builds the demo school anew in a part of this device's own folder, and looks at it.
fn demo(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    ui.global::<FirstDoor>().set_building(0);
    ui.global::<FirstDoor>().set_fault("".into());
    let (desk, post) = (shell.desk(), shell.post());
    thread::spawn(move || {
        let told = Arc::new(Told(Arc::clone(&post)));
        let built = demo_folder(&desk).and_then(|folder| build_demo(folder, told));
        post.put(News::Done(Done::Demo(
            built.map(|school| school.instructor),
        )));
    });
}

/// Where the demo is built: what was built there before goes, since its days have passed.
fn demo_folder(desk: &Tallywater) -> Result<String, Fault> {
    let folder = PathBuf::from(desk.folder()).join("demo");
    match std::fs::remove_dir_all(&folder) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(Fault::Internal {
            detail: format!("could not make room for the demo: {}", error.kind()),
        }),
        Ok(()) | Err(_) => Ok(folder.display().to_string()),
    }
}
