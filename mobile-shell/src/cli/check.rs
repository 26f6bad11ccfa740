//! `tallywater check`: whether a device's data is sound, and its scheduled backups.

use std::path::PathBuf;

use tallywater_bindings::Fault;

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
        desk.choose_backup_folder(Some(turn.path(folder).display().to_string()))?;
    }
    let found = desk.check()?;
    turn.say(tr!(
        "{count} entries in {books} books, every signature checked",
        count = found.entries,
        books = found.ledgers
    ));
    if !found.file_sound {
        turn.say(tr!("DAMAGED: the file's own tables are not in order"));
    }
    for ledger in &found.unreadable {
        turn.say(tr!("DAMAGED: {id} cannot be read", id = ledger));
    }
    if found.changed > 0 {
        turn.say(tr!(
            "DAMAGED: the signatures of {count} entries do not hold any more",
            count = found.changed
        ));
    }
    let sound = found.file_sound && found.unreadable.is_empty() && found.changed == 0;
    if sound {
        turn.say(tr!("The data is sound."));
    }
    if check.backup && sound {
        turn.say(tr!(
            "Backup written and read back: {count} entries",
            count = desk.keep_backup()?
        ));
    }
    let kept = desk.looked_after()?;
    turn.say(tr!(
        "{count} scheduled backups in {folder}, the last of {day}",
        count = kept.generations,
        folder = kept.folder,
        day = kept.backed_up.unwrap_or_else(|| "–".to_owned())
    ));
    Ok(sound)
}
