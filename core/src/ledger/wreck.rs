//! Wreck: whole pieces from a hurt file put together into ledgers again.
//!
//! A piece whose forerunners are all there goes in as it was. An entry whose forerunners are lost
//! goes in by itself, in a change of this device's: an entry is signed for its ledger, so it
//! needs nothing around it to be believed, and one whose signature does not hold is left out.
//! So does an entry that lies whole in a piece that is broken elsewhere.

use std::collections::{BTreeMap, BTreeSet};

use automerge::Change;
use automerge::legacy::OpType;
use automerge::{ChangeHash, ScalarValue};

use super::chunk::changes_in;
use super::layout::entry_key;
use super::{Ledger, LedgerError, guarded};
use crate::course::{EntryId, LedgerId};
use crate::entry::{ENVELOPE_VERSION, content_id, length_as_read};
use crate::trust::Line;

/// A ledger as far as it could be put together.
#[derive(Debug, Clone)]
pub struct Salvaged {
    /// The ledger, every signature in it checked.
    pub ledger: Ledger,
    /// Entries whose change was found with all its forerunners.
    pub whole: usize,
    /// Entries that were found alone.
    pub alone: usize,
}

/// What was made of all the pieces.
#[derive(Debug, Default)]
pub struct Gathered {
    /// The ledgers, by id.
    pub ledgers: BTreeMap<LedgerId, Salvaged>,
    /// Pieces that were broken, or no pieces at all.
    pub broken: usize,
    /// Entries that no known ledger's signature fits.
    pub strange: usize,
}

/// Puts pieces together into these ledgers and whatever others begin among them.
///
/// # Errors
/// [`LedgerError::Engine`], for a ledger that cannot be begun; never for a broken piece.
pub fn gather(
    names: &BTreeSet<LedgerId>,
    pieces: impl IntoIterator<Item = Vec<u8>>,
    actor: &mut dyn FnMut() -> Option<[u8; 16]>,
) -> Result<Gathered, LedgerError> {
    let mut gathered = Gathered::default();
    let mut changes: BTreeMap<ChangeHash, Change> = BTreeMap::new();
    let mut ids = names.clone();
    let mut hurt = Vec::new();
    for piece in pieces {
        let read = guarded("read a piece", || changes_in(&piece));
        match read {
            Ok(found) => changes.extend(found.into_iter().map(|one| (one.hash(), one))),
            Err(_) => {
                gathered.broken += 1;
                hurt.push(piece);
            }
        }
    }
    for first in changes.values().filter(|change| change.deps().is_empty()) {
        if let Ok(ledger) = Ledger::load_foreign([0; 16], first.raw_bytes()) {
            ids.insert(*ledger.id());
        }
    }
    for id in &ids {
        let Some(actor) = actor() else { continue };
        let ledger = Ledger::new(*id, actor)?;
        let salvaged = fill(ledger, &changes);
        gathered.ledgers.insert(*id, salvaged);
    }
    gathered.strange = lone(&mut gathered.ledgers, &changes);
    for sealed in hurt.iter().flat_map(|piece| sealed_in(piece)) {
        add_alone(&mut gathered.ledgers, sealed);
    }
    gathered
        .ledgers
        .retain(|_, found| !found.ledger.lines().is_empty());
    Ok(gathered)
}

/// Takes into a ledger every change that builds on it.
fn fill(ledger: Ledger, changes: &BTreeMap<ChangeHash, Change>) -> Salvaged {
    let mut here: BTreeSet<ChangeHash> = ledger
        .heads()
        .iter()
        .map(|hash| ChangeHash(*hash))
        .collect();
    let mut children: BTreeMap<ChangeHash, Vec<&Change>> = BTreeMap::new();
    for change in changes.values() {
        for dep in change.deps() {
            children.entry(*dep).or_default().push(change);
        }
    }
    let mut next: Vec<ChangeHash> = here.iter().copied().collect();
    let mut bytes = Vec::new();
    while let Some(hash) = next.pop() {
        for change in children.get(&hash).into_iter().flatten() {
            let ready = change.deps().iter().all(|dep| here.contains(dep));
            if ready && here.insert(change.hash()) {
                bytes.extend_from_slice(change.raw_bytes());
                next.push(change.hash());
            }
        }
    }
    let ledger = match ledger.take_bytes(&bytes) {
        Ok(taken) => {
            let mut ledger = ledger;
            ledger.adopt(taken);
            ledger
        }
        // Whole changes that still do not go together: their entries are taken one by one.
        Err(_) => ledger,
    };
    let signed = ledger.lines().values().filter(|line| line.signed);
    Salvaged {
        whole: signed.count(),
        ledger,
        alone: 0,
    }
}

