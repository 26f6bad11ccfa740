//! The ledger among peers that write what ours never would: the first valid value stands,
//! every device sees the same lines whatever came first, and nothing that is written hides
//! an entry.

use std::collections::{BTreeMap, BTreeSet};

use automerge::transaction::Transactable as _;
use automerge::{ObjType, ROOT};
use proptest::prelude::*;
use tallywater_core::course::EntryId;
use tallywater_core::entry::FormatError;
use tallywater_core::ledger::{Irregular, Ledger, LedgerError};

use crate::support::entries::{add, course, entry_id, ledger, sealed};
use crate::support::hostile::{Hostile, put};

fn take(ledger: &mut Ledger, bytes: &[u8]) {
    let taken = ledger.take_bytes(bytes).unwrap();
    ledger.adopt(taken);
}

fn reloaded(ledger: &Ledger) -> Ledger {
    let unsigned = ledger
        .lines()
        .iter()
        .filter(|(_, line)| !line.signed)
        .map(|(id, _)| *id)
        .collect();
    let bytes = ledger.save().unwrap();
    Ledger::load(*ledger.id(), [0x77; 16], &bytes, &unsigned).unwrap()
}

/// Everything of a ledger that a person could come to see.
#[derive(Debug, PartialEq)]
struct Seen {
    lines: BTreeMap<EntryId, tallywater_core::trust::Line>,
    bytes: BTreeMap<EntryId, Option<Vec<u8>>>,
    irregular: BTreeSet<Irregular>,
    now: BTreeSet<EntryId>,
}

fn seen(ledger: &Ledger) -> Seen {
    let heads = ledger.heads();
    let ids = || ledger.lines().keys().copied();
    Seen {
        lines: ledger.lines().clone(),
        bytes: ids().map(|id| (id, ledger.bytes_of(&id))).collect(),
        irregular: ledger.irregular().clone(),
        now: ids().filter(|id| ledger.behind(id, &heads)).collect(),
    }
}

/// The same whether it came bit by bit, is read from a snapshot, or believed by nobody.
fn assert_same_after_reloading(ledger: &Ledger) {
    let ours = seen(ledger);
    assert_eq!(ours.now.len(), ours.lines.len(), "not all stand now");
    assert_eq!(seen(&reloaded(ledger)), ours);
    let foreign = Ledger::load_foreign([0x78; 16], &ledger.save().unwrap()).unwrap();
    assert_eq!(foreign.id(), ledger.id());
    assert_eq!(seen(&foreign), ours);
}

/// A ledger with five marks and a copy of it in the wrong hands.
fn ours_and_theirs() -> (Ledger, Hostile) {
    let mut ours = ledger(course(1), 1);
    for number in 0..5 {
        add(&mut ours, 1, number);
    }
    let theirs = Hostile::copy(&ours, 0xbb);
    (ours, theirs)
}

#[test]
fn an_overwritten_entry_stands_and_is_reported() {
    let (mut ours, mut theirs) = ours_and_theirs();
    let before = seen(&ours);
    // Even with bytes that another device has properly signed under this id.
    let (id, _) = sealed(&course(1), 1, 3);
    let other = sealed_under(id, 2);
    let change = theirs.put(id, &other);
    take(&mut ours, &change);
    assert_eq!(ours.lines(), &before.lines);
    assert_eq!(ours.bytes_of(&id), before.bytes[&id]);
    assert_eq!(
        ours.irregular(),
        &BTreeSet::from([Irregular::Overwritten(id)])
    );
    assert_same_after_reloading(&ours);
}

/// Another payload, signed by a device under this very id.
fn sealed_under(id: EntryId, device: u8) -> Vec<u8> {
    use crate::support::entries::{attempt, key};
    use tallywater_core::entry::{Entry, write};
    let entry = Entry { id, ..attempt(900) };
    let payload = write(&entry).unwrap();
    key(device).seal(&course(1), &id, &payload)
}

