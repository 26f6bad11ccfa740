//! Hostile bytes: real changes and snapshots, changed here and there, their checksums made
//! right again so that the engine reads them; and sync messages with such changes inside.
//! Nothing panics out, and a ledger that refused them is as it was.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use automerge::{Automerge, Change};
use proptest::prelude::*;
use sha2::{Digest as _, Sha256};
use tallywater_core::ledger::Ledger;
use tallywater_core::sync::Conversation;

use crate::support::entries::{add, course, ledger};

/// One place where bytes are changed, as shares of the whole, and how.
#[derive(Debug, Clone)]
enum Hurt {
    Flip(prop::sample::Index, u8),
    Set(prop::sample::Index, u8),
    Cut(prop::sample::Index, usize),
    Insert(prop::sample::Index, Vec<u8>),
    Repeat(prop::sample::Index, usize),
}

fn hurt() -> impl Strategy<Value = Hurt> {
    let at = any::<prop::sample::Index>;
    prop_oneof![
        4 => (at(), 1..=255_u8).prop_map(|(at, bits)| Hurt::Flip(at, bits)),
        2 => (at(), any::<u8>()).prop_map(|(at, byte)| Hurt::Set(at, byte)),
        1 => (at(), 1..9_usize).prop_map(|(at, length)| Hurt::Cut(at, length)),
        1 => (at(), prop::collection::vec(any::<u8>(), 1..6))
            .prop_map(|(at, bytes)| Hurt::Insert(at, bytes)),
        1 => (at(), 1..9_usize).prop_map(|(at, length)| Hurt::Repeat(at, length)),
    ]
}

fn apply(data: &mut Vec<u8>, hurts: &[Hurt]) {
    for hurt in hurts {
        if data.is_empty() {
            return;
        }
        let length = data.len();
        let end = |at: usize, run: usize| (at + run).min(length);
        match hurt {
            Hurt::Flip(at, bits) => data[at.index(length)] ^= bits,
            Hurt::Set(at, byte) => data[at.index(length)] = *byte,
            Hurt::Cut(at, run) => {
                let at = at.index(length);
                data.drain(at..end(at, *run));
            }
            Hurt::Insert(at, bytes) => {
                let at = at.index(length);
                data.splice(at..at, bytes.iter().copied());
            }
            Hurt::Repeat(at, run) => {
                let at = at.index(length);
                let again = data[at..end(at, *run)].to_vec();
                data.splice(at..at, again);
            }
        }
    }
}

/// The data of a chunk: what follows magic, checksum, kind and length.
fn data_of(chunk: &[u8]) -> &[u8] {
    let digits = chunk[9..]
        .iter()
        .take_while(|byte| **byte & 0x80 != 0)
        .count()
        + 1;
    &chunk[9 + digits..]
}

/// A chunk of this kind around these data, with the right checksum: the first four bytes
/// of the SHA-256 over kind, length and data.
fn chunk(kind: u8, data: &[u8]) -> Vec<u8> {
    let mut rest = vec![kind];
    let mut length = data.len();
    while length > 0x7f {
        rest.push(u8::try_from(length & 0x7f).unwrap() | 0x80);
        length >>= 7;
    }
    rest.push(u8::try_from(length).unwrap());
    rest.extend(data);
    let checksum = Sha256::digest(&rest);
    [&[0x85, 0x6f, 0x4a, 0x83], &checksum[..4], &rest].concat()
}

/// A ledger of two devices, as the changes of one of them and as a whole.
struct Sample {
    ours: Ledger,
    changes: Vec<Vec<u8>>,
    snapshot: Vec<u8>,
    /// What the other device says first when the two meet.
    message: Vec<u8>,
}

static SAMPLE: LazyLock<Sample> = LazyLock::new(|| {
    let mut ours = ledger(course(1), 1);
    for number in 0..6 {
        add(&mut ours, 1, number);
    }
    let mut theirs = ledger(course(1), 2);
    let taken = theirs.take_bytes(&ours.save().unwrap()).unwrap();
    theirs.adopt(taken);
    let changes = (10..16)
        .map(|number| add(&mut theirs, 2, number).1)
        .collect();
    // Not compressed, so that what is changed is what is read.
    let document = Automerge::load(&theirs.save().unwrap()).unwrap();
    let snapshot = document.save_nocompress();
    let mut conversation = Conversation::begin(&theirs, &ours.heads());
    let [piece] = conversation.say(&theirs).unwrap().try_into().unwrap();
    Sample {
        ours,
        changes,
        snapshot,
        message: piece.bytes,
    }
});

/// The bytes of a change as they are without compression.
fn plain(change: &[u8]) -> Vec<u8> {
    let change = Change::from_bytes(change.to_vec()).unwrap();
    change.raw_bytes().to_vec()
}

#[test]
fn a_chunk_put_together_again_is_the_same_chunk() {
    let sample = &*SAMPLE;
    let change = plain(&sample.changes[0]);
    assert_eq!(chunk(1, data_of(&change)), change);
    let snapshot = &sample.snapshot;
    assert_eq!(&chunk(0, data_of(snapshot)), snapshot);
}

