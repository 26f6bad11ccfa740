//! Follow: a change that goes on from where the document stands, added without a walk through
//! the document.
//!
//! The engine applies changes by walking the map of entries from its beginning to each key, so
//! one mark from another device costs as much as there are entries before it. A change that was
//! made onto just what is here can be written instead, as its own device wrote it: the same
//! entry under the same actor gives the same bytes, at the price of a mark of our own. The hash,
//! which is over every one of them, says whether it did.

use automerge::transaction::{CommitOptions, Transactable as _};
use automerge::{Automerge, AutomergeError, Change, ChangeHash, ScalarValue};

use super::layout::Layout;
use crate::course::EntryId;

/// What came of a change that was to be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Followed {
    /// It does not go on from here, or does more: the document is as it was.
    Not,
    /// It is in the document, byte for byte.
    Whole,
    /// Something was written that has other bytes: no honest device's change, and a document to
    /// be thrown away.
    Other,
}

/// From how many entries for each change a walk through them costs more than to write the
/// changes, one by one: on two cores 0.3 µs an entry beside 0.1 ms a change.
const WALKED: usize = 300;

/// Whether it is worth to write so many changes one by one into a ledger of so many entries.
pub(super) const fn is_worth(changes: usize, entries: usize) -> bool {
    changes.saturating_mul(WALKED) <= entries.saturating_add(WALKED)
}

/// Writes a change that adds this one entry, where it goes on from here. The entry must not be
/// in the map. Runs the engine, so call it inside [`super::guarded`].
pub(super) fn follow(
    document: &mut Automerge,
    layout: &Layout,
    change: &Change,
    (entry, bytes): (&EntryId, &[u8]),
) -> Result<Followed, AutomergeError> {
    if !is_usual(change) || !goes_on(document, change) {
        return Ok(Followed::Not);
    }
    let own = document.get_actor().clone();
    document.set_actor(change.actor_id().clone());
    let written = if is_next_of_its_actor(document, change) {
        write(document, layout, (entry, bytes)).map(|hash| match hash {
            Some(hash) if hash == change.hash() => Followed::Whole,
            Some(_) | None => Followed::Other,
        })
    } else {
        Ok(Followed::Not)
    };
    document.set_actor(own);
    written
}

/// Whether it has one operation and nothing of what our devices never write.
fn is_usual(change: &Change) -> bool {
    change.len() == 1
        && change.timestamp() == 0
        && change.message().is_none()
        && change.extra_bytes().is_empty()
}

/// Whether it was made when just this was there, as far as what it builds on and the numbers of
/// its operations tell.
fn goes_on(document: &Automerge, change: &Change) -> bool {
    let heads = document.get_heads();
    let last = heads.iter().try_fold(0, |last, head| {
        let head = document.get_change_meta_by_hash(head)?;
        Some(head.max_op.max(last))
    });
    heads.iter().all(|head| change.deps().contains(head))
        && last.and_then(|last| last.checked_add(1)) == Some(change.start_op().get())
}

/// Whether it is its actor's next, and builds on nothing beside the heads but that actor's last.
fn is_next_of_its_actor(document: &Automerge, change: &Change) -> bool {
    let last = document.get_last_local_change();
    let (seq, hash) = last.map_or((0, None), |last| (last.seq(), Some(last.hash())));
    let heads = document.get_heads();
    let is_there = |dep: &ChangeHash| heads.contains(dep) || Some(*dep) == hash;
    seq.checked_add(1) == Some(change.seq()) && change.deps().iter().all(is_there)
}

