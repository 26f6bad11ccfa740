//! The ledger among peers that write what ours never would: under an id stands what the id
//! names and nothing else, a change that does more than to add entries is not taken, and the
//! entries beside it can be carried over by themselves.

use std::collections::{BTreeMap, BTreeSet};

use automerge::transaction::Transactable as _;
use automerge::{ObjType, ROOT};
use proptest::prelude::*;
use tallywater_core::course::EntryId;
use tallywater_core::entry::FormatError;
use tallywater_core::ledger::{Irregular, Ledger, LedgerError};

use crate::support::entries::{add, attempt, course, id_of, key, ledger, sealed};
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
    order: Vec<EntryId>,
    now: Option<BTreeSet<EntryId>>,
}

fn seen(ledger: &Ledger) -> Seen {
    let heads = ledger.heads();
    let ids = || ledger.lines().keys().copied();
    Seen {
        lines: ledger.lines().clone(),
        bytes: ids().map(|id| (id, ledger.bytes_of(&id))).collect(),
        order: ledger.in_order(),
        now: ledger.entries_at(&heads),
    }
}

/// The same whether it came bit by bit, is read from a snapshot, or believed by nobody.
fn assert_same_after_reloading(ledger: &Ledger) {
    let ours = seen(ledger);
    let all: BTreeSet<EntryId> = ours.lines.keys().copied().collect();
    assert_eq!(ours.now, Some(all), "all stand now");
    assert!(ledger.irregular().is_empty());
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

/// A change from the wrong hands is refused, and nothing has happened.
fn assert_refused(ours: &Ledger, change: &[u8], what: Irregular) {
    let before = seen(ours);
    let error = ours.take_bytes(change).unwrap_err();
    assert_eq!(error, LedgerError::Irregular(what));
    assert_eq!(seen(ours), before);
    assert_same_after_reloading(ours);
    // Nor does a whole history with it in the middle open as somebody's ledger.
    let mut joined = ours.plain().unwrap();
    joined.extend(change);
    let whole = Ledger::load_foreign([0x79; 16], &joined).map(|_| ());
    assert_eq!(whole, Err(LedgerError::Irregular(what)));
}

/// Another mark, properly signed by an admitted device.
fn another(device: u8) -> (EntryId, Vec<u8>) {
    sealed(&course(1), device, 900)
}

#[test]
fn an_entry_is_not_overwritten_by_whoever_signed_the_other_value() {
    let (ours, mut theirs) = ours_and_theirs();
    let id = id_of(&course(1), 1, 3);
    // By another device, by a value of its own writer, and by bytes nobody signed.
    for bytes in [another(2).1, another(1).1, b"nobody signed this".to_vec()] {
        let change = theirs.put(id, &bytes);
        assert_refused(&ours, &change, Irregular::Overwritten(id));
        theirs = Hostile::copy(&ours, 0xbb);
    }
}

#[test]
fn a_value_that_hangs_on_the_first_change_alone_comes_before_nothing() {
    let (ours, _) = ours_and_theirs();
    let id = id_of(&course(1), 1, 3);
    // The lowest operation counter of all: it was once the value that counted.
    let mut early = Hostile::copy(&ledger(course(1), 9), 0x00);
    let change = early.put(id, &another(2).1);
    assert_refused(&ours, &change, Irregular::Overwritten(id));
    // And on a device that meets the early value first, the entry comes all the same.
    let mut fresh = ledger(course(1), 5);
    assert!(fresh.take_bytes(&change).is_err());
    take(&mut fresh, &ours.plain().unwrap());
    assert_eq!(fresh.lines(), ours.lines());
    assert_eq!(fresh.bytes_of(&id), ours.bytes_of(&id));
}

#[test]
fn one_change_in_a_letter_is_another_entry_and_voids_nothing() {
    let (mut ours, mut theirs) = ours_and_theirs();
    let (id, good) = sealed(&course(1), 2, 60);
    let mut bad = good.clone();
    *bad.last_mut().unwrap() ^= 1;
    // Planted under the good one's id it is nothing.
    let planted = theirs.put(id, &bad);
    assert_refused(&ours, &planted, Irregular::Overwritten(id));
    // Under its own it is an entry that nobody signed, and the good one comes beside it.
    let mut theirs = Hostile::copy(&ours, 0xbc);
    let own = tallywater_core::entry::content_id(&course(1), &bad);
    let taken = ours.take_bytes(&theirs.put(own, &bad)).unwrap();
    assert_eq!((&taken.entries, &taken.unsigned), (&vec![own], &vec![own]));
    ours.adopt(taken);
    let taken = ours.take_bytes(&theirs.put(id, &good)).unwrap();
    assert_eq!((&taken.entries, &taken.unsigned), (&vec![id], &vec![]));
    ours.adopt(taken);
    assert!(ours.lines()[&id].signed && !ours.lines()[&own].signed);
    assert_eq!(ours.bytes_of(&id), Some(good));
    assert_same_after_reloading(&ours);
}

#[test]
fn an_entry_is_not_deleted() {
    let (ours, mut theirs) = ours_and_theirs();
    let id = id_of(&course(1), 1, 2);
    let change = theirs.delete(id);
    assert_refused(&ours, &change, Irregular::Deleted(id));
}

#[test]
fn nothing_is_written_at_the_root_or_in_another_document() {
    let (mut ours, mut theirs) = ours_and_theirs();
    let change = theirs.write(|change, _| {
        change.put(ROOT, "format", 99_u64).unwrap();
        change.put(ROOT, "ledger", course(2).to_string()).unwrap();
        change.put_object(ROOT, "entries", ObjType::Map).unwrap();
    });
    assert_refused(&ours, &change, Irregular::Foreign);
    let mut apart = automerge::Automerge::new();
    let mut other = apart.transaction();
    other.put(ROOT, "entries", "gone").unwrap();
    other.commit();
    let bytes = apart.get_changes(&[])[0].raw_bytes().to_vec();
    assert_refused(&ours, &bytes, Irregular::Foreign);
    // And marks go on.
    add(&mut ours, 1, 100);
    assert_same_after_reloading(&ours);
}

#[test]
fn a_key_written_in_another_way_is_no_second_entry() {
    let (ours, _) = ours_and_theirs();
    let (id, bytes) = sealed(&course(1), 2, 50);
    for key in [
        id.to_string().to_uppercase(),
        format!("{{{id}}}"),
        id.to_string().replace('-', ""),
    ] {
        let mut theirs = Hostile::copy(&ours, 0xbb);
        let change = theirs.write(|change, entries| put(change, entries, &key, &bytes));
        assert_refused(&ours, &change, Irregular::Foreign);
    }
    let mut theirs = Hostile::copy(&ours, 0xbb);
    let misused = theirs.write(|change, entries| {
        change.put(entries, id.to_string(), "a text").unwrap();
    });
    assert_refused(&ours, &misused, Irregular::Overwritten(id));
    assert_refused(
        &ours,
        &Hostile::copy(&ours, 1).write(|_, _| {}),
        Irregular::Foreign,
    );
}

#[test]
fn what_was_written_beside_something_irregular_is_carried_over_by_itself() {
    let (mut ours, mut theirs) = ours_and_theirs();
    let deleted = theirs.delete(id_of(&course(1), 1, 2));
    let (id, bytes) = sealed(&course(1), 2, 50);
    let after = theirs.put(id, &bytes);
    assert!(ours.take_bytes(&[deleted, after.clone()].concat()).is_err());
    // Alone it hangs on what is not taken.
    assert!(ours.take_bytes(&after).unwrap().changes.is_empty());
    let have = ours.bytes_of(&id_of(&course(1), 1, 0)).unwrap();
    let taken = ours.take_entries(&[&have, &bytes, &bytes]).unwrap();
    assert_eq!((&taken.entries, taken.changes.len()), (&vec![id], 1));
    ours.adopt(taken);
    assert_eq!(ours.bytes_of(&id), Some(bytes));
    assert_same_after_reloading(&ours);
    // What nobody signed is known for it this way too.
    let taken = ours.take_entries(&[b"nobody signed this"]).unwrap();
    assert_eq!(taken.unsigned, taken.entries);
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
        assert_same_after_reloading(&ours);
    }
}

