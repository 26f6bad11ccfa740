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
use crate::shell::{Route, Shell, fill, on};
use crate::ui::{FirstDoor, NearRow, Screen, Step};
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
    on!(shell, door.on_choose(step) => choose(shell, step));
    on!(shell, door.on_open_shop() => begin(shell, |desk, door| {
        desk.start_shop(door.get_shop_name().into(), door.get_my_name().into())
    }));
    on!(shell, door.on_start_alone() => begin(shell, |desk, door| {
        let name = String::from(door.get_my_name());
        desk.start_alone(name.clone(), name)
    }));
    on!(shell, door.on_recover() => begin(shell, |desk, door| {
        desk.restore_shop(door.get_sheet_words().into(), door.get_my_name().into())
    }));
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
    shell.title("Tallywater", "");
    if ui.global::<FirstDoor>().get_step() == Step::Join {
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
                Ok(desk) => shell.stand_behind(desk),
                Err(fault) => failed(shell, &fault),
            }
        }
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
    door.set_fault("".into());
    if step == Step::Choose && door.get_moving() {
        door.set_moving(false);
        return shell.back();
    }
    door.set_step(step);
    if step == Step::Join {
        look(shell);
    }
}

/// Goes over to another shop with a code, from a device that has one.
pub(crate) fn go_over(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FirstDoor>();
    let state = shell.desk().state().ok();
    let own = state.and_then(|state| state.me).map(|me| me.device);
    door.set_device_name(own.unwrap_or_default().into());
    door.set_moving(true);
    shell.open(Route::to(Screen::FirstStart));
    choose(shell, Step::Join);
}

/// Sets this device up with what was typed, and goes to the first screen of work.
fn begin(
    shell: &Rc<Shell>,
    how: impl FnOnce(&Tallywater, &FirstDoor<'_>) -> Result<String, Fault>,
) {
    let Some(ui) = shell.ui() else { return };
    match how(&shell.desk(), &ui.global::<FirstDoor>()) {
        Ok(_) => {
            ui.global::<FirstDoor>().set_fault("".into());
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
