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
mod fault;
mod today;

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
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Build the demo school in an empty or new folder and show its day.
    ///
    /// Three devices of an invented school, each a folder of its own: `shop`, `instructor`
    /// and `assistant`, with a pool evening under way. Nothing is sent anywhere.
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
}

/// Reads the command line and does what it says.
pub(crate) fn run() -> ExitCode {
    let done = match Line::parse().command {
        Command::Demo { folder } => demo::run(&folder),
        Command::Today { folder } => open(&folder).and_then(|desk| today::show(&desk)),
        Command::Board { folder, course } => {
            open(&folder).and_then(|desk| board::show(&desk, course.as_deref()))
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("tallywater: {}", fault::words(&fault));
            ExitCode::FAILURE
        }
    }
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
