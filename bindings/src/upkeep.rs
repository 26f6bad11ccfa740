//! Upkeep: what is done while nobody waits, and what keeps a store from being lost unnoticed.

use std::path::Path;

use tallywater_core::desk;
use tallywater_core::store::Tried;

use crate::cross::{Shown, mirror};
use crate::{Fault, Tallywater};

mirror! {
    /// What checking everything found.
    shown record Checked = desk::Checked {
        file_sound: bool,
        ledgers: u32,
        entries: u32,
        changed: u32,
        unreadable: Vec<String>,
        files: u32,
        hurt_files: u32,
    }
}

/// What looking after the store did; nothing that was not due.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Cared {
    /// Entries in the backup that was written and read back, if one was.
    pub backed_up: Option<u32>,
    /// What checking everything found, if that was due.
    pub checked: Option<Checked>,
}

/// When the store was last looked after.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct LookedAfter {
    /// The day of the last scheduled backup.
    pub backed_up: Option<String>,
    /// The day of the last check that found all in order.
    pub checked: Option<String>,
    /// Where the scheduled backups go.
    pub folder: String,
    /// How many are there.
    pub generations: u32,
}

#[uniffi::export]
impl Tallywater {
    /// Makes one ledger with many loose changes into one piece, so that it opens faster.
    /// To be called when nobody has touched the device for a while; `true` if there may be
    /// more to do.
    pub fn tidy(&self) -> Result<bool, Fault> {
        Ok(self.desk.tidy()?.is_some())
    }

    /// Writes a whole copy of what is here to a file that must not exist yet, while this
    /// device goes on working, and opens it before it gets that name. The device's keys are not
    /// in it. Answers how many entries it holds.
    pub fn back_up(&self, to: String) -> Result<u32, Fault> {
        Ok(self.desk.back_up(Path::new(&to))?.entries.shown())
    }

    /// Checks every page of the file and every signature in it.
    pub fn check(&self) -> Result<Checked, Fault> {
        Ok(self.desk.check()?.shown())
    }

    /// Writes today's scheduled backup now, reads it back, and lets go of those that are not
    /// kept any longer. Answers how many entries it holds.
    pub fn keep_backup(&self) -> Result<u32, Fault> {
        Ok(self.desk.keep_backup()?.entries.shown())
    }

    /// Chooses where the scheduled backups go; `None` is the device's own folder.
    pub fn choose_backup_folder(&self, folder: Option<String>) -> Result<(), Fault> {
        Ok(self
            .desk
            .choose_backup_folder(folder.as_deref().map(Path::new))?)
    }

    /// Does what is due: a backup on each day, a check of everything each week. To be called
    /// when nobody has touched the device for a while.
    pub fn look_after(&self) -> Result<Cared, Fault> {
        let desk::Cared { backed_up, checked } = self.desk.look_after()?;
        Ok(Cared {
            backed_up: backed_up.map(|Tried { entries, .. }| entries.shown()),
            checked: checked.shown(),
        })
    }

    /// When the store was last looked after.
    pub fn looked_after(&self) -> Result<LookedAfter, Fault> {
        let (backed_up, checked) = self.desk.last_cared()?;
        Ok(LookedAfter {
            backed_up: backed_up.shown(),
            checked: checked.shown(),
            folder: self.desk.backup_folder()?.display().to_string(),
            generations: self.desk.generations()?.len().shown(),
        })
    }
}
