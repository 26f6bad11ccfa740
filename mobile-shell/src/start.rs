//! Start: the window on a folder.

use std::path::Path;
use std::sync::Arc;

use slint::ComponentHandle;
use tallywater_bindings::{Fault, Tallywater};

use crate::shell::Shell;
use crate::ui::App;

/// Opens the window on this folder and stays until it is closed.
///
/// # Errors
/// [`Fault`] when the folder cannot be opened or the platform gives no window.
pub fn window(folder: &Path) -> Result<(), Fault> {
    window_on(&Tallywater::open(folder.display().to_string())?)
}

/// The same on a desk that is open already.
///
/// # Errors
/// [`Fault`] when the platform gives no window.
pub fn window_on(desk: &Arc<Tallywater>) -> Result<(), Fault> {
    let ui = App::new().map_err(|error| no_window(&error))?;
    let shell = Shell::over(&ui, Arc::clone(desk));
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
