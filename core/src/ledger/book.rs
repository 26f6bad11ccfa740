//! The ledger itself.

use std::collections::{BTreeMap, BTreeSet};

use automerge::transaction::{CommitOptions, Transactable as _};
use automerge::{ActorId, Automerge, ChangeHash, ReadDoc as _, SaveOptions, ScalarValue};

use super::guard::guarded;
use super::irregular::{Irregular, Log, read_log};
use super::layout::{GENESIS_OPS, Layout, begin, bytes_in, entry_key, has, layout_of, ledger_of};
use super::{Heads, LedgerError};
use crate::course::{EntryId, LedgerId};
use crate::entry::FormatError;
use crate::trust::Line;

/// One ledger: an Automerge document and the lines in it.
///
/// The truth is the document; the lines are what it says, kept beside it.
#[derive(Debug, Clone)]
pub struct Ledger {
    pub(super) id: LedgerId,
    pub(super) document: Automerge,
    pub(super) layout: Layout,
    pub(super) log: Log,
}

/// What one added entry changed: the bytes to store, and their name.
#[derive(Debug, Clone)]
pub struct Added {
    /// The change, to be stored before anyone is told. Not compressed: a snapshot is, and
    /// a tap is made slower by it, and opening slower still.
    pub change: Vec<u8>,
    /// Its hash.
    pub hash: [u8; 32],
}

impl Ledger {
    /// A ledger that has only its first change. `actor` is fresh chance each time a
    /// document is opened and never stored: a restored backup that used one again would
    /// stop merging.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn new(id: LedgerId, actor: [u8; 16]) -> Result<Self, LedgerError> {
        let (mut document, layout, _) = begin(&id)?;
        document.set_actor(ActorId::from(actor.to_vec()));
        Ok(Self {
            id,
            document,
            layout,
            log: Log::default(),
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
        let document = document_of(bytes)?;
        Self::open(id, actor, document, |key, bytes| {
            let mut line = Line::checked_before(key, bytes);
            line.signed &= !unsigned.contains(&key);
            line
        })
    }

    /// Reads bytes from elsewhere as a ledger, believing nothing: every signature is checked.
    ///
    /// # Errors
    /// [`LedgerError`] for bytes that are no ledger.
    pub fn load_foreign(actor: [u8; 16], bytes: &[u8]) -> Result<Self, LedgerError> {
        let document = document_of(bytes)?;
        let id = ledger_of(&document)?;
        Self::open(id, actor, document, |key, bytes| {
            Line::check(&id, key, bytes)
        })
    }

    fn open(
        id: LedgerId,
        actor: [u8; 16],
        mut document: Automerge,
        read: impl FnMut(EntryId, &[u8]) -> Line,
    ) -> Result<Self, LedgerError> {
        let layout = layout_of(&document, &id)?;
        document.set_actor(ActorId::from(actor.to_vec()));
        let mut ledger = Self {
            id,
            document,
            layout,
            log: Log::default(),
        };
        ledger.fill(read)?;
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

    /// Fills the lines: from the map alone where every operation is one entry of the map,
    /// which the counts show, else from the whole log.
    fn fill(&mut self, mut read: impl FnMut(EntryId, &[u8]) -> Line) -> Result<(), LedgerError> {
        let stats = self.document.stats();
        let (document, entries) = (&self.document, &self.layout.entries);
        let lines = guarded("read the entries", || {
            let mut lines = BTreeMap::new();
            for item in document.map_range(entries, ..) {
                if let Some(key) = entry_key(&item.key)
                    && let Ok(bytes) = item.value.into_value().into_bytes()
                {
                    let line = read(key, &bytes);
                    lines.insert(key, line);
                }
            }
            Ok::<_, LedgerError>(lines)
        })?;
        let count = u64::try_from(lines.len()).unwrap_or(u64::MAX);
        self.log = if stats.num_changes == count + 1 && stats.num_ops == count + GENESIS_OPS {
            Log {
                lines,
                ..Log::default()
            }
        } else {
            read_log(&self.id, &self.document, &self.layout, read)?
        };
        Ok(())
    }

    /// Adds an entry of our own, sealed by this device. The document has it at once, the
    /// store not yet: when storing fails the ledger must be opened again from the store.
    ///
    /// # Errors
    /// [`LedgerError::Taken`] if the id is there already, [`LedgerError::Engine`].
    pub fn add(&mut self, entry: EntryId, bytes: &[u8]) -> Result<Added, LedgerError> {
        if self.has_key(&entry) {
            return Err(LedgerError::Taken { entry });
        }
        let (document, entries) = (&mut self.document, &self.layout.entries);
        let added = guarded("add an entry", || {
            let mut transaction = document.transaction();
            transaction.put(
                entries,
                entry.to_string(),
                ScalarValue::Bytes(bytes.to_vec()),
            )?;
            transaction.commit_with(CommitOptions::default().with_time(0));
            let change = document
                .get_last_local_change()
                .ok_or(automerge::AutomergeError::Fail)?;
            let hash = change.hash().0;
            Ok::<_, automerge::AutomergeError>(Added {
                change: change.raw_bytes().to_vec(),
                hash,
            })
        })?;
        // Signed by this device a moment ago: checking it would cost more than making it.
        let line = Line::checked_before(entry, bytes);
        self.log.lines.insert(entry, line);
        Ok(added)
    }

    /// Every change, not compressed, joined end to end: what [`super::plain`] can look at.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn plain(&self) -> Result<Vec<u8>, LedgerError> {
        guarded("write the changes", || {
            let mut bytes = Vec::new();
            for change in self.document.get_changes(&[]) {
                bytes.extend_from_slice(change.raw_bytes());
            }
            Ok::<_, LedgerError>(bytes)
        })
    }

    /// Which ledger.
    pub const fn id(&self) -> &LedgerId {
        &self.id
    }

    /// Every line, by id.
    pub const fn lines(&self) -> &BTreeMap<EntryId, Line> {
        &self.log.lines
    }

    /// What was found in the log that no honest device writes.
    pub const fn irregular(&self) -> &BTreeSet<Irregular> {
        &self.log.irregular
    }

    /// The bytes of the entry that stands under this id; `None` when there is none.
    pub fn bytes_of(&self, entry: &EntryId) -> Option<Vec<u8>> {
        if let Some(standing) = self.log.touched.get(entry) {
            return Some(standing.bytes.clone());
        }
        let found = guarded("read an entry", || {
            self.document.get(&self.layout.entries, entry.to_string())
        });
        match found {
            Ok(Some((value, _))) => bytes_in(&value),
            Ok(None) | Err(_) => None,
        }
    }

    /// The hashes of the latest changes: two ledgers with equal heads hold the same.
    pub fn heads(&self) -> Heads {
        Heads::of(self.document.get_heads())
    }

    /// The hash of every change, in the order in which they came here.
    pub(super) fn changes(&self) -> Vec<[u8; 32]> {
        let changes = self.document.get_changes_meta(&[]);
        changes.into_iter().map(|change| change.hash.0).collect()
    }

    /// Whether every change behind these heads is here.
    pub fn knows(&self, heads: &Heads) -> bool {
        heads
            .iter()
            .all(|hash| has(&self.document, &ChangeHash(*hash)))
    }

    /// Whether the entry stood here behind these heads; `false` if a head is not known.
    pub fn behind(&self, entry: &EntryId, heads: &Heads) -> bool {
        if !self.knows(heads) {
            return false;
        }
        let heads: Vec<ChangeHash> = heads.iter().map(|hash| ChangeHash(*hash)).collect();
        guarded("look behind heads", || {
            // At a key that was touched again the map may have shown another value then,
            // or none: what counts is whether what stands now had been written.
            if let Some(standing) = self.log.touched.get(entry) {
                let since = self.document.get_changes_meta(&heads);
                return Ok(standing
                    .changes
                    .iter()
                    .any(|hash| since.iter().all(|change| change.hash != *hash)));
            }
            self.document
                .get_at(&self.layout.entries, entry.to_string(), &heads)
                .map(|found| found.is_some())
        })
        .unwrap_or(false)
    }

    /// Every entry that stood here behind these heads; none if a head is not known.
    pub fn behind_all(&self, heads: &Heads) -> BTreeSet<EntryId> {
        let lines = self.log.lines.keys();
        lines.filter(|id| self.behind(id, heads)).copied().collect()
    }

    /// The whole document, compressed: a snapshot. Changes that still wait for others are
    /// not in it; whoever sent them will send them again.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn save(&self) -> Result<Vec<u8>, LedgerError> {
        guarded("save a ledger", || {
            Ok::<_, LedgerError>(self.document.save_with_options(SaveOptions {
                deflate: true,
                retain_orphans: false,
            }))
        })
    }

