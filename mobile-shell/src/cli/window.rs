//! `tallywater` alone: the window, on the folder that is asked for or the account's own.

use std::path::PathBuf;

use tallywater_bindings::Fault;

use super::console;

/// Opens the window on this folder, or on the account's own.
pub(super) fn open(folder: Option<PathBuf>) -> Result<(), Fault> {
    let folder = match folder {
        Some(folder) => folder,
        None => data_folder()?,
    };
    if !display() {
        return Err(Fault::NotFound {
            what: "display".into(),
            id: "DISPLAY or WAYLAND_DISPLAY".into(),
        });
    }
    tallywater::account::make(&folder).map_err(|error| Fault::Internal {
        detail: format!("could not make the folder: {}", error.kind()),
    })?;
    console::give_back_own();
    tallywater::start::window(&folder)
}

/// Whether there is something to open a window on.
pub(super) fn display() -> bool {
    let there = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    cfg!(any(windows, target_os = "macos")) || there("DISPLAY") || there("WAYLAND_DISPLAY")
}

/// Where programs of this platform keep an account's data.
fn data_folder() -> Result<PathBuf, Fault> {
    let from = |name: &str, below: &[&str]| {
        let base = std::env::var_os(name).filter(|value| !value.is_empty())?;
        Some(
            below
                .iter()
                .fold(PathBuf::from(base), |path, part| path.join(part)),
        )
    };
    let found = if cfg!(windows) {
        from("LOCALAPPDATA", &["Tallywater"])
    } else if cfg!(target_os = "macos") {
        from("HOME", &["Library", "Application Support", "Tallywater"])
    } else {
        from("XDG_DATA_HOME", &["tallywater"])
            .or_else(|| from("HOME", &[".local", "share", "tallywater"]))
    };
    found.ok_or_else(|| Fault::NotFound {
        what: "data folder".into(),
        id: "give one with --folder".into(),
    })
}
