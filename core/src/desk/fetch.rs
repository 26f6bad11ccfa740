//! Fetch: photographs and sounds over the link. What is lacking here and may be had from a
//! device, the pieces of what it lacks, and how much is fetched in a day.
//!
//! Only what an entry that counts names is fetched, no longer than the entry says, and of one
//! signing device no more than [`MOST_A_DAY`]: far above what anybody photographs on a day at the
//! pool, far below what fills a disk. A device that gives wrong bytes is asked for no more today.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::depot::depot_error;
use super::shelf::Shelf;
use super::{Change, Desk, DeskError};
use crate::course::{LedgerId, Media};
use crate::entry::{DeviceKey, KeptFile};
use crate::ledger::Mishap;
use crate::link::{DepotError, PieceTaken};
use crate::store::{FileState, LackingFile};
use crate::sync::{FileId, FilePlace};

/// The most bytes of one signing device's photographs and sounds that are fetched in a day: some
/// fifty times a day's of eight students, each with a note of a minute, and four pictures.
const MOST_A_DAY: u64 = 1 << 30;
/// So many files with wrong bytes a device may give in a day.
const MOST_WRONG: u32 = 3;
/// So many of the files that are lacking are looked through for one that may be had.
const LOOKED_THROUGH: u32 = 10_000;

/// What has come today, by whom. Kept in memory, as the quota of entries is.
#[derive(Debug, Default)]
pub(super) struct Fetched {
    day: Option<NaiveDate>,
    /// Bytes, by the device that signed for them.
    had: BTreeMap<DeviceKey, u64>,
    /// Files, by the link key of the device that gave them.
    wrong: BTreeMap<DeviceKey, u32>,
    /// Devices of whose files more came than a day has, as was noted.
    over: BTreeSet<DeviceKey>,
}

const fn id(file: &KeptFile) -> FileId {
    FileId {
        sha256: file.sha256,
        bytes: file.bytes,
    }
}

impl Shelf {
    fn fetched_today(&mut self) -> &mut Fetched {
        let today = self.stamps.today();
        if self.fetched.day != Some(today) {
            self.fetched = Fetched {
                day: Some(today),
                ..Fetched::default()
            };
        }
        &mut self.fetched
    }

    /// What to ask the device for next.
    fn lacks(
        &mut self,
        peer: &DeviceKey,
        passed: &BTreeSet<FileId>,
    ) -> Result<Option<FilePlace>, DeskError> {
        if !self.placed {
            self.positions()?;
        }
        let wrong = self.fetched_today().wrong.get(peer).copied();
        if wrong.unwrap_or_default() >= MOST_WRONG {
            return Ok(None);
        }
        let mut shared: BTreeMap<LedgerId, bool> = BTreeMap::new();
        for LackingFile {
            ledger,
            named,
            have,
        } in self.store.lacking_files(LOOKED_THROUGH)?
        {
            let file = id(&named.file);
            if passed.contains(&file) {
                continue;
            }
            let may = match shared.get(&ledger) {
                Some(may) => *may,
                None => self.may_share(peer, &ledger)?,
            };
            shared.insert(ledger, may);
            if may && self.within_day(&ledger, &named.device, file.bytes - have.min(file.bytes))? {
                let from = have;
                return Ok(Some(FilePlace { ledger, file, from }));
            }
        }
        Ok(None)
    }

    /// Whether so many more bytes that a device signed for may come today.
    fn within_day(
        &mut self,
        ledger: &LedgerId,
        device: &DeviceKey,
        more: u32,
    ) -> Result<bool, DeskError> {
        let fetched = self.fetched_today();
        let had = fetched.had.get(device).copied().unwrap_or_default();
        if had.saturating_add(u64::from(more)) <= MOST_A_DAY {
            return Ok(true);
        }
        if fetched.over.insert(*device) {
            self.note_mishap(ledger, Some(device), Mishap::TooMuch, None)?;
        }
        Ok(false)
    }

    /// The file of this name that a course names here, and the device that signed for it.
    fn named_here(&self, at: &FilePlace) -> Result<Option<(KeptFile, FileState)>, DeskError> {
        let files = self.store.files_of(&at.ledger)?;
        Ok(files.into_iter().find(|(file, _)| id(file) == at.file))
    }

    fn signed_by(&self, at: &FilePlace) -> Result<Option<DeviceKey>, DeskError> {
        let lacking = self.store.lacking_files(LOOKED_THROUGH)?;
        let it = lacking
            .into_iter()
            .find(|one| one.ledger == at.ledger && id(&one.named.file) == at.file);
        Ok(it.map(|one| one.named.device))
    }
}

