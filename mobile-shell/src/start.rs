//! Start: the window on a folder.

use std::cell::RefCell;
use std::path::Path;
use std::rc::Rc;
use std::sync::Arc;

use slint::ComponentHandle;
use tallywater_bindings::{Fault, Tallywater};

use crate::drawing;
use crate::shell::Shell;
use crate::system::{System, ThisMachine};
use crate::ui::App;

/// Opens the window on this folder and stays until it is closed.
///
/// # Errors
/// [`Fault`] when the folder cannot be opened or the platform gives no window.
pub fn window(folder: &Path) -> Result<(), Fault> {
    window_in(folder, Rc::new(ThisMachine))
}

/// The same on a machine whose system is reached in a way of its own.
///
/// # Errors
/// As [`window`].
pub fn window_in(folder: &Path, system: Rc<dyn System>) -> Result<(), Fault> {
    match Tallywater::open(folder.display().to_string()) {
        Ok(desk) => run(&desk, system),
        Err(Fault::Damaged { how: Some(how) }) => window_on_damage(folder, &how, system),
        Err(fault) => Err(fault),
    }
}

/// The window on a folder whose data file is damaged.
fn window_on_damage(folder: &Path, how: &str, system: Rc<dyn System>) -> Result<(), Fault> {
    drawing::choose();
    let ui = App::new().map_err(|error| no_window(&error))?;
    let shell = show_damage_in(&ui, folder, how, system);
    let ran = ui.run();
    if let Some(shell) = &*shell.borrow() {
        shell.desk().go_offline();
    }
    ran.map_err(|error| no_window(&error))
}

/// The shell, once there is a desk for it.
pub type Later = Rc<RefCell<Option<Rc<Shell>>>>;

/// Says how the data file in this folder is damaged and offers what can be done; the shell is
/// there once something was done and the folder could be opened.
pub fn show_damage(ui: &App, folder: &Path, how: &str) -> Later {
    show_damage_in(ui, folder, how, Rc::new(ThisMachine))
}

fn show_damage_in(ui: &App, folder: &Path, how: &str, system: Rc<dyn System>) -> Later {
    let shell = Later::default();
    let then = Rc::clone(&shell);
    let opened = move |ui: &App, desk: Arc<Tallywater>| {
        let stands = Shell::over(ui, desk);
        stands.use_system(Rc::clone(&system));
        stands.go_online();
        *then.borrow_mut() = Some(stands);
    };
    crate::screen::rescue::show(ui, folder, how, Rc::new(opened));
    shell
}

/// The same on a desk that is open already.
///
/// # Errors
/// [`Fault`] when the platform gives no window.
pub fn window_on(desk: &Arc<Tallywater>) -> Result<(), Fault> {
    run(desk, Rc::new(ThisMachine))
}

fn run(desk: &Arc<Tallywater>, system: Rc<dyn System>) -> Result<(), Fault> {
    drawing::choose();
    let ui = App::new().map_err(|error| no_window(&error))?;
    let shell = Shell::over(&ui, Arc::clone(desk));
    shell.use_system(system);
    shell.go_online();
    let ran = ui.run();
    shell.desk().go_offline();
    ran.map_err(|error| no_window(&error))
}

fn no_window(error: &slint::PlatformError) -> Fault {
    Fault::Internal {
        detail: format!("opening the window: {error}"),
    }
}
