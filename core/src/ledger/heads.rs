//! Heads: the latest change hashes of a ledger, in order.

use std::fmt::Write as _;

use automerge::ChangeHash;

use super::guard::guarded;
use super::{Ledger, LedgerError};

/// A set of change hashes, sorted, so that equal sets are equal values.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Heads(Vec<[u8; 32]>);

impl Heads {
    pub(super) fn of(hashes: Vec<ChangeHash>) -> Self {
        let mut hashes: Vec<[u8; 32]> = hashes.into_iter().map(|hash| hash.0).collect();
        hashes.sort_unstable();
        Self(hashes)
    }

    /// Reads heads from hexadecimal texts; `None` if one is no hash.
    pub fn from_hex(texts: &[String]) -> Option<Self> {
        let mut hashes: Vec<[u8; 32]> = texts
            .iter()
            .map(|text| crate::entry::hex32(text))
            .collect::<Option<_>>()?;
        hashes.sort_unstable();
        Some(Self(hashes))
    }

    /// Reads heads from their stored bytes, 32 each; `None` for another length. Whatever
    /// order they came in, and however often one was named, equal sets are equal values.
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let (hashes, rest) = bytes.as_chunks::<32>();
        let hashes: std::collections::BTreeSet<[u8; 32]> = hashes.iter().copied().collect();
        rest.is_empty().then(|| Self(hashes.into_iter().collect()))
    }

    /// The stored bytes, 32 each.
    pub fn to_bytes(&self) -> Vec<u8> {
        self.0.concat()
    }

    /// Hexadecimal texts, as they stand in an entry.
    pub fn to_hex(&self) -> Vec<String> {
        self.0
            .iter()
            .map(|hash| {
                hash.iter()
                    .fold(String::with_capacity(64), |mut text, byte| {
                        // Writing to a String cannot fail.
                        let _ = write!(text, "{byte:02x}");
                        text
                    })
            })
            .collect()
    }

    /// Each hash.
    pub fn iter(&self) -> impl Iterator<Item = &[u8; 32]> {
        self.0.iter()
    }
}

impl Ledger {
    /// Whether everything behind `before` stands behind `now` too. Said only of heads that are
    /// known here: of others nobody can tell.
    pub(crate) fn covers(&self, now: &Heads, before: &Heads) -> bool {
        if !self.knows(before) {
            return false;
        }
        if *now == self.heads() {
            return true;
        }
        let known: Vec<ChangeHash> = now.iter().map(|hash| ChangeHash(*hash)).collect();
        self.knows(now)
            && guarded("compare heads", || {
                let past = self.document().get_changes_meta(&known);
                let open = |hash: &[u8; 32]| past.iter().any(|one| one.hash.0 == *hash);
                Ok::<_, LedgerError>(!before.iter().any(open))
            })
            .unwrap_or(false)
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::course::{CourseId, LedgerId};

    #[test]
    fn later_heads_cover_earlier_ones_and_nothing_else_does() {
        let id = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
        let mut here = Ledger::new(id, [1; 16]).unwrap();
        let mut heads = vec![here.heads()];
        for n in 0..3_u8 {
            here.add(&[n; 20]).unwrap();
            heads.push(here.heads());
        }
        for (at, now) in heads.iter().enumerate() {
            for (place, before) in heads.iter().enumerate() {
                assert_eq!(here.covers(now, before), place <= at, "{at} {place}");
            }
        }
        let mut there = Ledger::new(id, [2; 16]).unwrap();
        there.add(&[9; 20]).unwrap();
        assert!(!here.covers(&there.heads(), &heads[1]), "not known here");
        assert!(!here.covers(&heads[3], &there.heads()), "not known here");
    }
}
