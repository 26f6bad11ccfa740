//! Rescue: what can be done about a device whose store is damaged.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tallywater_core::desk::{self, FileKeyStore};
use tallywater_core::store::Tried;

use crate::cross::Shown;
use crate::key_store::ShellKeyStore;
use crate::{Fault, KeyStore, ReadableParts, SalvageTaken, Tallywater};

/// A scheduled backup.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct BackupSeen {
    /// Its file.
    pub file: String,
    /// The day it was made.
    pub day: String,
    /// Whether it could be opened, and everything in it.
    pub sound: bool,
    /// Courses, people and the shop's book in it.
    pub ledgers: u32,
    /// Entries in it.
    pub entries: u32,
}

impl Shown<BackupSeen> for desk::BackupSeen {
    fn shown(self) -> BackupSeen {
        let desk::BackupSeen { generation, holds } = self;
        let Tried { ledgers, entries } = holds.unwrap_or_default();
        BackupSeen {
            file: generation.file.display().to_string(),
            day: generation.day.shown(),
            sound: holds.is_some(),
            ledgers: ledgers.shown(),
            entries: entries.shown(),
        }
    }
}

/// A device's folder whose store is hurt, held until something was done about it. Nothing
/// hurt is deleted: it is set aside whole.
#[derive(uniffi::Object)]
pub struct Rescue {
    rescue: Mutex<Option<desk::Rescue>>,
    folder: PathBuf,
    keys: Option<Arc<dyn KeyStore>>,
    how: String,
}

impl std::fmt::Debug for Rescue {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Rescue({})", self.how)
    }
}

#[uniffi::export]
impl Rescue {
    /// Takes a folder whose store is hurt.
    #[uniffi::constructor]
    pub fn begin(folder: String) -> Result<Arc<Self>, Fault> {
        Self::begin_with(folder, None)
    }

    /// The same, with the platform's own key store, where one is given.
    #[uniffi::constructor]
    pub fn begin_with(folder: String, keys: Option<Arc<dyn KeyStore>>) -> Result<Arc<Self>, Fault> {
        let folder = PathBuf::from(folder);
        let rescue = desk::Rescue::begin(&folder, key_store(&folder, keys.as_ref()).as_ref())?;
        Ok(Arc::new(Self {
            how: rescue.how().word().to_owned(),
            rescue: Mutex::new(Some(rescue)),
            folder,
            keys,
        }))
    }

    /// How the store is hurt: "gone", "log_alone", "short" or "content".
    pub fn how(&self) -> String {
        self.how.clone()
    }

    /// What can still be read of it. Nothing is changed.
    pub fn readable(&self) -> Result<ReadableParts, Fault> {
        self.ask(desk::Rescue::readable)
    }

    /// The scheduled backups in the device's folder, the latest first, each tried out.
    pub fn backups(&self) -> Result<Vec<BackupSeen>, Fault> {
        Ok(self.ask(|rescue| Ok(rescue.backups()))?.shown())
    }

    /// Sets the hurt store aside and puts this backup in its place. Answers where the hurt one
    /// lies now; then the folder can be opened again.
    pub fn take_backup(&self, file: String) -> Result<String, Fault> {
        let aside = self.ask(|rescue| rescue.take_backup(Path::new(&file)))?;
        self.let_go();
        Ok(aside.display().to_string())
    }

    /// Sets the hurt store aside and begins an empty one with the device's own keys, to be
    /// filled from the other devices. Answers where the hurt one lies now; then the folder can
    /// be opened again.
    pub fn begin_anew(&self) -> Result<String, Fault> {
        let keys = key_store(&self.folder, self.keys.as_ref());
        let aside = self.ask(|rescue| rescue.begin_anew(keys.as_ref()))?;
        self.let_go();
        Ok(aside.display().to_string())
    }
}

#[uniffi::export]
impl Tallywater {
    /// Adds what can be read of a hurt store that was set aside: whatever is signed, of this
    /// shop, and not here yet.
    pub fn take_salvage(&self, file: String) -> Result<SalvageTaken, Fault> {
        Ok(self.desk().take_salvage(Path::new(&file))?)
    }
}

impl Rescue {
    fn lock(&self) -> MutexGuard<'_, Option<desk::Rescue>> {
        self.rescue.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn ask<T>(
        &self,
        ask: impl FnOnce(&desk::Rescue) -> Result<T, desk::DeskError>,
    ) -> Result<T, Fault> {
        match &*self.lock() {
            Some(rescue) => Ok(ask(rescue)?),
            None => Err(Fault::rule("closed").what("rescue")),
        }
    }

    /// The folder is free again: the next to open it is the desk.
    fn let_go(&self) {
        *self.lock() = None;
    }
}

fn key_store(folder: &Path, keys: Option<&Arc<dyn KeyStore>>) -> Box<dyn desk::KeyStore> {
    match keys {
        Some(keys) => Box::new(ShellKeyStore(Arc::clone(keys))),
        None => Box::new(FileKeyStore::new(&folder.join("keys"))),
    }
}