/// What became of a piece that was stored.
enum Stored {
    /// It was not the next one.
    NotNext,
    /// More is to come.
    More,
    /// It was the last: these are all the bytes.
    Last(KeptFile, DeviceKey, Vec<u8>),
}

impl Desk {
    /// As if so many bytes that a device signed for had come today. Only tests may use it.
    #[doc(hidden)]
    pub fn fetched_for_faults(&self, device: DeviceKey, bytes: u64) {
        self.shelf().fetched_today().had.insert(device, bytes);
    }

    pub(super) fn lacks_file(
        &self,
        peer: &DeviceKey,
        passed: &BTreeSet<FileId>,
    ) -> Result<Option<FilePlace>, DepotError> {
        self.shelf().lacks(peer, passed).map_err(depot_error)
    }

    /// The piece that a device asks for. Before the first one the whole file is looked at: bytes
    /// that do not give their digest any more are sent to nobody.
    pub(super) fn piece_of_file(
        &self,
        peer: &DeviceKey,
        at: &FilePlace,
    ) -> Result<Option<Vec<u8>>, DeskError> {
        let (file, whole) = {
            let mut shelf = self.shelf();
            if !shelf.may_share(peer, &at.ledger)? {
                return Ok(None);
            }
            let Some((file, FileState::Whole)) = shelf.named_here(at)? else {
                return Ok(None);
            };
            if at.from > 0 {
                return Ok(shelf.store.file_piece(&file, at.from)?);
            }
            (file, shelf.store.file_bytes(&file)?)
        };
        if !whole.is_some_and(|bytes| file.is(&bytes)) {
            self.shelf().store.set_file(&file, FileState::Hurt)?;
            return Ok(None);
        }
        Ok(self.shelf().store.file_piece(&file, 0)?)
    }

    /// Stores a piece that was asked for. The last one makes the file whole, if its bytes give its
    /// digest.
    pub(super) fn take_piece_of_file(
        &self,
        peer: &DeviceKey,
        at: &FilePlace,
        bytes: &[u8],
    ) -> Result<PieceTaken, DeskError> {
        let (file, device, whole) = match self.store_piece(at, bytes)? {
            Stored::NotNext | Stored::More => return Ok(PieceTaken::Taken),
            Stored::Last(file, device, whole) => (file, device, whole),
        };
        // Reckoned outside the lock: a tap must not wait for it.
        let state = if !file.is(&whole) {
            FileState::OnItsWay { have: 0 }
        } else if Media::begins(&whole) == Some(file.media) {
            FileState::Whole
        } else {
            FileState::Refused
        };
        let mut shelf = self.shelf();
        shelf.store.set_file(&file, state)?;
        if matches!(state, FileState::OnItsWay { .. }) {
            let fetched = shelf.fetched_today();
            *fetched.wrong.entry(*peer).or_default() += 1;
            let had = fetched.had.entry(device).or_default();
            *had = had.saturating_sub(u64::from(file.bytes));
            return Ok(PieceTaken::Wrong);
        }
        drop(shelf);
        self.tell(&[Change {
            ledger: at.ledger,
            cells: Vec::new(),
            wider: true,
            from_elsewhere: true,
        }]);
        Ok(PieceTaken::Taken)
    }

    fn store_piece(&self, at: &FilePlace, bytes: &[u8]) -> Result<Stored, DeskError> {
        let mut shelf = self.shelf();
        // Named no longer, or whole by now: from another device, or since somebody was forgotten.
        let Some((file, FileState::OnItsWay { .. } | FileState::Hurt)) = shelf.named_here(at)?
        else {
            return Ok(Stored::NotNext);
        };
        let Some(device) = shelf.signed_by(at)? else {
            return Ok(Stored::NotNext);
        };
        if !shelf.store.add_piece(&file, at.from, bytes)? {
            return Ok(Stored::NotNext);
        }
        let came = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
        let had = shelf.fetched_today().had.entry(device).or_default();
        *had = had.saturating_add(came);
        let ends = u64::from(at.from).saturating_add(came);
        if ends < u64::from(file.bytes) {
            return Ok(Stored::More);
        }
        let whole = shelf.store.file_bytes(&file)?.unwrap_or_default();
        Ok(Stored::Last(file, device, whole))
    }
}