    /// The first change of a ledger, as every device makes it, byte for byte.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn first_change(id: &LedgerId) -> Result<Added, LedgerError> {
        let (_, _, first) = begin(id)?;
        Ok(Added {
            hash: first.hash().0,
            change: first.raw_bytes().to_vec(),
        })
    }

    /// The first change, as every device makes it.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn genesis_bytes(&self) -> Result<Vec<u8>, LedgerError> {
        Self::first_change(&self.id).map(|first| first.change)
    }

    pub(crate) fn has(&self, hash: &ChangeHash) -> bool {
        self.document.get_change_meta_by_hash(hash).is_some()
    }

    pub(crate) const fn document(&self) -> &Automerge {
        &self.document
    }
}

/// Reads bytes as a document in which nothing is missing.
fn document_of(bytes: &[u8]) -> Result<Automerge, LedgerError> {
    let document = guarded("load a ledger", || Automerge::load(bytes))?;
    // The engine sets aside what builds on a change that is not there, and says nothing:
    // a gap would look like a shorter ledger.
    if document.get_missing_deps(&[]).is_empty() {
        Ok(document)
    } else {
        let what = "ledger: a change is missing";
        Err(FormatError::Malformed { what }.into())
    }
}

impl From<FormatError> for LedgerError {
    fn from(error: FormatError) -> Self {
        Self::Format(error)
    }
}
