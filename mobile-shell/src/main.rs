//! `tallywater`: the command line of the shop computer and of whoever wants to look. On iOS,
//! which has none, the program is the window.

#![expect(
    clippy::result_large_err,
    reason = "the border's fault is passed on once, to be printed"
)]
#![cfg_attr(
    test,
    allow(
        clippy::unwrap_used,
        clippy::panic,
        clippy::indexing_slicing,
        clippy::string_slice,
        reason = "a broken expectation is a failed test"
    )
)]

#[cfg(not(target_os = "ios"))]
mod cli;

#[cfg(not(target_os = "ios"))]
fn main() -> std::process::ExitCode {
    cli::run()
}

#[cfg(target_os = "ios")]
fn main() -> std::process::ExitCode {
    match window() {
        Ok(()) => std::process::ExitCode::SUCCESS,
        Err(fault) => {
            tracing::error!(%fault, "the window did not open");
            std::process::ExitCode::FAILURE
        }
    }
}

/// The window on the folder that the system backs up and nobody else sees.
#[cfg(target_os = "ios")]
fn window() -> Result<(), tallywater_bindings::Fault> {
    let failed = |what: &str| tallywater_bindings::Fault::Internal {
        detail: what.to_owned(),
    };
    let home = std::env::var_os("HOME").ok_or_else(|| failed("the app has no folder"))?;
    let folder = std::path::Path::new(&home).join("Library/Application Support/Tallywater");
    std::fs::create_dir_all(&folder).map_err(|error| failed(&error.to_string()))?;
    tallywater::start::window(&folder)
}
