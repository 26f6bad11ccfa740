//! A store on a disk that can be looked at from outside.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use tallywater_core::course::{EntryId, LedgerId};
use tallywater_core::ledger::Ledger;
use tallywater_core::store::{Commit, Store, StoreError};
use tempfile::TempDir;

use super::entries;

/// A folder with a store in it.
pub(crate) struct Place {
    folder: TempDir,
}

impl Place {
    pub(crate) fn new() -> Self {
        Self {
            folder: TempDir::new().unwrap(),
        }
    }

    pub(crate) fn folder(&self) -> &Path {
        self.folder.path()
    }

    pub(crate) fn path(&self) -> PathBuf {
        self.folder.path().join("store.db")
    }

    pub(crate) fn log(&self) -> PathBuf {
        self.folder.path().join("store.db-wal")
    }

    /// Opens the store, which must be sound.
    pub(crate) fn open(&self) -> Store {
        let opened = Store::open(&self.path()).unwrap();
        opened.store
    }
}

/// The ledger as the store has it, opened by a device of its own.
pub(crate) fn loaded(store: &Store, id: LedgerId) -> Ledger {
    let stored = store.load(&id).unwrap().unwrap();
    Ledger::load(id, [0xee; 16], &stored.bytes, &stored.unsigned).unwrap()
}

/// The entries that the store has of a ledger; none when it is not there.
pub(crate) fn entries_in(store: &Store, id: LedgerId) -> BTreeSet<EntryId> {
    match store.load(&id).unwrap() {
        Some(_) => loaded(store, id).lines().keys().copied().collect(),
        None => BTreeSet::new(),
    }
}

/// A device's ledger with its store: what is acknowledged is in both.
pub(crate) struct Writer {
    pub(crate) store: Store,
    pub(crate) ledger: Ledger,
    pub(crate) acknowledged: BTreeSet<EntryId>,
    next: u64,
}

impl Writer {
    pub(crate) fn new(store: Store, id: LedgerId) -> Self {
        let acknowledged = entries_in(&store, id);
        let ledger = match store.load(&id).unwrap() {
            Some(_) => loaded(&store, id),
            None => entries::ledger(id, 1),
        };
        let next = u64::try_from(acknowledged.len()).unwrap();
        Self {
            store,
            ledger,
            acknowledged,
            next,
        }
    }

    /// Records the next mark. After an error the ledger in memory is thrown away and read
    /// from the store again, as whoever uses the store must.
    pub(crate) fn mark(&mut self) -> Result<EntryId, StoreError> {
        let id = *self.ledger.id();
        let changes = [entries::add(&mut self.ledger, 1, self.next)];
        let cells = [entries::cell(self.next)];
        let commit = Commit {
            changes: &changes,
            cells: &cells,
            ..Commit::default()
        };
        let stored = self.store.commit(&id, &commit);
        if let Err(error) = stored {
            self.ledger = match self.store.load(&id).unwrap() {
                Some(_) => loaded(&self.store, id),
                None => entries::ledger(id, 1),
            };
            return Err(error);
        }
        let entry = entries::id_of(&id, 1, self.next);
        self.acknowledged.insert(entry);
        self.next += 1;
        Ok(entry)
    }

    /// Records several marks, all of which must go well.
    pub(crate) fn marks(&mut self, count: usize) {
        for _ in 0..count {
            self.mark().unwrap();
        }
    }

    /// The store has exactly what was acknowledged, is sound, and takes the next mark.
    pub(crate) fn assert_nothing_lost(&mut self, when: &str) {
        let id = *self.ledger.id();
        assert_eq!(entries_in(&self.store, id), self.acknowledged, "{when}");
        assert_eq!(
            loaded(&self.store, id).heads(),
            self.ledger.heads(),
            "{when}"
        );
        self.store.check().unwrap();
        self.mark().unwrap();
        assert_eq!(entries_in(&self.store, id), self.acknowledged, "{when}");
    }

    /// Compacts with what is in memory.
    pub(crate) fn compact(&mut self) -> Result<bool, StoreError> {
        let snapshot = self.ledger.save().unwrap();
        let heads = self.ledger.heads();
        self.store
            .compact(self.ledger.id(), &snapshot, &heads, [3; 16])
    }
}
