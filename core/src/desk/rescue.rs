//! Rescue: what can be done about a device whose store cannot be worked on. Nothing is done
//! without having been asked for, and nothing hurt is deleted: it is set aside whole, with its
//! log, in a folder of its own.
//!
//! Three ways: look at what can still be read; take the last backup; begin anew and fetch
//! everything from the other devices. What can be read of the hurt store is added afterwards
//! ([`Desk::take_salvage`]): entries are signed, so they can come from anywhere.

use std::collections::BTreeSet;
use std::fs::File;
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use super::care::{Generation, own_generations};
use super::device::{ROOT_SETTING, root_of};
use super::{Desk, DeskError, KeyStore, STORE_FILE, lock};
use crate::course::LedgerId;
use crate::entry::{Body, DeviceKey};
use crate::ledger::{Gathered, gather};
use crate::store::{Found, Hurt, Store, StoreError, Tried, is_empty, search, set_aside};

/// A device's folder whose store is hurt, held as long as something is done about it.
#[derive(Debug)]
pub struct Rescue {
    folder: PathBuf,
    how: Hurt,
    _in_use: Option<File>,
}

/// What can still be read of a hurt store.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Record),
    uniffi(name = "ReadableParts")
)]
pub struct Readable {
    /// The school's name, if it can.
    pub shop: Option<String>,
    /// Courses with their titles, where those can be read.
    pub courses: Vec<Option<String>>,
    /// People whose details are there.
    pub people: usize,
    /// Entries, each with a signature that holds.
    pub entries: usize,
    /// When the latest of them was written, by its writer's clock.
    pub latest: Option<DateTime<FixedOffset>>,
    /// Pieces that are broken.
    pub broken: usize,
}

/// A backup, and what it holds if it is sound.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BackupSeen {
    /// The file and its day.
    pub generation: Generation,
    /// What it holds; `None` if it cannot be read.
    pub holds: Option<Tried>,
}

/// What came back of a hurt store.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SalvageTaken {
    /// Ledgers of this shop that were found.
    pub ledgers: usize,
    /// Entries in them.
    pub entries: usize,
    /// Of those, entries that were not here.
    pub new: usize,
    /// Pieces that are broken.
    pub broken: usize,
}

/// How the store of a device is hurt, if it is. Nothing is changed by asking.
///
/// # Errors
/// [`DeskError::Keys`].
pub(super) fn hurt(folder: &Path, keys: &dyn KeyStore) -> Result<Option<Hurt>, DeskError> {
    // The device's key is made after its store and stays when that is lost.
    let gone = is_empty(&folder.join(STORE_FILE)) && keys.load("device")?.is_some();
    Ok(gone.then_some(Hurt::Gone))
}

impl Rescue {
    /// Takes a folder whose store is hurt.
    ///
    /// # Errors
    /// [`DeskError::Store`] as locked if a program works in the folder;
    /// [`DeskError::NotFound`] if its store is sound.
    pub fn begin(folder: &Path, keys: &dyn KeyStore) -> Result<Self, DeskError> {
        let in_use = lock::take(folder)?;
        let how = match hurt(folder, keys)? {
            Some(how) => how,
            None => match Store::open(&folder.join(STORE_FILE)) {
                Err(StoreError::Hurt { how }) => how,
                Err(error) => return Err(error.into()),
                Ok(opened) => match opened.store.check() {
                    Err(StoreError::Damaged) => Hurt::Content,
                    Err(error) => return Err(error.into()),
                    Ok(()) => {
                        return Err(DeskError::NotFound {
                            what: "damage",
                            id: STORE_FILE.to_owned(),
                        });
                    }
                },
            },
        };
        Ok(Self {
            folder: folder.to_owned(),
            how,
            _in_use: in_use,
        })
    }

    /// How the store is hurt.
    pub const fn how(&self) -> Hurt {
        self.how
    }

    /// What can still be read of it.
    ///
    /// # Errors
    /// [`DeskError::Store`] if the disk gives nothing.
    pub fn readable(&self) -> Result<Readable, DeskError> {
        let found = search(&self.folder.join(STORE_FILE))?;
        Ok(Readable::of(&put_together(found)?))
    }

    /// The scheduled backups in the device's folder, the latest first, each tried out.
    pub fn backups(&self) -> Vec<BackupSeen> {
        let there = own_generations(&self.folder).into_iter();
        there
            .map(|generation| BackupSeen {
                holds: Store::try_out(&generation.file).ok(),
                generation,
            })
            .collect()
    }

    /// Sets the hurt store aside and puts a backup in its place. Answers where the hurt one lies.
    ///
    /// # Errors
    /// [`DeskError::Store`] if the backup cannot be read: then nothing was moved.
    pub fn take_backup(&self, backup: &Path) -> Result<PathBuf, DeskError> {
        let during = "take a backup";
        let failed = |source| StoreError::File { during, source };
        let store = self.folder.join(STORE_FILE);
        let beside = self.folder.join(format!("{STORE_FILE}.restored"));
        std::fs::copy(backup, &beside).map_err(failed)?;
        // The copy is tried, not the original: it is the copy that will be worked on.
        if let Err(error) = Store::try_out(&beside) {
            std::fs::remove_file(&beside).map_err(failed)?;
            return Err(error.into());
        }
        File::open(&beside)
            .and_then(|file| file.sync_all())
            .map_err(failed)?;
        let aside = set_aside(&store)?;
        std::fs::rename(&beside, &store).map_err(failed)?;
        Ok(aside)
    }

