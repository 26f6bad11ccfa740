//! Care: what keeps a store from being lost unnoticed: it is checked at a rhythm, and copied into
//! generations, each copy opened before it counts.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use super::generations::superfluous;
use super::{Desk, DeskError};
use crate::course::LedgerId;
use crate::ledger::Ledger;
use crate::store::{StoreError, Tried, flush_folder};

/// The folder of the scheduled backups, inside the device's own unless another was chosen.
const FOLDER: &str = "backups";
/// Where they go instead.
const ELSEWHERE: &str = "backup.folder";
const LAST_BACKUP: &str = "backup.last";
const LAST_CHECK: &str = "check.last";
/// The day on which something was deleted for good: a backup from before has it still.
pub(super) const ERASED: &str = "backup.erased";
/// Days between two checks of everything.
const CHECK_EVERY: i64 = 7;

/// What checking everything found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Checked {
    /// Whether every page, index and reference of the file is in order.
    pub file_sound: bool,
    /// Ledgers that could be opened.
    pub ledgers: usize,
    /// Entries in them, each signature checked from the bytes.
    pub entries: usize,
    /// Entries whose signature does not hold, and was not known not to.
    pub changed: usize,
    /// Ledgers that cannot be opened.
    pub unreadable: BTreeSet<LedgerId>,
    /// Photographs and sounds whose bytes give their digest.
    pub files: usize,
    /// Those whose bytes do not: they are fetched again. The record does not rest on them, so
    /// they keep no backup from being written.
    pub hurt_files: usize,
}

impl Checked {
    /// Whether all is as it should be.
    pub fn is_sound(&self) -> bool {
        self.file_sound && self.changed == 0 && self.unreadable.is_empty()
    }
}

/// A scheduled backup that is there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Generation {
    /// Its file.
    pub file: PathBuf,
    /// The day it was made.
    pub day: NaiveDate,
}

/// What looking after the store did; nothing that is not due.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Cared {
    /// A backup was written, and read back.
    pub backed_up: Option<Tried>,
    /// Everything was checked.
    pub checked: Option<Checked>,
}

impl Desk {
    /// Checks the whole file and every signature in it, ledger by ledger: the desk can be used
    /// in between.
    ///
    /// # Errors
    /// [`DeskError::Store`] if the file cannot be asked at all; what is wrong with it is the
    /// answer.
    pub fn check(&self) -> Result<Checked, DeskError> {
        let mut checked = Checked::default();
        let ledgers = {
            let shelf = self.shelf();
            checked.file_sound = match shelf.store.check() {
                Ok(()) => true,
                Err(StoreError::Damaged) => false,
                Err(error) => return Err(error.into()),
            };
            shelf.store.ledgers()?
        };
        for id in ledgers {
            let stored = { self.shelf().store.load(&id) };
            let stored = match stored {
                Ok(Some(stored)) => stored,
                // Forgotten since the list was read.
                Ok(None) => continue,
                Err(_) => {
                    checked.unreadable.insert(id);
                    continue;
                }
            };
            let opened = Ledger::load(id, [0; 16], &stored.bytes, &stored.unsigned);
            let rechecked = opened.and_then(|mut ledger| ledger.recheck().map(|()| ledger));
            let Ok(ledger) = rechecked else {
                checked.unreadable.insert(id);
                continue;
            };
            checked.ledgers += 1;
            checked.entries += ledger.lines().len();
            let changed = |(entry, line): &(&crate::course::EntryId, &crate::trust::Line)| {
                !line.signed && line.key.is_some() && !stored.unsigned.contains(*entry)
            };
            checked.changed += ledger.lines().iter().filter(changed).count();
        }
        (checked.files, checked.hurt_files) = self.check_files()?;
        Ok(checked)
    }