/// Adds to each ledger the entries that belong to it and whose forerunners are lost; answers how
/// many belong nowhere.
fn lone(
    ledgers: &mut BTreeMap<LedgerId, Salvaged>,
    changes: &BTreeMap<ChangeHash, Change>,
) -> usize {
    let mut strange = 0;
    for change in changes.values() {
        let known = |found: &Salvaged| found.ledger.has(&change.hash());
        if ledgers.values().any(known) {
            continue;
        }
        for (id, bytes) in entries_of(change) {
            let fits = |(ledger, _): &(&LedgerId, &mut Salvaged)| {
                content_id(ledger, &bytes) == id && Line::check(ledger, id, &bytes).signed
            };
            match ledgers.iter_mut().find(fits) {
                Some((_, found)) => {
                    if !found.ledger.lines().contains_key(&id) && found.ledger.add(&bytes).is_ok() {
                        found.alone += 1;
                    }
                }
                None => strange += 1,
            }
        }
    }
    strange
}

/// Everything that a change writes under the id of an entry.
fn entries_of(change: &Change) -> Vec<(EntryId, Vec<u8>)> {
    let read = guarded("read a change", || {
        let operations = change.decode().operations.into_iter();
        let entries = operations.filter_map(|op| match (op.action, &op.key) {
            (OpType::Put(ScalarValue::Bytes(bytes)), automerge::legacy::Key::Map(key)) => {
                Some((entry_key(key)?, bytes))
            }
            _ => None,
        });
        Ok::<_, LedgerError>(entries.collect())
    });
    read.unwrap_or_default()
}

/// Whatever has the shape of a sealed entry in bytes that are hurt elsewhere: whether it is one,
/// its signature says.
fn sealed_in(bytes: &[u8]) -> Vec<&[u8]> {
    let starts = bytes.iter().enumerate();
    starts
        .filter(|(_, byte)| **byte == ENVELOPE_VERSION)
        .filter_map(|(at, _)| {
            let rest = bytes.get(at..)?;
            rest.get(..length_as_read(rest)?)
        })
        .collect()
}

/// Adds an entry to the ledger that it was signed for, if that is among these.
fn add_alone(ledgers: &mut BTreeMap<LedgerId, Salvaged>, sealed: &[u8]) {
    let here = |(ledger, found): (&LedgerId, &Salvaged)| {
        let id = content_id(ledger, sealed);
        found.ledger.lines().contains_key(&id)
    };
    if ledgers.iter().any(here) {
        return;
    }
    let fits = |(ledger, _): &(&LedgerId, &mut Salvaged)| {
        Line::check(ledger, content_id(ledger, sealed), sealed).signed
    };
    if let Some((_, found)) = ledgers.iter_mut().find(fits)
        && found.ledger.add(sealed).is_ok()
    {
        found.alone += 1;
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::course::CourseId;
    use crate::trust::SecretKey;

    #[test]
    fn an_entry_that_lies_whole_in_a_broken_piece_comes_back_and_a_changed_one_does_not() {
        let id = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
        let other = LedgerId::Course(CourseId::new(Uuid::from_u128(8)));
        let key = SecretKey::from_seed(&[5; 32]);
        let mut ledger = Ledger::new(id, [1; 16]).unwrap();
        let first = ledger
            .add(&key.seal(&id, None, b"{\"a\":{\"b\":\"}\"}}").1)
            .unwrap();
        let (entry, sealed) = key.seal(&id, None, b"{\"c\":[1,2,{}]}");
        let second = ledger.add(&sealed).unwrap();
        let gathered = |pieces: Vec<Vec<u8>>| {
            let names = BTreeSet::from([id, other]);
            let mut number = 1;
            let mut actor = || {
                number += 1;
                Some([number; 16])
            };
            gather(&names, pieces, &mut actor).unwrap().ledgers
        };
        let at = |change: &[u8], part: &[u8]| {
            let found = change.windows(part.len()).position(|one| one == part);
            found.unwrap()
        };
        // Before the entry: the change is not what its hash says, the entry is.
        let mut hurt = second.change.clone();
        let begins = at(&hurt, &sealed);
        hurt[begins - 3] ^= 0x10;
        let found = gathered(vec![first.change.clone(), hurt]);
        assert_eq!(found[&id].ledger.lines().len(), 2);
        assert!(found[&id].ledger.lines()[&entry].signed);
        assert_eq!(found[&id].alone, 1);
        assert!(!found.contains_key(&other));
        // Within it, wherever.
        for place in 0..sealed.len() {
            let mut hurt = second.change.clone();
            hurt[begins + place] ^= 0x10;
            let found = gathered(vec![first.change.clone(), hurt]);
            assert_eq!(found[&id].ledger.lines().len(), 1, "at {place}");
        }
    }
}