#[test]
fn a_deleted_entry_stands_and_is_reported() {
    let (mut ours, mut theirs) = ours_and_theirs();
    let before = seen(&ours);
    let heads = ours.heads();
    let id = entry_id(2);
    let change = theirs.delete(id);
    take(&mut ours, &change);
    assert_eq!(ours.lines(), &before.lines);
    assert_eq!(ours.bytes_of(&id), before.bytes[&id]);
    assert!(ours.behind(&id, &heads));
    assert_eq!(ours.irregular(), &BTreeSet::from([Irregular::Deleted(id)]));
    assert_same_after_reloading(&ours);
}

#[test]
fn nothing_written_at_the_root_hides_an_entry() {
    let (mut ours, mut theirs) = ours_and_theirs();
    let before = seen(&ours).lines;
    let change = theirs.write(|change, _| {
        change.put(ROOT, "format", 99_u64).unwrap();
        change.put(ROOT, "ledger", course(2).to_string()).unwrap();
        change.put_object(ROOT, "entries", ObjType::Map).unwrap();
    });
    take(&mut ours, &change);
    assert_eq!(ours.lines(), &before);
    assert_eq!(ours.irregular(), &BTreeSet::from([Irregular::Foreign]));
    assert_same_after_reloading(&ours);
    // And marks go on, here and on a device that meets all this for the first time.
    add(&mut ours, 1, 100);
    assert_same_after_reloading(&ours);
    let mut fresh = ledger(course(1), 5);
    take(&mut fresh, &ours.save().unwrap());
    assert_eq!(seen(&fresh), seen(&ours));
    assert_eq!(fresh.lines().len(), before.len() + 1);
}

#[test]
fn a_root_of_another_document_brings_nothing_along() {
    let (mut ours, _) = ours_and_theirs();
    let before = seen(&ours).lines;
    let mut apart = automerge::Automerge::new();
    let mut change = apart.transaction();
    change.put(ROOT, "entries", "gone").unwrap();
    change.commit();
    let bytes = apart.get_changes(&[])[0].raw_bytes().to_vec();
    take(&mut ours, &bytes);
    assert_eq!(ours.lines(), &before);
    assert_eq!(ours.irregular(), &BTreeSet::from([Irregular::Foreign]));
    assert_same_after_reloading(&ours);
}

#[test]
fn a_key_written_in_another_way_is_no_second_entry() {
    let (mut ours, mut theirs) = ours_and_theirs();
    let before = seen(&ours).lines;
    let (id, bytes) = sealed(&course(1), 2, 50);
    for key in [
        id.to_string().to_uppercase(),
        format!("{{{id}}}"),
        id.to_string().replace('-', ""),
    ] {
        let change = theirs.write(|change, entries| put(change, entries, &key, &bytes));
        take(&mut ours, &change);
    }
    assert_eq!(ours.lines(), &before);
    assert_same_after_reloading(&ours);
    let change = theirs.put(id, &bytes);
    take(&mut ours, &change);
    assert_eq!(ours.lines().len(), before.len() + 1);
    assert_eq!(ours.bytes_of(&id), Some(bytes));
    assert_same_after_reloading(&ours);
}

#[test]
fn a_valid_value_takes_the_place_of_one_that_came_first_and_was_not() {
    let (mut ours, mut theirs) = ours_and_theirs();
    let (id, good) = sealed(&course(1), 2, 60);
    let mut bad = good.clone();
    *bad.last_mut().unwrap() ^= 1;
    let planted = theirs.put(id, &bad);
    let taken = ours.take_bytes(&planted).unwrap();
    assert_eq!((&taken.entries, &taken.unsigned), (&vec![id], &vec![id]));
    ours.adopt(taken);
    assert!(!ours.lines()[&id].signed);
    let planted_heads = ours.heads();
    let written = theirs.put(id, &good);
    let taken = ours.take_bytes(&written).unwrap();
    assert_eq!((&taken.entries, &taken.unsigned), (&vec![id], &vec![]));
    ours.adopt(taken);
    assert!(ours.lines()[&id].signed);
    assert_eq!(ours.bytes_of(&id), Some(good));
    assert_eq!(
        ours.irregular(),
        &BTreeSet::from([Irregular::Overwritten(id)])
    );
    // Planting bytes early does not make what follows early: a revoked device could else
    // write under a date of its own choosing.
    assert!(!ours.behind(&id, &planted_heads));
    assert!(ours.behind(&id, &ours.heads()));
    // The store still lists it as unsigned; that must not matter.
    let unsigned = BTreeSet::from([id]);
    let bytes = ours.save().unwrap();
    let again = Ledger::load(course(1), [5; 16], &bytes, &unsigned).unwrap();
    assert!(again.lines()[&id].signed);
    assert_same_after_reloading(&ours);
}

