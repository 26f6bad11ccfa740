//! The ledger itself.

use std::collections::{BTreeMap, BTreeSet};

use automerge::transaction::{CommitOptions, Transactable as _};
use automerge::{ActorId, Automerge, ChangeHash, ReadDoc as _, SaveOptions, ScalarValue};

use super::chain::{Chains, written_by};
use super::guard::guarded;
use super::irregular::{Irregular, entries_in};
use super::layout::{Layout, begin, bytes_in, entry_key, has, layout_of, ledger_of};
use super::{Heads, LedgerError};
use crate::course::{EntryId, LedgerId};
use crate::entry::{DeviceKey, FormatError, content_id};
use crate::trust::Line;

/// One ledger: an Automerge document and the lines in it.
///
/// The truth is the document; the lines are what it says, kept beside it. Each line stands
/// under the digest of its bytes, and under no key stands anything else: a change that does
/// more than to add such lines is never taken.
#[derive(Debug, Clone)]
pub struct Ledger {
    pub(super) id: LedgerId,
    pub(super) document: Automerge,
    pub(super) layout: Layout,
    pub(super) lines: BTreeMap<EntryId, Line>,
    pub(super) chains: Chains,
    pub(super) irregular: BTreeSet<Irregular>,
}

/// So many entries are read together: enough for a table of whoever wrote them, and their
/// bytes are held twice no longer.
const TOGETHER: usize = 1_024;