fn write(
    document: &mut Automerge,
    layout: &Layout,
    (entry, bytes): (&EntryId, &[u8]),
) -> Result<Option<ChangeHash>, AutomergeError> {
    let mut transaction = document.transaction();
    transaction.put(
        &layout.entries,
        entry.to_string(),
        ScalarValue::Bytes(bytes.to_vec()),
    )?;
    let (hash, _) = transaction.commit_with(CommitOptions::default().with_time(0));
    Ok(hash)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use automerge::ReadDoc as _;
    use uuid::Uuid;

    use super::*;
    use crate::course::{CourseId, LedgerId};
    use crate::ledger::irregular::entries_in;
    use crate::ledger::sample::sealed;
    use crate::ledger::{Ledger, changes_in, ready};

    fn ledger(actor: u8) -> Ledger {
        let id = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
        Ledger::new(id, [actor; 16]).unwrap()
    }

    fn add(ledger: &mut Ledger, device: u8, second: u128) -> Change {
        let (_, bytes) = sealed(ledger.id(), device, second, "");
        let added = ledger.add(&bytes).unwrap();
        Change::try_from(added.change.as_slice()).unwrap()
    }

    /// What [`follow`] does with a change on a copy of the ledger.
    fn followed(ledger: &Ledger, change: &Change) -> (Followed, Ledger) {
        let mut copy = ledger.clone();
        let adds = entries_in(change, &copy.id, &copy.layout.entries).unwrap();
        let one = (&adds[0].0, adds[0].1.as_slice());
        let what = follow(&mut copy.document, &copy.layout, change, one).unwrap();
        (what, copy)
    }

    fn bring(to: &mut Ledger, from: &Ledger) {
        let taken = to.take_bytes(&from.plain().unwrap()).unwrap();
        to.adopt(taken);
    }

    #[test]
    fn a_mark_made_onto_what_is_here_is_written_and_every_byte_is_its_own() {
        let (mut here, mut there) = (ledger(1), ledger(2));
        // Its device's first, and then the next.
        for second in 1..4 {
            let change = add(&mut there, 2, second);
            let (what, written) = followed(&here, &change);
            assert_eq!(what, Followed::Whole);
            let mut applied = here.clone();
            applied.document.apply_changes([change.clone()]).unwrap();
            assert_eq!(written.heads(), applied.heads());
            assert_eq!(written.plain().unwrap(), applied.plain().unwrap());
            assert_eq!(written.save().unwrap(), applied.save().unwrap());
            let taken = here.take(vec![change]).unwrap();
            here.adopt(taken);
            assert_eq!(here.heads(), there.heads());
            assert_eq!(here.digest(), there.digest());
        }
        // Our own next one is ours, whoever's was written last.
        add(&mut here, 1, 9);
        let last = here.document.get_last_local_change().unwrap();
        assert_eq!((last.actor_id().to_bytes(), last.seq()), (&[1; 16][..], 1));
        bring(&mut there, &here);
        assert_eq!(here.heads(), there.heads());
    }

    #[test]
    fn what_does_not_go_on_from_here_is_not_written() {
        let (mut here, mut there) = (ledger(1), ledger(2));
        let first = add(&mut there, 2, 1);
        let second = add(&mut there, 2, 2);
        let same = |ledger: &Ledger, change: &Change| {
            let (what, after) = followed(ledger, change);
            assert_eq!(what, Followed::Not);
            assert_eq!(after.plain().unwrap(), ledger.plain().unwrap());
            assert_eq!(after.document.get_actor(), ledger.document.get_actor());
        };
        // One is missing before it.
        same(&here, &second);
        // Somebody marked here meanwhile.
        add(&mut here, 1, 3);
        same(&here, &first);
        bring(&mut here, &there);
        bring(&mut there, &here);
        // Of a device that writes what ours do not.
        let (entry, bytes) = sealed(there.id(), 2, 5, "");
        let mut copy = there.clone();
        let (document, entries) = (&mut copy.document, &copy.layout.entries);
        let mut transaction = document.transaction();
        let value = ScalarValue::Bytes(bytes);
        transaction.put(entries, entry.to_string(), value).unwrap();
        transaction.commit_with(CommitOptions::default().with_time(5));
        same(&here, &document.get_last_local_change().unwrap());
    }

    /// Fair enough, and the same every time.
    struct Dice(u64);

    impl Dice {
        fn throw(&mut self, sides: u64) -> u64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (self.0 >> 33) % sides
        }
    }

    /// Three devices mark and hear each other in every order; what is taken is held beside what
    /// the engine alone comes to.
    #[test]
    fn whatever_order_devices_mark_and_meet_in_it_is_as_the_engine_would_have_it() {
        let (mut written, mut walked) = (0, 0);
        for seed in 0..40 {
            let mut dice = Dice(seed);
            let mut sides = [ledger(3), ledger(1), ledger(2)];
            for second in 0..40 {
                let at = usize::try_from(dice.throw(3)).unwrap();
                if dice.throw(2) == 0 {
                    add(&mut sides[at], u8::try_from(at).unwrap() + 1, second);
                    continue;
                }
                let from = sides[(at + 1) % 3].plain().unwrap();
                let (new, _) = ready(changes_in(&from).unwrap(), |hash| sides[at].has(hash));
                let mut new = new;
                new.retain(|one| !sides[at].has(&one.hash()));
                let mut engine = sides[at].clone();
                engine.document.apply_changes(new.clone()).unwrap();
                for change in new {
                    match followed(&sides[at], &change).0 {
                        Followed::Whole => written += 1,
                        Followed::Not => walked += 1,
                        Followed::Other => panic!("seed {seed}: other bytes"),
                    }
                    let taken = sides[at].take(vec![change]).unwrap();
                    sides[at].adopt(taken);
                }
                assert_eq!(sides[at].heads(), engine.heads(), "seed {seed}");
                let says = [&sides[at], &engine].map(|one| (changes(one), entries(one)));
                assert_eq!(says[0], says[1], "seed {seed}");
            }
        }
        assert!(written > 100 && walked > 100, "{written}, {walked}");
    }

    /// The bytes of every change, in no order.
    fn changes(ledger: &Ledger) -> BTreeSet<Vec<u8>> {
        let all = ledger.document.get_changes(&[]);
        all.iter().map(|one| one.raw_bytes().to_vec()).collect()
    }

    /// What the map says, key by key.
    fn entries(ledger: &Ledger) -> Vec<(String, Vec<u8>)> {
        let items = ledger.document.map_range(&ledger.layout.entries, ..);
        let bytes = |item: automerge::iter::MapRangeItem<'_>| {
            let value = item.value.into_value().into_bytes().unwrap();
            (item.key.to_string(), value)
        };
        items.map(bytes).collect()
    }

    #[test]
    fn few_changes_are_written_one_by_one_and_many_are_not() {
        assert!(is_worth(1, 0) && is_worth(1, 10_000) && is_worth(34, 10_000));
        assert!(!is_worth(2, 0) && !is_worth(500, 10_000));
    }
}