#[test]
fn the_same_bytes_written_twice_are_one_entry_and_nothing_irregular() {
    let (ours, _) = ours_and_theirs();
    let (id, bytes) = sealed(&course(1), 2, 70);
    let changes: Vec<Vec<u8>> = (0..2)
        .map(|n| Hostile::copy(&ours, 0xd0 + n).put(id, &bytes))
        .collect();
    for order in [[0, 1], [1, 0]] {
        let mut ours = reloaded(&ours);
        for at in order {
            take(&mut ours, &changes[at]);
        }
        assert_eq!(ours.bytes_of(&id).as_ref(), Some(&bytes));
        assert_eq!(ours.irregular(), &BTreeSet::new());
        assert_same_after_reloading(&ours);
    }
}

#[test]
fn two_values_under_one_id_read_the_same_in_either_order() {
    let (ours, _) = ours_and_theirs();
    let id = entry_id(80);
    let changes: Vec<Vec<u8>> = (2..4)
        .map(|device| Hostile::copy(&ours, device).put(id, &sealed_under(id, device)))
        .collect();
    let ends: Vec<Seen> = [[0, 1], [1, 0]]
        .into_iter()
        .map(|order| {
            let mut ours = reloaded(&ours);
            for at in order {
                take(&mut ours, &changes[at]);
            }
            assert_same_after_reloading(&ours);
            seen(&ours)
        })
        .collect();
    assert_eq!(ends[0], ends[1]);
    assert_eq!(
        ends[0].irregular,
        BTreeSet::from([Irregular::Overwritten(id)])
    );
}

#[test]
fn several_entries_in_one_change_are_all_read_and_an_empty_change_is_nothing() {
    let (mut ours, mut theirs) = ours_and_theirs();
    let (a, b) = (sealed(&course(1), 2, 90), sealed(&course(1), 2, 91));
    let both = theirs.write(|change, entries| {
        put(change, entries, &a.0.to_string(), &a.1);
        put(change, entries, &b.0.to_string(), &b.1);
    });
    let empty = theirs.write(|_, _| {});
    take(&mut ours, &both);
    take(&mut ours, &empty);
    assert_eq!(ours.bytes_of(&a.0), Some(a.1));
    assert_eq!(ours.bytes_of(&b.0), Some(b.1));
    assert_eq!(ours.irregular(), &BTreeSet::new());
    assert_same_after_reloading(&ours);
}

#[test]
fn an_id_that_was_misused_takes_a_valid_entry_and_stays_reported() {
    let (mut ours, mut theirs) = ours_and_theirs();
    let (id, bytes) = sealed(&course(1), 2, 95);
    let apart = Hostile::copy(&ours, 0xd7).put(id, &bytes);
    let misused = theirs.write(|change, entries| {
        change.put(entries, id.to_string(), "a text").unwrap();
    });
    take(&mut ours, &misused);
    assert!(!ours.lines().contains_key(&id));
    take(&mut ours, &apart);
    assert_eq!(ours.bytes_of(&id), Some(bytes));
    assert!(ours.irregular().contains(&Irregular::Overwritten(id)));
    assert_same_after_reloading(&ours);
}