/// What one added entry changed: the bytes to store, and their name.
#[derive(Debug, Clone)]
pub struct Added {
    /// The entry's id, from its bytes.
    pub entry: EntryId,
    /// The change, to be stored before anyone is told. Not compressed: a snapshot is, and
    /// a tap is made slower by it, and opening slower still.
    pub change: Vec<u8>,
    /// The change's hash, as heads name it.
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
            lines: BTreeMap::new(),
            chains: Chains::default(),
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
        let document = document_of(bytes)?;
        Self::open(id, actor, document, |entries| {
            let lines = entries.iter().map(|(key, bytes)| {
                let mut line = Line::checked_before(*key, bytes);
                line.signed &= !unsigned.contains(key);
                line
            });
            lines.collect()
        })
    }

    /// Reads bytes from elsewhere as a ledger, believing nothing: every change and every
    /// signature is looked at.
    ///
    /// # Errors
    /// [`LedgerError`] for bytes that are no ledger, [`LedgerError::Irregular`] for one in
    /// whose history somebody did more than to add entries.
    pub fn load_foreign(actor: [u8; 16], bytes: &[u8]) -> Result<Self, LedgerError> {
        let document = document_of(bytes)?;
        let id = ledger_of(&document)?;
        let ledger = Self::open(id, actor, document, |entries| Line::check_all(&id, entries))?;
        match ledger.first_irregular()? {
            Some(what) => Err(LedgerError::Irregular(what)),
            None => Ok(ledger),
        }
    }

    fn open(
        id: LedgerId,
        actor: [u8; 16],
        mut document: Automerge,
        read: impl FnMut(&[(EntryId, &[u8])]) -> Vec<Line>,
    ) -> Result<Self, LedgerError> {
        let layout = layout_of(&document, &id)?;
        document.set_actor(ActorId::from(actor.to_vec()));
        let mut ledger = Self {
            id,
            document,
            layout,
            lines: BTreeMap::new(),
            chains: Chains::default(),
            irregular: BTreeSet::new(),
        };
        ledger.fill(read)?;
        Ok(ledger)
    }

    /// Checks every change and every signature again, from the bytes.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn recheck(&mut self) -> Result<(), LedgerError> {
        let id = self.id;
        self.fill(|entries| Line::check_all(&id, entries))?;
        self.irregular.extend(self.first_irregular()?);
        Ok(())
    }

    /// The first thing in the history that no honest device writes.
    fn first_irregular(&self) -> Result<Option<Irregular>, LedgerError> {
        guarded("read the change log", || {
            let found = self
                .document
                .get_changes(&[])
                .into_iter()
                .find_map(|change| {
                    if change.hash() == self.layout.first {
                        return None;
                    }
                    entries_in(&change, &self.id, &self.layout.entries).err()
                });
            Ok::<_, LedgerError>(found)
        })
    }

    /// Fills the lines from the map. What does not stand under the digest of its own bytes
    /// is no entry; a disk that was altered is found out here.
    fn fill(
        &mut self,
        mut read: impl FnMut(&[(EntryId, &[u8])]) -> Vec<Line>,
    ) -> Result<(), LedgerError> {
        let (id, document, entries) = (&self.id, &self.document, &self.layout.entries);
        let (found, irregular) = guarded("read the entries", || {
            let (mut found, mut irregular) = (Vec::new(), BTreeSet::new());
            let mut some: Vec<(EntryId, Vec<u8>)> = Vec::new();
            let mut read_some = |some: &mut Vec<(EntryId, Vec<u8>)>| {
                let row: Vec<_> = some.iter().map(|(id, one)| (*id, one.as_slice())).collect();
                let lines = read(&row);
                found.extend(some.drain(..).map(|(id, _)| id).zip(lines));
            };
            for item in document.map_range(entries, ..) {
                let Some(key) = entry_key(&item.key) else {
                    irregular.insert(Irregular::Foreign);
                    continue;
                };
                match item.value.into_value().into_bytes() {
                    Ok(bytes) if content_id(id, &bytes) == key => some.push((key, bytes)),
                    Ok(_) | Err(_) => {
                        irregular.insert(Irregular::Overwritten(key));
                    }
                }
                if some.len() >= TOGETHER {
                    read_some(&mut some);
                }
            }
            read_some(&mut some);
            Ok::<_, LedgerError>((found, irregular))
        })?;
        self.lines = BTreeMap::new();
        self.chains = Chains::default();
        self.irregular = irregular;
        for (key, line) in found {
            self.put_line(key, line);
        }
        Ok(())
    }

    /// One more line.
    pub(super) fn put_line(&mut self, id: EntryId, line: Line) {
        let lines = &self.lines;
        self.chains
            .insert(id, &line, |prev| lines.contains_key(prev));
        self.lines.insert(id, line);
    }

    /// Adds an entry of our own, sealed by this device. The document has it at once, the
    /// store not yet: when storing fails the ledger must be opened again from the store.
    ///
    /// # Errors
    /// [`LedgerError::Taken`] if it is there already, [`LedgerError::Engine`].
    pub fn add(&mut self, sealed: &[u8]) -> Result<Added, LedgerError> {
        let entry = content_id(&self.id, sealed);
        // Signed by this device a moment ago: checking it would cost more than making it.
        self.add_line(entry, sealed, Line::checked_before(entry, sealed))
    }

    pub(super) fn add_line(
        &mut self,
        entry: EntryId,
        sealed: &[u8],
        line: Line,
    ) -> Result<Added, LedgerError> {
        if self.lines.contains_key(&entry) {
            return Err(LedgerError::Taken { entry });
        }
        let (document, entries) = (&mut self.document, &self.layout.entries);
        let added = guarded("add an entry", || {
            let mut transaction = document.transaction();
            transaction.put(
                entries,
                entry.to_string(),
                ScalarValue::Bytes(sealed.to_vec()),
            )?;
            transaction.commit_with(CommitOptions::default().with_time(0));
            let change = document
                .get_last_local_change()
                .ok_or(automerge::AutomergeError::Fail)?;
            let hash = change.hash().0;
            Ok::<_, automerge::AutomergeError>(Added {
                entry,
                change: change.raw_bytes().to_vec(),
                hash,
            })
        })?;
        self.put_line(entry, line);
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
        &self.lines
    }

    /// The entries in the order of the clocks that wrote them, and in a fixed one where those
    /// agree: the order of every list, and nothing else hangs on it.
    pub fn in_order(&self) -> Vec<EntryId> {
        let mut order: Vec<(&EntryId, &Line)> = self.lines.iter().collect();
        order.sort_by_cached_key(|(id, line)| (line.place(), **id));
        order.into_iter().map(|(id, _)| *id).collect()
    }

    /// SHA-256 over all ids in order: two ledgers with the same one hold the same entries,
    /// whatever their histories.
    pub fn digest(&self) -> [u8; 32] {
        use sha2::{Digest as _, Sha256};
        let mut digest = Sha256::new();
        self.lines.keys().for_each(|id| digest.update(id.bytes()));
        digest.finalize().into()
    }

    /// What was found on this device's own disk that no device writes.
    pub const fn irregular(&self) -> &BTreeSet<Irregular> {
        &self.irregular
    }

    /// The last entries that a key wrote here: what a shutting-out names, and what the next
    /// entry of that key is written after.
    pub fn last_of(&self, key: &DeviceKey) -> Vec<EntryId> {
        self.chains.ends(key).copied().collect()
    }

    /// Entries that a key says it wrote before others and that are not here.
    pub fn missing_of(&self, key: &DeviceKey) -> Vec<EntryId> {
        self.chains.missing(key).copied().collect()
    }

    /// What a key had written here when these were its last entries.
    pub fn written_by(&self, key: &DeviceKey, last: &[EntryId]) -> BTreeSet<EntryId> {
        written_by(&self.lines, key, last)
    }

    /// The bytes of the entry that stands under this id; `None` when there is none.
    pub fn bytes_of(&self, entry: &EntryId) -> Option<Vec<u8>> {
        if !self.lines.contains_key(entry) {
            return None;
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

    /// The entries that stood here behind these heads; `None` if a head is not known.
    pub fn entries_at(&self, heads: &Heads) -> Option<BTreeSet<EntryId>> {
        if !self.knows(heads) {
            return None;
        }
        let heads: Vec<ChangeHash> = heads.iter().map(|hash| ChangeHash(*hash)).collect();
        guarded("look behind heads", || {
            let keys = self.document.keys_at(&self.layout.entries, &heads);
            let ids = keys.filter_map(|key| entry_key(&key));
            Ok::<_, LedgerError>(ids.filter(|id| self.lines.contains_key(id)).collect())
        })
        .ok()
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

    /// The first change of a ledger with its hash, as every device makes it, byte for byte.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn first_change(id: &LedgerId) -> Result<([u8; 32], Vec<u8>), LedgerError> {
        let (_, _, first) = begin(id)?;
        Ok((first.hash().0, first.raw_bytes().to_vec()))
    }

    /// The first change, as every device makes it.
    ///
    /// # Errors
    /// [`LedgerError::Engine`].
    pub fn genesis_bytes(&self) -> Result<Vec<u8>, LedgerError> {
        Self::first_change(&self.id).map(|(_, change)| change)
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
