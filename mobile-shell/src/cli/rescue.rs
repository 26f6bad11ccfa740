//! `tallywater rescue`: what can be done about a device whose store is damaged. Nothing hurt is
//! deleted; it is set aside whole, in a folder of its own beside the store.

use std::path::{Path, PathBuf};

use clap::Subcommand;
use tallywater_bindings::{Fault, Rescue as Held, SalvageTaken, Tallywater};

use super::catalogue::tr;
use super::fault::hurt;
use super::turn::Turn;

/// What is done about a damaged store.
#[derive(Debug, Subcommand)]
pub(super) enum Rescue {
    /// Show how the store is damaged, what can be read of it, and which backups there are.
    Look {
        /// The device's folder.
        folder: PathBuf,
    },
    /// Set the damaged store aside and take a backup in its place; what can be read of the
    /// damaged one is added.
    Backup {
        /// The device's folder.
        folder: PathBuf,
        /// The backup's file; the latest sound one of the device's own if left out.
        file: Option<PathBuf>,
    },
    /// Set the damaged store aside and begin an empty one, to be filled from the other devices.
    Anew {
        /// The device's folder.
        folder: PathBuf,
    },
    /// Add what can be read of a damaged store that was set aside.
    Salvage {
        /// The device's folder.
        folder: PathBuf,
        /// The damaged file; the last one that was set aside if left out.
        file: Option<PathBuf>,
    },
}

/// Does what was asked.
pub(super) fn run(rescue: &Rescue, turn: &Turn) -> Result<bool, Fault> {
    match rescue {
        Rescue::Look { folder } => look(folder, turn),
        Rescue::Backup { folder, file } => {
            let held = begin(folder)?;
            let file = match file {
                Some(file) => file.display().to_string(),
                None => {
                    let sound = held.backups()?.into_iter().find(|backup| backup.sound);
                    sound
                        .ok_or_else(|| super::find::missing("backup", ""))?
                        .file
                }
            };
            let aside = held.take_backup(file)?;
            turn.say(tr!("The backup is in place."));
            turn.say(tr!("The damaged file lies at {place}", place = aside));
            drop(held);
            let desk = super::open(folder)?;
            if desk.desk().shop_root().is_some() {
                said(&desk.take_salvage(aside)?, turn);
            }
            Ok(true)
        }
        Rescue::Anew { folder } => {
            let held = begin(folder)?;
            let aside = held.begin_anew()?;
            turn.say(tr!("The damaged file lies at {place}", place = aside));
            drop(held);
            let desk = super::open(folder)?;
            if desk.desk().shop_root().is_some() {
                said(&desk.take_salvage(aside)?, turn);
                turn.say(tr!(
                    "What is missing comes from the other devices when they meet this one."
                ));
            } else {
                turn.say(tr!(
                    "Pair this device once more, as what it is, with `tallywater join`; then `tallywater rescue salvage FOLDER` adds what can be read."
                ));
            }
            Ok(true)
        }
        Rescue::Salvage { folder, file } => {
            let desk = super::open(folder)?;
            let file = match file {
                Some(file) => file.display().to_string(),
                None => last_aside(&desk)?,
            };
            said(&desk.take_salvage(file)?, turn);
            Ok(true)
        }
    }
}

fn look(folder: &Path, turn: &Turn) -> Result<bool, Fault> {
    let held = begin(folder)?;
    turn.say(tr!("Damaged: {how}.", how = hurt(&held.how())));
    let readable = held.readable()?;
    turn.say(tr!(
        "Readable: {count} entries of {courses} courses and {people} people, the latest of {day}",
        count = readable.entries,
        courses = readable.courses.len(),
        people = readable.people,
        day = readable.latest.unwrap_or_else(|| "–".to_owned())
    ));
    for course in &readable.courses {
        turn.say(format!("  {}", course.as_deref().unwrap_or("–")));
    }
    let backups = held.backups()?;
    if backups.is_empty() {
        turn.say(tr!("No scheduled backup lies in this folder."));
    }
    for backup in backups {
        let holds = if backup.sound {
            tr!("{count} entries", count = backup.entries)
        } else {
            tr!("cannot be read")
        };
        turn.say(format!("  {}  {holds}  {}", backup.day, backup.file));
    }
    turn.say(tr!("What can be done, each without deleting anything:"));
    turn.say("  tallywater rescue backup FOLDER [FILE]");
    turn.say("  tallywater rescue anew FOLDER");
    Ok(true)
}

fn begin(folder: &Path) -> Result<std::sync::Arc<Held>, Fault> {
    Held::begin(folder.display().to_string())
}

fn last_aside(desk: &Tallywater) -> Result<String, Fault> {
    let aside = desk.state()?.set_aside.pop();
    aside.ok_or_else(|| super::find::missing("file", "damaged-1"))
}

fn said(taken: &SalvageTaken, turn: &Turn) {
    turn.say(tr!(
        "Read of the damaged file: {count} entries in {books} books, {new} of them new.",
        count = taken.entries,
        books = taken.ledgers,
        new = taken.new
    ));
    if taken.broken > 0 {
        turn.say(tr!(
            "{count} pieces could not be read and are missing.",
            count = taken.broken
        ));
    }
}