#[test]
fn what_stood_behind_heads_is_told_from_what_came_later() {
    let mut ours = ledger(course(1), 1);
    add(&mut ours, 1, 1);
    let then = ours.heads();
    add(&mut ours, 1, 2);
    assert!(ours.behind(&entry_id(1), &then));
    assert!(!ours.behind(&entry_id(2), &then));
    assert!(!ours.behind(&entry_id(3), &ours.heads()));
    // A mark made apart before, which arrived after, was not behind the shop's heads.
    let mut apart = ledger(course(1), 2);
    let (_, change) = add(&mut apart, 2, 0);
    take(&mut ours, &change);
    assert!(!ours.behind(&entry_id(0), &then));
    // Heads that are not known here answer for nothing.
    assert!(!ours.behind(&entry_id(1), &ledger(course(2), 1).heads()));
    let mut elsewhere = ledger(course(1), 3);
    add(&mut elsewhere, 3, 9);
    assert!(!ours.behind(&entry_id(1), &elsewhere.heads()));
}

#[test]
fn loaded_at_once_and_taken_bit_by_bit_are_the_same() {
    let mut ours = ledger(course(1), 1);
    let mut other = ledger(course(1), 2);
    let mut bit_by_bit = ledger(course(1), 3);
    let mut joined = ours.genesis_bytes().unwrap();
    for number in 0..60 {
        let writer = if number % 3 == 0 {
            &mut other
        } else {
            &mut ours
        };
        let (_, change) = add(writer, if number % 3 == 0 { 2 } else { 1 }, number);
        take(&mut bit_by_bit, &change);
        joined.extend(change);
    }
    let at_once = Ledger::load(course(1), [4; 16], &joined, &BTreeSet::new()).unwrap();
    assert_eq!(at_once.heads(), bit_by_bit.heads());
    assert_eq!(seen(&at_once), seen(&bit_by_bit));
    assert_same_after_reloading(&bit_by_bit);
    // Taken all in one piece, in a snapshot or end to end, it is the same too.
    for bytes in [joined, bit_by_bit.save().unwrap()] {
        let mut fresh = ledger(course(1), 5);
        take(&mut fresh, &bytes);
        assert_eq!(fresh.heads(), at_once.heads());
        assert_eq!(seen(&fresh), seen(&at_once));
        assert!(fresh.take_bytes(&bytes).unwrap().changes.is_empty());
    }
}

#[test]
fn what_was_taken_can_be_stored_and_loaded_again() {
    // Long notes, so that the engine compresses some changes and not others.
    let mut theirs = ledger(course(1), 2);
    let mut stored = theirs.genesis_bytes().unwrap();
    let mut ours = ledger(course(1), 1);
    for number in 0..10_u64 {
        let text = "calm, slow, and again ".repeat(usize::try_from(number * number).unwrap());
        let added = theirs.add(entry_id(number), text.as_bytes()).unwrap();
        let taken = ours.take_bytes(&added.change).unwrap();
        assert_eq!(taken.changes, [(added.hash, added.change)]);
        stored.extend(&taken.changes[0].1);
        ours.adopt(taken);
    }
    let back = Ledger::load(course(1), [4; 16], &stored, &BTreeSet::new()).unwrap();
    assert_eq!(back.heads(), theirs.heads());
}

#[test]
fn bytes_cut_short_are_refused_whole() {
    let mut theirs = ledger(course(1), 2);
    let changes: Vec<Vec<u8>> = (0..4).map(|n| add(&mut theirs, 2, n).1).collect();
    let ours = ledger(course(1), 1);
    let joined = changes.concat();
    let ends: Vec<usize> = changes
        .iter()
        .scan(0, |end, change| {
            *end += change.len();
            Some(*end)
        })
        .collect();
    for length in 1..joined.len() {
        let taken = ours.take_bytes(&joined[..length]);
        assert_eq!(taken.is_ok(), ends.contains(&length), "{length}");
    }
    let snapshot = theirs.save().unwrap();
    for length in 1..snapshot.len() {
        assert!(ours.take_bytes(&snapshot[..length]).is_err(), "{length}");
    }
    // One byte changed anywhere is noticed.
    for at in 0..joined.len() {
        let mut changed = joined.clone();
        changed[at] ^= 1;
        assert!(ours.take_bytes(&changed).is_err(), "{at}");
    }
    assert!(ours.lines().is_empty());
}