#[test]
fn several_entries_in_one_change_are_all_read() {
    let (mut ours, mut theirs) = ours_and_theirs();
    let (a, b) = (sealed(&course(1), 2, 90), sealed(&course(1), 2, 91));
    let both = theirs.write(|change, entries| {
        put(change, entries, &a.0.to_string(), &a.1);
        put(change, entries, &b.0.to_string(), &b.1);
    });
    take(&mut ours, &both);
    assert_eq!(ours.bytes_of(&a.0), Some(a.1));
    assert_eq!(ours.bytes_of(&b.0), Some(b.1));
    assert_same_after_reloading(&ours);
}

/// The n-th attempt of device 2, written after this one.
fn chained(after: Option<EntryId>, number: u64) -> (EntryId, Vec<u8>) {
    let payload = tallywater_core::entry::write(&attempt(number)).unwrap();
    key(2).seal(&course(1), after, &payload)
}

#[test]
fn what_a_device_had_written_by_then_is_told_from_what_it_wrote_later() {
    let key = key(2).public();
    let (one, first) = chained(None, 1);
    let (two, second) = chained(Some(one), 2);
    let (three, third) = chained(Some(two), 3);
    let mut ours = ledger(course(1), 1);
    for number in 10..13 {
        add(&mut ours, 1, number);
    }
    // The later ones come first.
    for bytes in [&third, &second] {
        let taken = ours.take_entries(&[bytes]).unwrap();
        ours.adopt(taken);
    }
    assert_eq!(ours.last_of(&key), [three]);
    assert_eq!(ours.missing_of(&key), [one]);
    assert_eq!(ours.written_by(&key, &[two]), BTreeSet::from([two]));
    let taken = ours.take_entries(&[&first]).unwrap();
    ours.adopt(taken);
    assert_eq!(ours.last_of(&key), [three]);
    assert!(ours.missing_of(&key).is_empty());
    assert_eq!(ours.written_by(&key, &[two]), BTreeSet::from([one, two]));
    assert_eq!(ours.last_of(&key), reloaded(&ours).last_of(&key));
    // A copy that wrote on has two ends, and what is added to one was not behind the other.
    let (apart, copy) = chained(Some(one), 4);
    let taken = ours.take_entries(&[&copy]).unwrap();
    ours.adopt(taken);
    assert_eq!(ours.last_of(&key).len(), 2);
    assert!(!ours.written_by(&key, &[three]).contains(&apart));
    // Nothing of another key comes along, and ends that are not here answer for nothing.
    let own = id_of(&course(1), 1, 10);
    assert!(ours.written_by(&key, &[own]).is_empty());
    assert!(ours.written_by(&key, &[id_of(&course(2), 2, 1)]).is_empty());
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
        let added = theirs.add(format!("{number} {text}").as_bytes()).unwrap();
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
fn a_change_that_hangs_on_another_is_left_until_that_one_comes() {
    let mut theirs = ledger(course(1), 2);
    let (_, first) = add(&mut theirs, 2, 1);
    let (_, second) = add(&mut theirs, 2, 2);
    let mut ours = ledger(course(1), 1);
    let taken = ours.take_bytes(&second).unwrap();
    assert!(taken.changes.is_empty() && taken.entries.is_empty());
    ours.adopt(taken);
    assert_eq!(reloaded(&ours).heads(), ours.heads());
    // Nothing of it stays in memory: it comes again with what it hangs on, in any order.
    assert_eq!(ours.take_bytes(&first).unwrap().entries.len(), 1);
    let taken = ours.take_bytes(&[second, first].concat()).unwrap();
    let both = [1, 2].map(|number| id_of(&course(1), 2, number));
    assert_eq!(taken.entries, both);
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
    first.put(ROOT, "format", 3_u64).unwrap();
    first.put(ROOT, "ledger", course(1).to_string()).unwrap();
    first.commit();
    let error = LedgerError::Format(FormatError::Newer { found: 3, known: 2 });
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

/// The entry that three devices fight over.
fn contested(n: u64) -> EntryId {
    id_of(&course(1), 1, n)
}

/// What three devices wrote, in an order that can be applied: the changes, and the entries
/// that are in them.
fn written(acts: &[(usize, Act)]) -> (Vec<Vec<u8>>, BTreeMap<EntryId, Vec<u8>>) {
    let start = ledger(course(1), 1);
    let mut devices: Vec<Hostile> = (1..=3).map(|n| Hostile::copy(&start, n)).collect();
    let (mut changes, mut entries): (Vec<Vec<u8>>, _) = (Vec::new(), BTreeMap::new());
    let mut had: Vec<usize> = vec![0; 3];
    for (at, act) in acts {
        let device = &mut devices[*at];
        let number = u8::try_from(*at).unwrap() + 1;
        let has = |device: &Hostile, n: &u64| {
            use automerge::ReadDoc as _;
            let found = device
                .document
                .get(&device.entries, contested(*n).to_string());
            found.unwrap().is_some()
        };
        let change = match act {
            Act::Add(n) => {
                let (id, bytes) = sealed(&course(1), number, *n);
                entries.insert(id, bytes.clone());
                device.put(id, &bytes)
            }
            Act::Overwrite(n, true) => device.put(contested(*n), &another(7).1),
            Act::Overwrite(n, false) => device.put(contested(*n), b"nobody signed this"),
            Act::Delete(n) if has(device, n) => device.delete(contested(*n)),
            Act::Misuse(n) => device.write(|change, entries| {
                change
                    .put(entries, contested(*n).to_string(), 7_i64)
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
    (changes, entries)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn every_device_comes_to_the_same_lines_whatever_came_first(
        acts in prop::collection::vec((0..3_usize, act()), 1..14),
        shuffled in any::<prop::sample::Index>(),
        seed in any::<u64>(),
    ) {
        let (changes, entries) = written(&acts);
        // One at a time, in an order of chance; some wait for others, some are refused.
        let mut order: Vec<usize> = (0..changes.len()).collect();
        let mut state = seed | 1;
        for at in (1..order.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            order.swap(at, usize::try_from(state >> 33).unwrap() % (at + 1));
        }
        let mut ours = ledger(course(1), 8);
        let pause = if order.is_empty() { 0 } else { shuffled.index(order.len()) };
        let mut stored: Vec<u8> = ours.genesis_bytes().unwrap();
        for (step, at) in order.iter().enumerate() {
            let before = seen(&ours);
            match ours.take_bytes(&changes[*at]) {
                Ok(taken) => {
                    stored.extend(taken.changes.iter().flat_map(|(_, bytes)| bytes));
                    ours.adopt(taken);
                }
                Err(_) => prop_assert_eq!(seen(&ours), before),
            }
            if step == pause {
                // What the store would have is the same ledger at every moment.
                let back = Ledger::load(course(1), [6; 16], &stored, &BTreeSet::new()).unwrap();
                prop_assert_eq!(seen(&back), seen(&ours));
            }
        }
        // Under every id stands what it names, and what is missing can be carried over.
        for id in ours.lines().keys() {
            let bytes = ours.bytes_of(id);
            prop_assert_eq!(bytes.as_ref(), entries.get(id));
        }
        let all: Vec<&[u8]> = entries.values().map(Vec::as_slice).collect();
        let taken = ours.take_entries(&all).unwrap();
        stored.extend(taken.changes.iter().flat_map(|(_, bytes)| bytes));
        ours.adopt(taken);
        prop_assert_eq!(
            ours.lines().keys().copied().collect::<BTreeSet<_>>(),
            entries.keys().copied().collect::<BTreeSet<_>>()
        );
        prop_assert!(ours.lines().values().all(|line| line.signed));
        let back = Ledger::load(course(1), [6; 16], &stored, &BTreeSet::new()).unwrap();
        prop_assert_eq!(seen(&back), seen(&ours));
    }
}