    /// Where the scheduled backups go.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn backup_folder(&self) -> Result<PathBuf, DeskError> {
        let chosen = self.shelf().store.setting(ELSEWHERE)?;
        let chosen = chosen.and_then(|bytes| String::from_utf8(bytes).ok());
        let chosen = chosen.filter(|path| !path.is_empty());
        Ok(chosen.map_or_else(|| self.folder.join(FOLDER), PathBuf::from))
    }

    /// Chooses where the scheduled backups go: another disk keeps them when this one dies.
    /// `None` is the device's own folder.
    ///
    /// # Errors
    /// [`DeskError::Store`]; a folder that is not there or cannot be written.
    pub fn choose_backup_folder(&self, folder: Option<&Path>) -> Result<(), DeskError> {
        let text = match folder {
            Some(folder) => {
                let during = "choose a folder for backups";
                let whole = std::fs::canonicalize(folder)
                    .map_err(|source| StoreError::File { during, source })?;
                if !whole.is_dir() {
                    return Err(StoreError::ReadOnly { during }.into());
                }
                let text = whole.to_str().ok_or(StoreError::ReadOnly { during })?;
                text.to_owned()
            }
            None => String::new(),
        };
        Ok(self.shelf().store.put_setting(ELSEWHERE, text.as_bytes())?)
    }

    /// The scheduled backups that are there, the latest first.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn generations(&self) -> Result<Vec<Generation>, DeskError> {
        Ok(generations_in(&self.backup_folder()?))
    }

    /// Writes today's scheduled backup, reads it back, and only then lets go of those that are
    /// not kept any longer. One of today is written again. A backup from before somebody was
    /// forgotten goes with the first one that is known to be good.
    ///
    /// # Errors
    /// [`DeskError::Store`]; every backup that was there still is.
    pub fn keep_backup(&self) -> Result<Tried, DeskError> {
        let during = "keep a backup";
        let failed = |source| StoreError::File { during, source };
        let folder = self.backup_folder()?;
        make_folder(&folder).map_err(failed)?;
        let (today, erased) = {
            let shelf = self.shelf();
            (shelf.today(), day_of(shelf.store.setting(ERASED)?))
        };
        let file = folder.join(file_name(today));
        let beside = folder.join(format!("{}.new", file_name(today)));
        if beside.exists() {
            std::fs::remove_file(&beside).map_err(failed)?;
        }
        let copy = { self.shelf().store.copy(&beside)? };
        let tried = copy.settle()?;
        std::fs::rename(&beside, &file).map_err(failed)?;
        flush_folder(&file).map_err(failed)?;
        let there: BTreeMap<NaiveDate, PathBuf> = generations_in(&folder)
            .into_iter()
            .map(|one| (one.day, one.file))
            .collect();
        let mut go = superfluous(&there.keys().copied().collect());
        // Today's was written after whatever was deleted today.
        let before = |day: &&NaiveDate| **day != today && erased.is_some_and(|on| **day <= on);
        go.extend(there.keys().filter(before));
        for day in go {
            if let Some(file) = there.get(&day) {
                std::fs::remove_file(file).map_err(failed)?;
            }
        }
        let mut shelf = self.shelf();
        shelf
            .store
            .put_setting(LAST_BACKUP, today.to_string().as_bytes())?;
        Ok(tried)
    }

    /// Does what is due: a backup on each day, a check of everything each week. To be called when
    /// nobody has touched the device for a while.
    ///
    /// # Errors
    /// [`DeskError`] of what could not be done; it is due again next time.
    pub fn look_after(&self) -> Result<Cared, DeskError> {
        let mut cared = Cared::default();
        let (today, backed_up, checked) = {
            let shelf = self.shelf();
            if shelf.device.shop.is_none() {
                return Ok(cared);
            }
            (
                shelf.today(),
                day_of(shelf.store.setting(LAST_BACKUP)?),
                day_of(shelf.store.setting(LAST_CHECK)?),
            )
        };
        // A clock that went back does not put off what protects.
        if checked.is_none_or(|on| !(0..CHECK_EVERY).contains(&(today - on).num_days())) {
            let found = self.check()?;
            let sound = found.is_sound();
            cared.checked = Some(found);
            if sound {
                let day = today.to_string();
                let mut shelf = self.shelf();
                shelf.store.put_setting(LAST_CHECK, day.as_bytes())?;
            } else {
                // A hurt store is not copied over sound ones.
                return Ok(cared);
            }
        }
        if backed_up != Some(today) {
            cared.backed_up = Some(self.keep_backup()?);
        }
        Ok(cared)
    }

    /// The days of the last backup and of the last check that found all in order.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn last_cared(&self) -> Result<(Option<NaiveDate>, Option<NaiveDate>), DeskError> {
        let shelf = self.shelf();
        Ok((
            day_of(shelf.store.setting(LAST_BACKUP)?),
            day_of(shelf.store.setting(LAST_CHECK)?),
        ))
    }
}

fn day_of(kept: Option<Vec<u8>>) -> Option<NaiveDate> {
    String::from_utf8(kept?).ok()?.parse().ok()
}

fn file_name(day: NaiveDate) -> String {
    format!("tallywater-{day}.db")
}

/// The scheduled backups in a folder, the latest first; others' files are not ours.
pub(super) fn generations_in(folder: &Path) -> Vec<Generation> {
    let listed = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let mut found: Vec<Generation> = listed
        .filter_map(|entry| {
            let name = entry.file_name();
            let day = name.to_str()?.strip_prefix("tallywater-")?;
            let day: NaiveDate = day.strip_suffix(".db")?.parse().ok()?;
            let file = entry.path();
            (name.to_str()? == file_name(day) && file.is_file()).then_some(Generation { file, day })
        })
        .collect();
    found.sort_by_key(|one| std::cmp::Reverse(one.day));
    found
}

/// Where backups of a device go that cannot be asked: the folder inside its own.
pub(super) fn own_generations(device: &Path) -> Vec<Generation> {
    generations_in(&device.join(FOLDER))
}

/// The folder, which its owner alone may look into.
fn make_folder(folder: &Path) -> std::io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt as _;
        builder.mode(0o700);
    }
    builder.create(folder)
}