#[test]
fn a_ledger_with_a_gap_is_not_loaded_as_a_shorter_one() {
    let mut ours = ledger(course(1), 1);
    let mut with_snapshot = ours.save().unwrap();
    let mut with_changes = ours.genesis_bytes().unwrap();
    for number in 0..5 {
        let (_, change) = add(&mut ours, 1, number);
        if number != 2 {
            with_snapshot.extend(&change);
            with_changes.extend(&change);
        }
    }
    for bytes in [with_snapshot, with_changes] {
        let loaded = Ledger::load(course(1), [4; 16], &bytes, &BTreeSet::new());
        assert!(loaded.is_err());
    }
}

#[test]
fn a_change_that_waits_for_another_is_kept_and_stays_out_of_snapshots() {
    let mut theirs = ledger(course(1), 2);
    let (_, first) = add(&mut theirs, 2, 1);
    let (_, second) = add(&mut theirs, 2, 2);
    let mut ours = ledger(course(1), 1);
    let taken = ours.take_bytes(&second).unwrap();
    assert!(taken.changes.is_empty() && taken.entries.is_empty());
    ours.adopt(taken);
    assert_eq!(reloaded(&ours).heads(), ours.heads());
    let taken = ours.take_bytes(&first).unwrap();
    assert_eq!(taken.entries, [entry_id(1), entry_id(2)]);
    assert_eq!(taken.changes.len(), 2);
    ours.adopt(taken);
    assert_eq!(ours.heads(), theirs.heads());
}

#[test]
fn bytes_of_another_ledger_or_of_none_are_refused_in_words() {
    let mut other = ledger(course(2), 1);
    let (_, change) = add(&mut other, 1, 1);
    let bytes = other.save().unwrap();
    let load = |bytes: &[u8]| Ledger::load(course(1), [1; 16], bytes, &BTreeSet::new());
    assert_eq!(load(&bytes).unwrap_err(), LedgerError::OtherLedger);
    let ours = ledger(course(1), 1);
    assert!(ours.take_bytes(&bytes).is_err());
    // Alone it only waits for a change that will never come.
    assert!(ours.take_bytes(&change).unwrap().changes.is_empty());
    let malformed = |error| {
        matches!(
            error,
            LedgerError::Format(FormatError::Malformed { .. }) | LedgerError::Engine { .. }
        )
    };
    assert!(malformed(load(&[]).unwrap_err()));
    assert!(malformed(load(b"not a ledger").unwrap_err()));
    assert!(malformed(Ledger::load_foreign([1; 16], &[]).unwrap_err()));

    let mut newer = automerge::Automerge::new();
    let mut first = newer.transaction();
    first.put(ROOT, "format", 2_u64).unwrap();
    first.put(ROOT, "ledger", course(1).to_string()).unwrap();
    first.commit();
    let error = LedgerError::Format(FormatError::Newer { found: 2, known: 1 });
    assert_eq!(load(&newer.save()).unwrap_err(), error);
    assert_eq!(
        Ledger::load_foreign([1; 16], &newer.save()).unwrap_err(),
        error
    );
}

/// What a device may do, honest or not.
#[derive(Debug, Clone)]
enum Act {
    Add(u64),
    Overwrite(u64, bool),
    Delete(u64),
    Misuse(u64),
    Root,
    Empty,
    /// Takes everything that was written so far.
    Exchange,
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        4 => (0..8_u64).prop_map(Act::Add),
        2 => (0..8_u64, any::<bool>()).prop_map(|(n, valid)| Act::Overwrite(n, valid)),
        1 => (0..8_u64).prop_map(Act::Delete),
        1 => (0..8_u64).prop_map(Act::Misuse),
        1 => Just(Act::Root),
        1 => Just(Act::Empty),
        2 => Just(Act::Exchange),
    ]
}

