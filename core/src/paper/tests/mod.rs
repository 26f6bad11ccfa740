//! What every kind of entry answers, room by room: who may write it and take it back, whom it is
//! about, which dates and texts it holds, where it stands in a record, whether a stranger is
//! given it, and what refuses it first.
//!
//! Each kind has a sample in `kinds.txt`, with its answers under it. A line that changes is a
//! change of meaning: a device with an older version answers as it stands there.

mod ask;
mod fake;

use std::collections::BTreeSet;

use crate::entry::{Body, Entry, Kind, Reading, read};

const KINDS: &str = include_str!("kinds.txt");

/// An id of the samples: `@7` in their text.
fn id(n: u128) -> uuid::Uuid {
    uuid::Uuid::from_u128(n)
}

/// A sample, read as an entry from elsewhere would be.
fn sample(n: u128, word: &str, body: &str) -> std::sync::Arc<Entry> {
    let mut body = body
        .replace(
            "OUTLINE",
            include_str!("../../../../fixtures/outline/first-dives.json"),
        )
        .replace(
            "POLICY",
            include_str!("../../../../fixtures/outline/house-policy.json"),
        );
    for n in 1..=20 {
        body = body.replace(&format!("@{n}\""), &format!("{}\"", id(n)));
    }
    let by = id(2);
    let payload = format!(
        r#"{{"v":1,"kind":"{word}","at":"2026-06-02T10:15:00+02:00","by":"{by}","body":{body}}}"#
    );
    match read(crate::course::EntryId::new(id(n)), payload.as_bytes()) {
        Reading::Known(entry) => entry,
        Reading::Newer { .. } | Reading::Malformed => panic!("{word}: {payload}"),
    }
}

#[test]
fn every_kind_answers_as_it_always_did() {
    let mut met = BTreeSet::new();
    let mut now = String::new();
    for line in KINDS.lines().filter(|line| !line.starts_with(' ')) {
        let (word, body) = line.split_once(' ').unwrap();
        let entry = sample(77, word, body);
        met.insert(entry.body.kind());
        now += &format!("{line}\n{}", ask::answers(&entry));
    }
    let missing: Vec<_> = Kind::ALL
        .iter()
        .filter(|kind| !met.contains(kind))
        .collect();
    assert!(missing.is_empty(), "no sample of {missing:?}");
    let lines = KINDS.lines().zip(now.lines());
    let other: Vec<_> = lines.filter(|(was, is)| was != is).collect();
    assert!(
        KINDS == now,
        "these answer otherwise: {other:#?}; all of it:\n{now}"
    );
}

/// What a sample is about, where somebody asks that of a course.
fn is_asked(body: &Body) -> bool {
    body.kind().home() != crate::entry::Home::Shop
}
