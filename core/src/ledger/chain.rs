//! Chain: what each key wrote in a ledger, one after the other.
//!
//! Every entry names the last one that its key wrote here before. So the last entries of a
//! key stand for all that it had written by then, whatever way they came and whatever the
//! engine's history says, and nothing can be slipped in between afterwards.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use super::Ledger;
use crate::course::{EntryId, LedgerId};
use crate::entry::DeviceKey;
use crate::trust::Line;

/// The chains of one ledger, by key.
#[derive(Debug, Clone, Default)]
pub(super) struct Chains(BTreeMap<DeviceKey, Chain>);

/// One key's. A device that came back from a copy of itself has two ends.
#[derive(Debug, Clone, Default)]
struct Chain {
    /// Entries that no later one of this key names.
    ends: BTreeSet<EntryId>,
    /// Entries that a later one names and that are not here.
    missing: BTreeSet<EntryId>,
}

impl Chains {
    /// One more line; `here` says of an entry whether it is in the ledger.
    pub(super) fn insert(&mut self, id: EntryId, line: &Line, here: impl Fn(&EntryId) -> bool) {
        let Some(key) = line.key.filter(|_| line.signed) else {
            return;
        };
        let chain = self.0.entry(key).or_default();
        if !chain.missing.remove(&id) {
            chain.ends.insert(id);
        }
        if let Some(prev) = line.prev {
            chain.ends.remove(&prev);
            if !here(&prev) {
                chain.missing.insert(prev);
            }
        }
    }

    /// The last entries of a key: one, or none, or several after a copy wrote on.
    pub(super) fn ends(&self, key: &DeviceKey) -> impl Iterator<Item = &EntryId> {
        self.0.get(key).into_iter().flat_map(|chain| &chain.ends)
    }

    /// Entries that a key says it wrote before others, and that are not here.
    pub(super) fn missing(&self, key: &DeviceKey) -> impl Iterator<Item = &EntryId> {
        self.0.get(key).into_iter().flat_map(|chain| &chain.missing)
    }
}

/// What a key had written when these were its last entries: they, and all before them.
pub(super) fn written_by(
    lines: &BTreeMap<EntryId, Line>,
    key: &DeviceKey,
    last: &[EntryId],
) -> BTreeSet<EntryId> {
    let mut written = BTreeSet::new();
    for end in last {
        let mut at = Some(*end);
        while let Some(id) = at.take() {
            let line = lines.get(&id);
            let line = line.filter(|line| line.signed && line.key == Some(*key));
            if let Some(line) = line
                && written.insert(id)
            {
                at = line.prev;
            }
        }
    }
    written
}

/// What keys had written in some ledgers by the time they were shut out, as
/// [`crate::trust::TrustBook`] asks it: worked out once for each shutting-out, however many
/// entries are asked about.
pub struct Written<'a> {
    ledgers: Vec<&'a Ledger>,
    by: RefCell<BTreeMap<Question, BTreeSet<EntryId>>>,
}

/// In which ledger, by whom, up to which last entries.
type Question = (LedgerId, DeviceKey, Vec<EntryId>);

impl<'a> Written<'a> {
    /// For questions about these ledgers; of any other the answer is no.
    pub fn of(ledgers: Vec<&'a Ledger>) -> Self {
        Self {
            ledgers,
            by: RefCell::default(),
        }
    }

    /// Whether the key had written the entry by then; `false` while the entries that say so
    /// are not here.
    pub fn had(&self, ledger: &LedgerId, id: &EntryId, key: &DeviceKey, last: &[EntryId]) -> bool {
        let Some(here) = self.ledgers.iter().find(|one| one.id() == ledger) else {
            return false;
        };
        self.by
            .borrow_mut()
            .entry((*ledger, *key, last.to_vec()))
            .or_insert_with(|| here.written_by(key, last))
            .contains(id)
    }
}

impl std::fmt::Debug for Written<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Written(..)")
    }
}