/// What three devices wrote, in an order that can be applied.
fn written(acts: &[(usize, Act)]) -> Vec<Vec<u8>> {
    let start = ledger(course(1), 1);
    let mut devices: Vec<Hostile> = (1..=3).map(|n| Hostile::copy(&start, n)).collect();
    let mut changes: Vec<Vec<u8>> = Vec::new();
    let mut had: Vec<usize> = vec![0; 3];
    for (at, act) in acts {
        let device = &mut devices[*at];
        let number = u8::try_from(*at).unwrap() + 1;
        let has = |device: &Hostile, n: &u64| {
            use automerge::ReadDoc as _;
            let found = device
                .document
                .get(&device.entries, entry_id(*n).to_string());
            found.unwrap().is_some()
        };
        let change = match act {
            Act::Add(n) => device.put(entry_id(*n), &sealed(&course(1), number, *n).1),
            Act::Overwrite(n, true) => device.put(entry_id(*n), &sealed_under(entry_id(*n), 7)),
            Act::Overwrite(n, false) => device.put(entry_id(*n), b"nobody signed this"),
            Act::Delete(n) if has(device, n) => device.delete(entry_id(*n)),
            Act::Misuse(n) => device.write(|change, entries| {
                change
                    .put(entries, entry_id(*n).to_string(), 7_i64)
                    .unwrap();
            }),
            Act::Root => device.write(|change, _| {
                change.put_object(ROOT, "entries", ObjType::Map).unwrap();
            }),
            Act::Delete(_) | Act::Empty => device.write(|_, _| {}),
            Act::Exchange => {
                for change in &changes[had[*at]..] {
                    device.take(change);
                }
                had[*at] = changes.len();
                continue;
            }
        };
        changes.push(change);
    }
    changes
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn every_device_sees_the_same_lines_whatever_came_first(
        acts in prop::collection::vec((0..3_usize, act()), 1..14),
        shuffled in any::<prop::sample::Index>(),
        seed in any::<u64>(),
    ) {
        let changes = written(&acts);
        let mut joined = ledger(course(1), 1).genesis_bytes().unwrap();
        joined.extend(changes.concat());
        let at_once = Ledger::load_foreign([9; 16], &joined).unwrap();
        let expected = seen(&at_once);

        // One at a time, in an order of chance; some wait for others.
        let mut order: Vec<usize> = (0..changes.len()).collect();
        let mut state = seed | 1;
        for at in (1..order.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            order.swap(at, usize::try_from(state >> 33).unwrap() % (at + 1));
        }
        let mut ours = ledger(course(1), 8);
        let pause = if order.is_empty() { 0 } else { shuffled.index(order.len()) };
        let mut stored: Vec<u8> = ours.genesis_bytes().unwrap();
        let mut unsigned = BTreeSet::new();
        for (step, at) in order.iter().enumerate() {
            let taken = ours.take_bytes(&changes[*at]).unwrap();
            stored.extend(taken.changes.iter().flat_map(|(_, bytes)| bytes));
            unsigned.extend(taken.unsigned.iter().copied());
            ours.adopt(taken);
            if step == pause {
                // What the store would have is the same ledger at every moment.
                let back = Ledger::load(course(1), [6; 16], &stored, &unsigned).unwrap();
                prop_assert_eq!(seen(&back), seen(&ours));
            }
        }
        prop_assert_eq!(ours.heads(), at_once.heads());
        prop_assert_eq!(seen(&ours), expected);
        let back = Ledger::load(course(1), [6; 16], &stored, &unsigned).unwrap();
        prop_assert_eq!(seen(&back), seen(&ours));
        // Whatever was signed for under an id is there, and nothing else counts as signed.
        let signed: BTreeSet<EntryId> = acts
            .iter()
            .filter_map(|(_, act)| match act {
                Act::Add(n) | Act::Overwrite(n, true) => Some(entry_id(*n)),
                Act::Overwrite(_, false)
                | Act::Delete(_)
                | Act::Misuse(_)
                | Act::Root
                | Act::Empty
                | Act::Exchange => None,
            })
            .collect();
        let found = ours.lines().iter().filter(|(_, line)| line.signed);
        prop_assert_eq!(found.map(|(id, _)| *id).collect::<BTreeSet<_>>(), signed);
    }
}
