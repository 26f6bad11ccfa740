//! The ledger itself.

use std::collections::{BTreeMap, BTreeSet};

use automerge::transaction::{CommitOptions, Transactable as _};
use automerge::{ActorId, Automerge, Change, ChangeHash, ObjId, ReadDoc as _, ScalarValue, Value};

use super::guard::guarded;
use super::irregular::{Deed, Irregular, deed, read_log};
use super::layout::{GENESIS_OPS, entries_of, genesis, ledger_of};
use super::{Heads, LedgerError};
use crate::course::{EntryId, LedgerId};
use crate::entry::FormatError;
use crate::trust::Line;

/// One ledger: an Automerge document and the lines in it.
///
/// The truth is the document; the lines are what it says, kept beside it.
#[derive(Debug, Clone)]
pub struct Ledger {
    id: LedgerId,
    document: Automerge,
    entries: ObjId,
    lines: BTreeMap<EntryId, Line>,
    irregular: BTreeSet<Irregular>,
}

/// What one added entry changed: the bytes to store, and the line.
#[derive(Debug, Clone)]
pub struct Added {
    /// The change, to be stored before anyone is told.
    pub change: Vec<u8>,
    /// Its hash.
    pub hash: [u8; 32],
}

/// Changes from elsewhere, applied to a clone: nothing has happened to the ledger until
/// [`Ledger::adopt`] takes it, after the store has committed.
#[derive(Debug)]
pub struct Taken {
    next: Ledger,
    /// The changes that are new here, each with its hash, in an order that can be applied.
    pub changes: Vec<([u8; 32], Vec<u8>)>,
    /// The entries that are new here.
    pub entries: Vec<EntryId>,
    /// Entries among them whose signature does not hold.
    pub unsigned: Vec<EntryId>,
    /// Whether the lines had to be read anew from the whole log.
    pub reread: bool,
}

impl Taken {
    /// The ledger as it will be.
    pub const fn ledger(&self) -> &Ledger {
        &self.next
    }
}

