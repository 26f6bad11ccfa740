//! A device whose program was changed: it writes what ours never would.

use automerge::transaction::{CommitOptions, Transactable as _, Transaction};
use automerge::{ActorId, Automerge, Change, ObjId, ROOT, ReadDoc as _, ScalarValue};
use tallywater_core::course::EntryId;
use tallywater_core::ledger::Ledger;

/// A copy of a ledger that anything can be written to.
pub(crate) struct Hostile {
    pub(crate) document: Automerge,
    pub(crate) entries: ObjId,
}

impl Hostile {
    /// A copy of this ledger, under a writer of its own.
    pub(crate) fn copy(ledger: &Ledger, actor: u8) -> Self {
        let mut document = Automerge::load(&ledger.save().unwrap()).unwrap();
        document.set_actor(ActorId::from(vec![actor; 16]));
        let (_, entries) = document.get(ROOT, "entries").unwrap().unwrap();
        Self { document, entries }
    }

    /// Writes one change and returns its bytes.
    pub(crate) fn write(&mut self, what: impl FnOnce(&mut Transaction<'_>, &ObjId)) -> Vec<u8> {
        let before = self.document.get_heads();
        let mut transaction = self.document.transaction();
        what(&mut transaction, &self.entries);
        let options = CommitOptions::default().with_time(0);
        if transaction.pending_ops() == 0 {
            transaction.rollback();
            self.document.empty_commit(options);
        } else {
            transaction.commit_with(options);
        }
        let mut changes = self.document.get_changes(&before);
        assert_eq!(changes.len(), 1);
        changes[0].bytes().into_owned()
    }

    /// Puts bytes under an entry's key, whatever is there.
    pub(crate) fn put(&mut self, id: EntryId, bytes: &[u8]) -> Vec<u8> {
        self.write(|change, entries| put(change, entries, &id.to_string(), bytes))
    }

    /// Deletes an entry's key.
    pub(crate) fn delete(&mut self, id: EntryId) -> Vec<u8> {
        self.write(|change, entries| change.delete(entries, id.to_string()).unwrap())
    }

    /// Takes changes from elsewhere, as they are.
    pub(crate) fn take(&mut self, bytes: &[u8]) {
        let change = Change::from_bytes(bytes.to_vec()).unwrap();
        self.document.apply_changes([change]).unwrap();
    }
}

pub(crate) fn put(change: &mut Transaction<'_>, entries: &ObjId, key: &str, bytes: &[u8]) {
    change
        .put(entries, key, ScalarValue::Bytes(bytes.to_vec()))
        .unwrap();
}
