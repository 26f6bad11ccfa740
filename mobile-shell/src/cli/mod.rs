//! The command line: each command asks the border and prints what it answers.
//!
//! Exit codes: 0 done, 1 could not be done (the reason is on standard error), 2 the command
//! line was not understood.

#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a command line prints"
)]

mod board;
mod demo;
mod desk_work;
mod export;
mod fault;
mod find;
mod host;
mod import;
mod keep;
mod out;
mod paper;
mod shop;
mod today;
mod verify;

use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;

use clap::{Parser, Subcommand};
use tallywater_bindings::{Fault, Tallywater};

/// Tallywater keeps the skills, sessions and records of entry-level scuba courses.
///
/// It records and calculates; it clears nobody to dive. Local law, the training
/// organisation's current standards and a licensed physician come first.
#[derive(Debug, Parser)]
#[command(version, about, long_about)]
struct Line {
    /// The folder of the window; the account's own data folder if left out.
    #[arg(long)]
    folder: Option<PathBuf>,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Build the demo school in an empty or new folder and open it.
    ///
    /// Three devices of an invented school, each a folder of its own: `shop`, `instructor`
    /// and `assistant`, with a pool evening under way. Nothing is sent anywhere. Without a
    /// display every screen is drawn into the folder `pictures` instead.
    Demo {
        /// The folder; it must be empty or not there yet.
        folder: PathBuf,
    },
    /// Show today's sessions, the courses on a device and what waits for someone.
    Today {
        /// The device's folder.
        folder: PathBuf,
    },
    /// Show a course's board: students by skills.
    Board {
        /// The device's folder.
        folder: PathBuf,
        /// The course's id or the beginning of its title; the first course if left out.
        course: Option<String>,
    },
    /// Print a training record, a class summary, a session sheet, a slate, briefing cards or
    /// the staff's activity as PDF.
    #[command(subcommand)]
    Paper(paper::Paper),
    /// Write tables, the board, a calendar, a dive log or a whole course to files.
    #[command(subcommand)]
    Export(export::Export),
    /// Take in a roster, a dive log or a course file, checked whole before anything is taken.
    #[command(subcommand)]
    Import(import::Import),
    /// List what is kept and until when, hold it back, or delete it.
    #[command(subcommand)]
    Keep(keep::Keep),
    /// Check a course file, or a course on a device, and hold a printed record against it.
    ///
    /// Exit code 0: it holds. 1: it does not, or the file was changed; what differs is said.
    Verify(verify::Verify),
    /// Set up a shop computer, or restore a shop from its recovery sheet.
    Setup(shop::Setup),
    /// Print the shop's recovery sheet: whoever has it can act as the shop.
    Recovery {
        /// The shop computer's folder.
        folder: PathBuf,
    },
    /// Run the shop computer without a window, until Ctrl-C.
    ///
    /// It listens for paired devices on the local network and stores what they bring. It
    /// asks nothing of the internet. Its log, on standard error, names no person.
    Host(host::Host),
    /// Have the running host show a code that lets in one device, and wait for it.
    Code(shop::CodeFor),
    /// Join a shop with the code that another device shows.
    Join(shop::Join),
    /// Show what each device of the shop holds; the running host is asked, if there is one.
    Status {
        /// The device's folder.
        folder: PathBuf,
    },
    /// Write a whole copy of what a device holds, while it goes on working.
    Backup {
        /// The device's folder.
        folder: PathBuf,
        /// The file to write; it must not exist yet.
        file: PathBuf,
    },
}

/// Reads the command line and does what it says.
pub(crate) fn run() -> ExitCode {
    let Line { folder, command } = Line::parse();
    let Some(command) = command else {
        return ended(window(folder).map(yes));
    };
    ended(match command {
        Command::Demo { folder } => demo::run(&folder).map(yes),
        Command::Today { folder } => open(&folder).and_then(|desk| today::show(&desk)).map(yes),
        Command::Board { folder, course } => open(&folder)
            .and_then(|desk| board::show(&desk, course.as_deref()))
            .map(yes),
        Command::Paper(asked) => paper::run(&asked).map(yes),
        Command::Export(asked) => export::run(&asked).map(yes),
        Command::Import(asked) => import::run(&asked),
        Command::Keep(asked) => keep::run(&asked),
        Command::Verify(asked) => verify::run(&asked),
        Command::Setup(setup) => shop::set_up(&setup).map(yes),
        Command::Recovery { folder } => shop::recovery(&folder).map(yes),
        Command::Host(host) => {
            log_to_stderr();
            host::run(&host).map(yes)
        }
        Command::Code(code) => shop::code(&code),
        Command::Join(join) => shop::join(&join).map(yes),
        Command::Status { folder } => shop::work(&folder, &desk_work::Work::Status),
        Command::Backup { folder, file } => shop::backup(&folder, &file),
    })
}

/// What came of it, as an exit code.
fn ended(done: Result<bool, Fault>) -> ExitCode {
    match done {
        Ok(true) => ExitCode::SUCCESS,
        // The command has said why.
        Ok(false) => ExitCode::FAILURE,
        Err(fault) => {
            eprintln!("tallywater: {}", fault::words(&fault));
            ExitCode::FAILURE
        }
    }
}

/// Opens the window on this folder, or on the account's own.
fn window(folder: Option<PathBuf>) -> Result<(), Fault> {
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
    std::fs::create_dir_all(&folder).map_err(|error| Fault::Internal {
        detail: format!("could not make the folder: {}", error.kind()),
    })?;
    tallywater::start::window(&folder)
}

/// Whether there is something to open a window on.
fn display() -> bool {
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

/// A command that either does it or fails.
const fn yes((): ()) -> bool {
    true
}

/// What the program says of itself goes to standard error, with times.
fn log_to_stderr() {
    tracing_subscriber::fmt()
        .with_writer(std::io::stderr)
        .with_max_level(tracing_subscriber::filter::LevelFilter::INFO)
        .with_target(false)
        .init();
}

/// Opens a device's folder; one that is not there is not made by merely looking.
fn open(folder: &std::path::Path) -> Result<Arc<Tallywater>, Fault> {
    if !folder.join("tallywater.db").is_file() {
        let id = folder.display().to_string();
        return Err(Fault::NotFound {
            what: "device folder".into(),
            id,
        });
    }
    Tallywater::open(folder.display().to_string())
}