impl Ledger {
    /// A ledger that has only its first change. `actor` is fresh chance each time a
    /// document is opened and never stored: a restored backup that used one again would
    /// stop merging.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn new(id: LedgerId, actor: [u8; 16]) -> Result<Self, LedgerError> {
        let mut document = genesis(&id)?;
        document.set_actor(ActorId::from(actor.to_vec()));
        let entries = entries_of(&document, &id)?;
        Ok(Self {
            id,
            document,
            entries,
            lines: BTreeMap::new(),
            irregular: BTreeSet::new(),
        })
    }

    /// Opens a ledger from its snapshot and changes, joined end to end. `unsigned` are the
    /// entries whose signature did not hold when they came in; every other one was checked
    /// then and is not checked again ([`Ledger::recheck`] does).
    ///
    /// # Errors
    /// [`LedgerError`] for bytes that are not this ledger.
    pub fn load(
        id: LedgerId,
        actor: [u8; 16],
        bytes: &[u8],
        unsigned: &BTreeSet<EntryId>,
    ) -> Result<Self, LedgerError> {
        let mut document = guarded("load a ledger", || Automerge::load(bytes))?;
        let entries = entries_of(&document, &id)?;
        document.set_actor(ActorId::from(actor.to_vec()));
        let mut ledger = Self {
            id,
            document,
            entries,
            lines: BTreeMap::new(),
            irregular: BTreeSet::new(),
        };
        ledger.fill(|key, bytes| {
            let mut line = Line::checked_before(key, bytes);
            line.signed &= !unsigned.contains(&key);
            line
        })?;
        Ok(ledger)
    }

    /// Reads bytes from elsewhere as a ledger, believing nothing: every signature is checked.
    ///
    /// # Errors
    /// [`LedgerError`] for bytes that are no ledger.
    pub fn load_foreign(actor: [u8; 16], bytes: &[u8]) -> Result<Self, LedgerError> {
        let document = guarded("load a ledger", || Automerge::load(bytes))?;
        let id = ledger_of(&document)?;
        let mut ledger = Self::load(id, actor, bytes, &BTreeSet::new())?;
        ledger.recheck()?;
        Ok(ledger)
    }

    /// Checks every signature again, from the bytes.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn recheck(&mut self) -> Result<(), LedgerError> {
        let id = self.id;
        self.fill(|key, bytes| Line::check(&id, key, bytes))
    }

    /// Fills the lines: from the map alone where every change is one new entry, which the
    /// counts show, else from the whole log.
    fn fill(&mut self, mut read: impl FnMut(EntryId, &[u8]) -> Line) -> Result<(), LedgerError> {
        let stats = self.document.stats();
        let (document, entries) = (&self.document, &self.entries);
        let lines = guarded("read the entries", || {
            let mut lines = BTreeMap::new();
            for item in document.map_range(entries, ..) {
                if let (Ok(key), Ok(bytes)) = (
                    item.key.parse::<EntryId>(),
                    item.value.into_value().into_bytes(),
                ) {
                    let line = read(key, &bytes);
                    lines.insert(key, line);
                }
            }
            Ok::<_, LedgerError>(lines)
        })?;
        let count = u64::try_from(lines.len()).unwrap_or(u64::MAX);
        if stats.num_changes == count + 1 && stats.num_ops == count + GENESIS_OPS {
            self.lines = lines;
            self.irregular = BTreeSet::new();
        } else {
            (self.lines, self.irregular) = read_log(&self.id, &self.document, &self.entries)?;
        }
        Ok(())
    }

    /// Adds an entry of our own, sealed by this device. The document has it at once, the
    /// store not yet: when storing fails the ledger must be opened again from the store.
    ///
    /// # Errors
    /// [`LedgerError::Taken`] if the id is there already, [`LedgerError::Engine`].
    pub fn add(&mut self, entry: EntryId, bytes: &[u8]) -> Result<Added, LedgerError> {
        if self.lines.contains_key(&entry) {
            return Err(LedgerError::Taken { entry });
        }
        let (document, entries) = (&mut self.document, &self.entries);
        let added = guarded("add an entry", || {
            let mut transaction = document.transaction();
            transaction.put(
                entries,
                entry.to_string(),
                ScalarValue::Bytes(bytes.to_vec()),
            )?;
            transaction.commit_with(CommitOptions::default().with_time(0));
            let mut change = document
                .get_last_local_change()
                .ok_or(automerge::AutomergeError::Fail)?;
            let hash = change.hash().0;
            Ok::<_, automerge::AutomergeError>(Added {
                change: change.bytes().into_owned(),
                hash,
            })
        })?;
        // Signed by this device a moment ago: checking it would cost more than making it.
        self.lines.insert(entry, Line::checked_before(entry, bytes));
        Ok(added)
    }

    /// Applies changes from elsewhere to a clone.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub fn take(&self, changes: Vec<Change>) -> Result<Taken, LedgerError> {
        self.take_with(|document| document.apply_changes(changes))
    }

    /// Applies the bytes of changes or of a whole saved document to a clone.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub fn take_bytes(&self, bytes: &[u8]) -> Result<Taken, LedgerError> {
        self.take_with(|document| document.load_incremental(bytes).map(|_| ()))
    }

    /// Runs a step that may bring changes into the document, on a clone, behind the guard.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub(crate) fn take_with(
        &self,
        step: impl FnOnce(&mut Automerge) -> Result<(), automerge::AutomergeError>,
    ) -> Result<Taken, LedgerError> {
        let before = self.document.get_heads();
        let mut next = self.clone();
        let (document, entries) = (&mut next.document, &next.entries);
        let found = guarded("take changes", || {
            step(document)?;
            let changes = document.get_changes(&before);
            let deeds: Vec<Deed> = changes.iter().map(|change| deed(change, entries)).collect();
            Ok::<_, automerge::AutomergeError>((changes, deeds))
        })?;
        let (changes, deeds) = found;
        entries_of(&next.document, &self.id)?;
        let mut taken = Taken {
            next,
            changes: Vec::with_capacity(changes.len()),
            entries: Vec::new(),
            unsigned: Vec::new(),
            reread: false,
        };
        for mut change in changes {
            let hash = change.hash().0;
            taken.changes.push((hash, change.bytes().into_owned()));
        }
        for deed in deeds {
            match deed {
                Deed::Adds(id, bytes) if !taken.next.lines.contains_key(&id) => {
                    let line = Line::check(&self.id, id, &bytes);
                    if !line.signed {
                        taken.unsigned.push(id);
                    }
                    taken.next.lines.insert(id, line);
                    taken.entries.push(id);
                }
                Deed::Adds(..) | Deed::Begins | Deed::Other => taken.reread = true,
            }
        }
        if taken.reread {
            let (lines, irregular) = read_log(&self.id, &taken.next.document, &taken.next.entries)?;
            taken.entries = lines
                .keys()
                .filter(|id| !self.lines.contains_key(id))
                .copied()
                .collect();
            taken.unsigned = lines
                .iter()
                .filter(|(_, line)| !line.signed)
                .map(|(id, _)| *id)
                .collect();
            (taken.next.lines, taken.next.irregular) = (lines, irregular);
        }
        Ok(taken)
    }

    /// Becomes what was taken, once it is stored.
    pub fn adopt(&mut self, taken: Taken) {
        *self = taken.next;
    }

    /// Which ledger.
    pub const fn id(&self) -> &LedgerId {
        &self.id
    }

    /// Every line, by id.
    pub const fn lines(&self) -> &BTreeMap<EntryId, Line> {
        &self.lines
    }

    /// What was found in the log that no honest device writes.
    pub const fn irregular(&self) -> &BTreeSet<Irregular> {
        &self.irregular
    }

    /// The bytes of an entry as they stand in the document.
    pub fn bytes_of(&self, entry: &EntryId) -> Option<Vec<u8>> {
        match self.document.get(&self.entries, entry.to_string()) {
            Ok(Some((Value::Scalar(value), _))) => match value.as_ref() {
                ScalarValue::Bytes(bytes) => Some(bytes.clone()),
                _ => None,
            },
            Ok(_) | Err(_) => None,
        }
    }

    /// The hashes of the latest changes: two ledgers with equal heads hold the same.
    pub fn heads(&self) -> Heads {
        Heads::of(self.document.get_heads())
    }

    /// Whether every change behind these heads is here.
    pub fn knows(&self, heads: &Heads) -> bool {
        heads.iter().all(|hash| {
            self.document
                .get_change_meta_by_hash(&ChangeHash(*hash))
                .is_some()
        })
    }

    /// Whether the entry stood here behind these heads; `false` if a head is not known.
    pub fn behind(&self, entry: &EntryId, heads: &Heads) -> bool {
        if !self.knows(heads) {
            return false;
        }
        let heads: Vec<ChangeHash> = heads.iter().map(|hash| ChangeHash(*hash)).collect();
        guarded("look behind heads", || {
            self.document
                .get_at(&self.entries, entry.to_string(), &heads)
                .map(|found| found.is_some())
        })
        .unwrap_or(false)
    }

    /// The whole document, compressed: a snapshot.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn save(&self) -> Result<Vec<u8>, LedgerError> {
        guarded("save a ledger", || {
            Ok::<_, LedgerError>(self.document.save())
        })
    }

    /// The first change of a ledger, as every device makes it, byte for byte.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn first_change(id: &LedgerId) -> Result<Added, LedgerError> {
        let document = genesis(id)?;
        guarded("begin a ledger", || {
            let mut change = document
                .get_last_local_change()
                .ok_or(automerge::AutomergeError::Fail)?;
            Ok::<_, automerge::AutomergeError>(Added {
                hash: change.hash().0,
                change: change.bytes().into_owned(),
            })
        })
    }

    /// The first change, as every device makes it.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn genesis_bytes(&self) -> Result<Vec<u8>, LedgerError> {
        Self::first_change(&self.id).map(|first| first.change)
    }

    pub(crate) const fn document(&self) -> &Automerge {
        &self.document
    }
}

impl From<FormatError> for LedgerError {
    fn from(error: FormatError) -> Self {
        Self::Format(error)
    }
}
