//! `tallywater rescue`: what can be done about a device whose store is damaged. Nothing hurt is
//! deleted; it is set aside whole, in a folder of its own beside the store.

use std::path::{Path, PathBuf};

use clap::Subcommand;
use serde_json::{Value, json};
use tallywater_bindings::{BackupSeen, Fault, Rescue as Held, SalvageTaken, Tallywater};

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
            drop(held);
            let desk = super::open(folder)?;
            let mut lines = vec![
                tr!("The backup is in place."),
                tr!("The damaged file lies at {place}", place = aside),
            ];
            let taken = salvaged(&desk, &aside, turn)?;
            lines.extend(taken.as_ref().map(said).unwrap_or_default());
            done(turn, Some(&aside), taken.as_ref(), lines);
            Ok(true)
        }
        Rescue::Anew { folder } => {
            let held = begin(folder)?;
            let aside = held.begin_anew()?;
            drop(held);
            let desk = super::open(folder)?;
            let mut lines = vec![tr!("The damaged file lies at {place}", place = aside)];
            let taken = salvaged(&desk, &aside, turn)?;
            if let Some(taken) = &taken {
                lines.extend(said(taken));
                lines.push(tr!(
                    "What is missing comes from the other devices when they meet this one."
                ));
            } else {
                lines.push(tr!(
                    "Pair this device once more, as what it is, with `tallywater join`; then `tallywater rescue salvage FOLDER` adds what can be read."
                ));
            }
            done(turn, Some(&aside), taken.as_ref(), lines);
            Ok(true)
        }
        Rescue::Salvage { folder, file } => {
            let desk = super::open(folder)?;
            let file = match file {
                Some(file) => file.display().to_string(),
                None => last_aside(&desk)?,
            };
            let taken = desk.take_salvage(file)?;
            done(turn, None, Some(&taken), said(&taken));
            Ok(true)
        }
    }
}

fn look(folder: &Path, turn: &Turn) -> Result<bool, Fault> {
    let held = begin(folder)?;
    let (how, readable, backups) = (held.how(), held.readable()?, held.backups()?);
    let backup = |one: &BackupSeen| {
        json!({
            "file": one.file,
            "day": one.day,
            "sound": one.sound,
            "books": one.ledgers,
            "entries": one.entries,
        })
    };
    let value = json!({
        "how": how.replace('_', "-"),
        "school": readable.shop,
        "courses": readable.courses,
        "people": readable.people,
        "entries": readable.entries,
        "latest": readable.latest.map(|at| at.to_rfc3339()),
        "broken": readable.broken,
        "backups": backups.iter().map(backup).collect::<Vec<Value>>(),
    });
    let sound = backups.iter().filter(|one| one.sound);
    let ids = || sound.map(|one| one.file.clone()).collect();
    turn.answer("rescue.look", &value, ids, || {
        let mut lines = vec![
            tr!("Damaged: {how}.", how = hurt(&how)),
            tr!(
                "Readable: {count} entries of {courses} courses and {people} people, the latest of {day}",
                count = readable.entries,
                courses = readable.courses.len(),
                people = readable.people,
                day = readable
                    .latest
                    .map_or_else(|| "–".to_owned(), |at| at.to_rfc3339())
            ),
        ];
        for course in &readable.courses {
            lines.push(format!("  {}", course.as_deref().unwrap_or("–")));
        }
        if backups.is_empty() {
            lines.push(tr!("No scheduled backup lies in this folder."));
        }
        for backup in &backups {
            let holds = if backup.sound {
                tr!("{count} entries", count = backup.entries)
            } else {
                tr!("cannot be read")
            };
            lines.push(format!("  {}  {holds}  {}", backup.day, backup.file));
        }
        lines.push(tr!("What can be done, each without deleting anything:"));
        lines.push("  tallywater rescue backup FOLDER [FILE]".to_owned());
        lines.push("  tallywater rescue anew FOLDER".to_owned());
        lines
    });
    Ok(true)
}

fn begin(folder: &Path) -> Result<std::sync::Arc<Held>, Fault> {
    // Asked first: of a file the system says only that it is no folder.
    if !folder.is_dir() {
        let named = folder.display().to_string();
        return Err(super::find::missing("device folder", &named));
    }
    Held::begin(folder.display().to_string())
}

fn last_aside(desk: &Tallywater) -> Result<String, Fault> {
    let aside = desk.state()?.set_aside.pop();
    aside.ok_or_else(|| super::find::missing("file", "damaged-1"))
}

/// Adds what can be read of what was set aside, if the device knows its shop. Where that fails,
/// whoever asked still hears where it lies.
fn salvaged(desk: &Tallywater, aside: &str, turn: &Turn) -> Result<Option<SalvageTaken>, Fault> {
    if desk.desk().shop_root().is_none() {
        return Ok(None);
    }
    let taken = desk.take_salvage(aside.to_owned());
    taken.map(Some).inspect_err(|_| {
        turn.warn(tr!("The damaged file lies at {place}", place = aside));
    })
}

/// Says what was done: where the damaged file lies, and what came back of it.
fn done(turn: &Turn, aside: Option<&str>, taken: Option<&SalvageTaken>, lines: Vec<String>) {
    let salvaged = taken.map(|taken| {
        json!({
            "books": taken.ledgers,
            "entries": taken.entries,
            "new": taken.new,
            "broken": taken.broken,
        })
    });
    let value = json!({ "aside": aside, "salvaged": salvaged });
    let ids = || aside.map(str::to_owned).into_iter().collect();
    turn.answer("rescue.done", &value, ids, || lines);
}

fn said(taken: &SalvageTaken) -> Vec<String> {
    let mut lines = vec![tr!(
        "Read of the damaged file: {count} entries in {books} books, {new} of them new.",
        count = taken.entries,
        books = taken.ledgers,
        new = taken.new
    )];
    if taken.broken > 0 {
        lines.push(tr!(
            "{count} pieces could not be read and are missing.",
            count = taken.broken
        ));
    }
    lines
}