/// Takes the bytes every way there is; the ledger must be as it was if it refuses.
fn take_every_way(sample: &Sample, bytes: &[u8]) -> Result<bool, TestCaseError> {
    let heads = sample.ours.heads();
    let lines = sample.ours.lines().clone();
    let mut read = false;
    if let Ok(taken) = sample.ours.take_bytes(bytes) {
        read = true;
        // Whatever it was, no mark of ours is gone, and it can be stored and read again.
        let next = taken.ledger();
        prop_assert!(
            lines
                .iter()
                .all(|(id, line)| next.lines().get(id) == Some(line))
        );
        for id in next.lines().keys() {
            next.bytes_of(id);
        }
        next.entries_at(&heads);
        let stored = next.save();
        if let Ok(stored) = stored {
            let unsigned = taken.unsigned.iter().copied().collect();
            let _ = Ledger::load(course(1), [9; 16], &stored, &unsigned);
        }
    }
    if let Ok(loaded) = Ledger::load(course(1), [9; 16], bytes, &BTreeSet::new()) {
        read = true;
        let _ = loaded.save();
    }
    let _ = Ledger::load_foreign([9; 16], bytes);
    prop_assert_eq!(sample.ours.heads(), heads);
    prop_assert_eq!(sample.ours.lines(), &lines);
    Ok(read)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4_000, ..ProptestConfig::default() })]

    #[test]
    fn a_changed_change_with_a_right_checksum_panics_nowhere(
        which in 0..6_usize,
        hurts in prop::collection::vec(hurt(), 1..4),
    ) {
        let sample = &*SAMPLE;
        let mut data = data_of(&plain(&sample.changes[which])).to_vec();
        apply(&mut data, &hurts);
        let mut bytes = sample.changes[..which].concat();
        bytes.extend(chunk(1, &data));
        bytes.extend(sample.changes[which + 1..].concat());
        take_every_way(sample, &bytes)?;
    }

    #[test]
    fn a_changed_snapshot_with_a_right_checksum_panics_nowhere(
        hurts in prop::collection::vec(hurt(), 1..4),
    ) {
        let sample = &*SAMPLE;
        let mut data = data_of(&sample.snapshot).to_vec();
        apply(&mut data, &hurts);
        take_every_way(sample, &chunk(0, &data))?;
    }
}

/// Where the changes inside a message begin and end.
fn changes_in(message: &[u8]) -> Vec<std::ops::Range<usize>> {
    let begins = |at: &usize| message[*at..].starts_with(&[0x85, 0x6f, 0x4a, 0x83]);
    let starts: Vec<usize> = (0..message.len()).filter(begins).collect();
    starts
        .into_iter()
        .map(|start| {
            let data = data_of(&message[start..]);
            let digits = message.len() - start - data.len() - 9;
            let length = message[start + 9..start + 9 + digits]
                .iter()
                .rev()
                .fold(0, |length, byte| length << 7 | usize::from(byte & 0x7f));
            start..start + 9 + digits + length
        })
        .collect()
}

/// Hears a message; the ledger must be as it was whatever is in it.
fn hear(sample: &Sample, message: &[u8]) -> Result<usize, TestCaseError> {
    let heads = sample.ours.heads();
    let lines = sample.ours.lines().clone();
    let conversation = Conversation::begin(&sample.ours, &heads);
    let mut heard = 0;
    if let Ok(said) = conversation.hear(&sample.ours, message)
        && let Some(taken) = said.taken
    {
        heard = taken.entries.len();
        let next = taken.ledger().lines();
        prop_assert!(lines.iter().all(|(id, line)| next.get(id) == Some(line)));
    }
    prop_assert_eq!(sample.ours.heads(), heads);
    prop_assert_eq!(sample.ours.lines(), &lines);
    Ok(heard)
}

#[test]
fn the_message_that_is_hurt_below_is_a_real_one() {
    let sample = &*SAMPLE;
    assert_eq!(changes_in(&sample.message).len(), 6);
    assert_eq!(hear(sample, &sample.message).unwrap(), 6);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4_000, ..ProptestConfig::default() })]

    #[test]
    fn a_changed_sync_message_panics_nowhere(
        hurts in prop::collection::vec(hurt(), 1..4),
    ) {
        let sample = &*SAMPLE;
        let mut message = sample.message.clone();
        apply(&mut message, &hurts);
        hear(sample, &message)?;
    }

    #[test]
    fn a_message_with_a_changed_change_and_a_right_checksum_panics_nowhere(
        which in 0..6_usize,
        at in any::<prop::sample::Index>(),
        bytes in prop::collection::vec(any::<u8>(), 1..4),
    ) {
        let sample = &*SAMPLE;
        let range = changes_in(&sample.message)[which].clone();
        let mut data = data_of(&sample.message[range.clone()]).to_vec();
        let at = at.index(data.len());
        for (old, new) in data[at..].iter_mut().zip(bytes) {
            *old = new;
        }
        // As long as it was, so that the message around it still holds.
        let mut message = sample.message.clone();
        message.splice(range, chunk(1, &data));
        prop_assert_eq!(message.len(), sample.message.len());
        hear(sample, &message)?;
    }
}

#[test]
fn the_ledger_goes_on_after_a_thousand_refusals() {
    let sample = &*SAMPLE;
    let mut refused = 0;
    for at in 0..sample.changes[0].len() {
        for bit in [1, 0x80] {
            let mut data = data_of(&plain(&sample.changes[0])).to_vec();
            let length = data.len();
            data[at % length] ^= bit;
            refused += u32::from(sample.ours.take_bytes(&chunk(1, &data)).is_err());
        }
    }
    assert!(refused > 100, "{refused}");
    let mut ours = sample.ours.clone();
    let taken = ours.take_bytes(&sample.changes.concat()).unwrap();
    assert_eq!(taken.entries.len(), 6);
    ours.adopt(taken);
    assert_eq!(ours.lines().len(), 12);
}
