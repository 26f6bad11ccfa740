//! Taking: changes from elsewhere, applied to a clone, so that nothing has happened until
//! the store has committed.

use automerge::{Automerge, AutomergeError, Change};

use super::chunk::changes_in;
use super::guard::guarded;
use super::irregular::{Deed, deed, read_log};
use super::{Ledger, LedgerError};
use crate::course::EntryId;
use crate::trust::Line;

/// Changes from elsewhere, applied to a clone: nothing has happened to the ledger until
/// [`Ledger::adopt`] takes it, after the store has committed.
#[derive(Debug)]
pub struct Taken {
    next: Ledger,
    /// The changes that are new here, each with its hash, in an order that can be applied.
    pub changes: Vec<([u8; 32], Vec<u8>)>,
    /// The entries that are new here, or that stand differently: a value that came first
    /// and was not valid gives way to one that is.
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
    /// Applies changes from elsewhere to a clone.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub fn take(&self, changes: Vec<Change>) -> Result<Taken, LedgerError> {
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

    /// Runs a step that may bring changes into the document, on a clone, behind the guard.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub(crate) fn take_with(
        &self,
        step: impl FnOnce(&mut Automerge) -> Result<(), AutomergeError>,
    ) -> Result<Taken, LedgerError> {
        let before = self.document.get_heads();
        let mut next = self.clone();
        let (document, entries) = (&mut next.document, &next.layout.entries);
        let (changes, deeds) = guarded("take changes", || {
            step(document)?;
            let mut changes = Vec::new();
            let mut deeds = Vec::new();
            for change in document.get_changes(&before) {
                deeds.push(deed(&change, entries));
                changes.push((change.hash().0, change.raw_bytes().to_vec()));
            }
            Ok::<_, AutomergeError>((changes, deeds))
        })?;
        let mut taken = Taken {
            next,
            changes,
            entries: Vec::new(),
            unsigned: Vec::new(),
            reread: false,
        };
        for deed in deeds {
            match deed {
                Deed::Adds(id, bytes) if !taken.next.has_key(&id) => {
                    let line = Line::check(&self.id, id, &bytes);
                    if !line.signed {
                        taken.unsigned.push(id);
                    }
                    taken.next.log.lines.insert(id, line);
                    taken.entries.push(id);
                }
                Deed::Adds(..) | Deed::Other => taken.reread = true,
            }
        }
        if taken.reread {
            self.reread(&mut taken)?;
        }
        Ok(taken)
    }

    /// Reads the whole log after something irregular, or several entries in one change.
    fn reread(&self, taken: &mut Taken) -> Result<(), LedgerError> {
        let next = &mut taken.next;
        let before = &self.log.lines;
        let log = read_log(
            &self.id,
            &next.document,
            &next.layout,
            |key, bytes| match before.get(&key) {
                // Written once in the whole log, so these are the bytes it was read from.
                Some(line) => line.clone(),
                None => Line::check(&self.id, key, bytes),
            },
        )?;
        let differs = |(id, line): &(&EntryId, &Line)| before.get(*id) != Some(*line);
        taken.entries = log
            .lines
            .iter()
            .filter(differs)
            .map(|(id, _)| *id)
            .collect();
        taken.unsigned = log
            .lines
            .iter()
            .filter(differs)
            .filter(|(_, line)| !line.signed)
            .map(|(id, _)| *id)
            .collect();
        next.log = log;
        Ok(())
    }

    /// Whether anything was ever written under this id.
    pub(super) fn has_key(&self, id: &EntryId) -> bool {
        self.log.lines.contains_key(id) || self.log.misused.contains(id)
    }

    /// Becomes what was taken, once it is stored.
    pub fn adopt(&mut self, taken: Taken) {
        *self = taken.next;
    }
}