    /// Sets the hurt store aside and begins an empty one with the device's own keys, to be filled
    /// from the other devices. Where the shop's root key is here, or the hurt store still says
    /// whose it was, it is that shop's again; else the device pairs once more, as what it is.
    /// Answers where the hurt one lies.
    ///
    /// # Errors
    /// [`DeskError::Store`], [`DeskError::Keys`].
    pub fn begin_anew(&self, keys: &dyn KeyStore) -> Result<PathBuf, DeskError> {
        let store = self.folder.join(STORE_FILE);
        let root = root_of(keys)?;
        let root = match root {
            Some(root) => Some(root),
            None => said_root(&search(&store)?),
        };
        let aside = set_aside(&store)?;
        let mut opened = Store::open(&store)?.store;
        if let Some(root) = root {
            opened.put_setting(ROOT_SETTING, &root.0)?;
        }
        Ok(aside)
    }
}

fn said_root(found: &Found) -> Option<DeviceKey> {
    let bytes = found.settings.get(ROOT_SETTING)?;
    let root = DeviceKey(bytes.as_slice().try_into().ok()?);
    // A setting has no checksum: it is believed where a ledger of that shop is there too.
    let shop = LedgerId::Shop(crate::trust::shop_id(&root));
    found.ledgers.contains(&shop).then_some(root)
}

fn put_together(found: Found) -> Result<Gathered, DeskError> {
    // Ledgers that are only looked at, or handed on as bytes: nothing is written with these.
    let mut number = 0_u128;
    let mut actor = || {
        number += 1;
        Some(number.to_be_bytes())
    };
    Ok(gather(&found.ledgers, found.pieces, &mut actor)?)
}

impl Readable {
    fn of(gathered: &Gathered) -> Self {
        let mut readable = Self {
            broken: gathered.broken,
            ..Self::default()
        };
        for (id, found) in &gathered.ledgers {
            let signed = found.ledger.lines().values().filter(|line| line.signed);
            let entries: Vec<_> = signed.filter_map(|line| line.entry()).collect();
            readable.entries += entries.len();
            let latest = entries.iter().map(|entry| entry.at).max();
            readable.latest = readable.latest.max(latest);
            let said = entries.iter().find_map(|entry| called(&entry.body));
            match id {
                LedgerId::Shop(_) => readable.shop = said,
                LedgerId::Course(_) => readable.courses.push(said),
                LedgerId::Person(_) => readable.people += 1,
            }
        }
        readable
    }
}

/// What a shop or a course is called.
fn called(body: &Body) -> Option<String> {
    if let Body::ShopOpened(opened) = body {
        Some(opened.name.clone())
    } else if let Body::CourseOpened(opened) = body {
        Some(opened.title.clone())
    } else {
        None
    }
}

impl Desk {
    /// Adds what can be read of a hurt store: of this shop's ledgers, whatever is signed and not
    /// here yet. Whoever was forgotten stays forgotten.
    ///
    /// # Errors
    /// [`DeskError::NotStarted`] before the device belongs to a shop; [`DeskError::Store`].
    pub fn take_salvage(&self, file: &Path) -> Result<SalvageTaken, DeskError> {
        let root = self.shop_root().ok_or(DeskError::NotStarted)?;
        let own_shop = LedgerId::Shop(crate::trust::shop_id(&root));
        let gathered = put_together(search(file)?)?;
        let mut taken = SalvageTaken {
            broken: gathered.broken,
            ..SalvageTaken::default()
        };
        let wanted = |id: &LedgerId| match id {
            LedgerId::Shop(_) => *id == own_shop,
            LedgerId::Course(_) | LedgerId::Person(_) => true,
        };
        let found: Vec<_> = gathered
            .ledgers
            .into_iter()
            .filter(|(id, _)| wanted(id))
            .collect();
        // The shop's first: it says who may write, and who is to be forgotten.
        for (id, found) in found {
            let entries = found.ledger.lines().len();
            let bytes = found.ledger.plain()?;
            let brought = { self.shelf().bring_together(&[(id, bytes)]) };
            match brought {
                Ok((new, changes)) => {
                    self.tell(&changes);
                    taken.ledgers += 1;
                    taken.entries += entries;
                    taken.new += new;
                }
                // Dropped or forgotten since.
                Err(DeskError::Refused(_)) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(taken)
    }

    /// Stores that were set aside in this device's folder, oldest first.
    pub fn set_aside(&self) -> Vec<PathBuf> {
        let listed = std::fs::read_dir(&self.folder)
            .into_iter()
            .flatten()
            .flatten();
        let found: BTreeSet<(usize, PathBuf)> = listed
            .filter_map(|entry| {
                let name = entry.file_name();
                let number = name.to_str()?.strip_prefix("damaged-")?.parse().ok()?;
                Some((number, entry.path().join(STORE_FILE)))
            })
            .collect();
        found.into_iter().map(|(_, path)| path).collect()
    }
}
