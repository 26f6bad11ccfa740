//! `tallywater check`: whether a device's data is sound, and its scheduled backups.

use std::path::PathBuf;

use serde_json::json;
use tallywater_bindings::{Checked, Fault, LookedAfter};

use super::catalogue::tr;
use super::of::Device;
use super::turn::Turn;

/// What is checked.
#[derive(Debug, clap::Args)]
pub(super) struct Check {
    #[command(flatten)]
    device: Device,
    /// Write today's scheduled backup as well, and read it back.
    #[arg(long)]
    backup: bool,
    /// Choose the folder of the scheduled backups, as one on another disk, from now on.
    #[arg(long, value_name = "FOLDER")]
    backups_in: Option<PathBuf>,
}

/// Checks, and says what was found. `false` where something is wrong.
pub(super) fn run(check: &Check, turn: &Turn) -> Result<bool, Fault> {
    let desk = turn.write(&check.device.folder)?;
    if let Some(folder) = &check.backups_in {
        // One that is not there is most likely a disk that is not plugged in.
        let there = turn.path(folder);
        if !there.is_dir() {
            let named = folder.display().to_string();
            return Err(super::find::missing("folder", &named));
        }
        desk.choose_backup_folder(Some(turn.path(folder).display().to_string()))?;
    }
    let found = desk.check()?;
    let sound = found.file_sound && found.unreadable.is_empty() && found.changed == 0;
    let backed_up = if check.backup && sound {
        Some(desk.keep_backup()?)
    } else {
        None
    };
    let kept = desk.looked_after()?;
    let value = json!({
        "sound": sound,
        "books": found.ledgers,
        "entries": found.entries,
        "file_sound": found.file_sound,
        "unreadable": found.unreadable,
        "changed": found.changed,
        "backed_up": backed_up,
        "backups": kept.generations,
        "backup_folder": kept.folder,
        "last_backup": kept.backed_up,
    });
    let ids = || found.unreadable.clone();
    turn.answer("check", &value, ids, || {
        said(&found, sound, backed_up, &kept)
    });
    Ok(sound)
}

/// What was found, for a person.
fn said(found: &Checked, sound: bool, backed_up: Option<u32>, kept: &LookedAfter) -> Vec<String> {
    let mut lines = vec![tr!(
        "{count} entries in {books} books, every signature checked",
        count = found.entries,
        books = found.ledgers
    )];
    if !found.file_sound {
        lines.push(tr!("DAMAGED: the file's own tables are not in order"));
    }
    for ledger in &found.unreadable {
        lines.push(tr!("DAMAGED: {id} cannot be read", id = ledger));
    }
    if found.changed > 0 {
        lines.push(tr!(
            "DAMAGED: the signatures of {count} entries do not hold any more",
            count = found.changed
        ));
    }
    if sound {
        lines.push(tr!("The data is sound."));
    }
    if let Some(count) = backed_up {
        lines.push(tr!(
            "Backup written and read back: {count} entries",
            count = count
        ));
    }
    lines.push(tr!(
        "{count} scheduled backups in {folder}, the last of {day}",
        count = kept.generations,
        folder = kept.folder,
        day = kept.backed_up.as_deref().unwrap_or("–")
    ));
    lines
}
