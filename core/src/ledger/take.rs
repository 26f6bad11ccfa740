//! Taking: changes from elsewhere, applied to a clone, so that nothing has happened until
//! the store has committed.

use std::collections::BTreeSet;

use automerge::{Automerge, AutomergeError, Change};

use super::chunk::changes_in;
use super::guard::guarded;
use super::irregular::{Irregular, entries_in};
use super::layout::has;
use super::{Ledger, LedgerError, ready};
use crate::course::EntryId;
use crate::entry::content_id;
use crate::trust::Line;

/// Changes from elsewhere, applied to a clone: nothing has happened to the ledger until
/// [`Ledger::adopt`] takes it, after the store has committed.
#[derive(Debug)]
pub struct Taken {
    next: Ledger,
    /// The changes that are new here, each with its hash, in an order that can be applied.
    pub changes: Vec<([u8; 32], Vec<u8>)>,
    /// The entries that are new here.
    pub entries: Vec<EntryId>,
    /// How long each of them is, in bytes, in the same order.
    pub(crate) lengths: Vec<usize>,
    /// Entries among them whose signature does not hold.
    pub unsigned: Vec<EntryId>,
}

impl Taken {
    /// The ledger as it will be.
    pub const fn ledger(&self) -> &Ledger {
        &self.next
    }

    /// More entries, without those that are there: two devices may have carried one over.
    fn put_all(&mut self, mut entries: Vec<(EntryId, Vec<u8>)>) {
        let mut new = BTreeSet::new();
        entries.retain(|(id, _)| !self.next.lines.contains_key(id) && new.insert(*id));
        let row: Vec<_> = entries
            .iter()
            .map(|(id, bytes)| (*id, bytes.as_slice()))
            .collect();
        let lines = Line::check_all(&self.next.id, &row);
        for ((id, bytes), line) in entries.iter().zip(lines) {
            if !line.signed {
                self.unsigned.push(*id);
            }
            self.next.put_line(*id, line);
            self.entries.push(*id);
            self.lengths.push(bytes.len());
        }
    }
}

/// A ledger that a step may look at, or take whole.
#[derive(Debug)]
pub struct Lent(Option<Ledger>);

impl Lent {
    /// This ledger.
    pub const fn new(ledger: Ledger) -> Self {
        Self(Some(ledger))
    }

    /// A look at it.
    ///
    /// # Errors
    /// [`LedgerError::Engine`] once it was taken.
    pub fn look(&self) -> Result<&Ledger, LedgerError> {
        self.0.as_ref().ok_or_else(taken_already)
    }

    /// Takes it.
    ///
    /// # Errors
    /// [`LedgerError::Engine`] once it was taken.
    pub fn take(&mut self) -> Result<Ledger, LedgerError> {
        self.0.take().ok_or_else(taken_already)
    }

    /// What is left: nothing where it was taken.
    pub fn left(self) -> Option<Ledger> {
        self.0
    }
}

fn taken_already() -> LedgerError {
    LedgerError::Engine {
        during: "look at a ledger",
        detail: "it was taken already".into(),
    }
}

impl Ledger {
    /// Applies changes from elsewhere to a clone. What hangs on a change that is not here is
    /// left out.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub fn take(&self, changes: Vec<Change>) -> Result<Taken, LedgerError> {
        let (changes, _) = ready(changes, |hash| self.has(hash));
        self.take_with(|document| document.apply_changes(changes))
    }

    /// Applies the bytes of changes or of whole saved documents, joined end to end, to a
    /// clone: all of them, or none if one is broken.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub fn take_bytes(&self, bytes: &[u8]) -> Result<Taken, LedgerError> {
        self.take(guarded("read changes", || changes_in(bytes))?)
    }

    /// Takes entries by themselves, from a device whose history does not go with ours, and
    /// wraps each in a change of our own. What is here already is passed over.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub fn take_entries(&self, sealed: &[&[u8]]) -> Result<Taken, LedgerError> {
        let mut taken = Taken {
            next: self.clone(),
            changes: Vec::new(),
            entries: Vec::new(),
            lengths: Vec::new(),
            unsigned: Vec::new(),
        };
        let mut new = BTreeSet::new();
        let row = sealed
            .iter()
            .map(|bytes| (content_id(&self.id, bytes), *bytes));
        let row: Vec<_> = row
            .filter(|(id, _)| !self.lines.contains_key(id) && new.insert(*id))
            .collect();
        for ((id, bytes), line) in row.iter().zip(Line::check_all(&self.id, &row)) {
            if !line.signed {
                taken.unsigned.push(*id);
            }
            let added = taken.next.add_line(*id, bytes, line)?;
            taken.entries.push(*id);
            taken.lengths.push(bytes.len());
            taken.changes.push((added.hash, added.change));
        }
        Ok(taken)
    }

    /// Runs a step that may bring changes into the document, on a clone, behind the guard.
    /// A change that does more than to add entries is refused with all that came with it.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub(crate) fn take_with(
        &self,
        step: impl FnOnce(&mut Automerge) -> Result<(), AutomergeError>,
    ) -> Result<Taken, LedgerError> {
        self.clone().take_whole(step)
    }

    /// The same on the ledger itself, which is gone where it fails: whoever gave it opens it
    /// again from the store. A copy of a large one costs more than a message brings.
    ///
    /// # Errors
    /// [`LedgerError`].
    pub(crate) fn take_whole(
        self,
        step: impl FnOnce(&mut Automerge) -> Result<(), AutomergeError>,
    ) -> Result<Taken, LedgerError> {
        let before = self.document.get_heads();
        let (id, mut next) = (self.id, self);
        let (document, entries) = (&mut next.document, &next.layout.entries);
        let found = guarded("take changes", || {
            step(document)?;
            let mut found = Vec::new();
            for change in document.get_changes(&before) {
                // The engine writes a change anew each time it is asked for it. One that does
                // not come out byte for byte as it came in could be stored or passed on under
                // another name only.
                let adds = if has(document, &change.hash()) {
                    entries_in(&change, &id, entries)
                } else {
                    Err(Irregular::Foreign)
                };
                found.push((change.hash().0, change.raw_bytes().to_vec(), adds));
            }
            Ok::<_, AutomergeError>(found)
        })?;
        let mut taken = Taken {
            next,
            changes: Vec::with_capacity(found.len()),
            entries: Vec::new(),
            lengths: Vec::new(),
            unsigned: Vec::new(),
        };
        let mut entries = Vec::with_capacity(found.len());
        for (hash, change, adds) in found {
            entries.extend(adds.map_err(LedgerError::Irregular)?);
            taken.changes.push((hash, change));
        }
        taken.put_all(entries);
        Ok(taken)
    }

    /// Becomes what was taken, once it is stored.
    pub fn adopt(&mut self, taken: Taken) {
        *self = taken.next;
    }
}
