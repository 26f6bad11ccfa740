//! Adds: what changes from elsewhere add, each entry read and its signature checked, shared out
//! over the cores while the engine, which has one way only, applies the changes.

use std::collections::BTreeMap;

use automerge::{Change, ChangeHash, ObjId};

use super::LedgerError;
use super::guard::guarded;
use super::irregular::{Irregular, entries_in};
use crate::course::{EntryId, LedgerId};
use crate::hands;
use crate::trust::{Checks, Line};

/// So many changes at least are given to one core.
pub(super) const A_ROW: usize = 32;

/// An entry that a change adds.
#[derive(Debug)]
pub(super) struct Add {
    pub(super) id: EntryId,
    /// How long it is, in bytes.
    pub(super) length: usize,
    pub(super) line: Line,
}

impl Add {
    /// Reads one and checks its signature.
    pub(super) fn check(checks: &mut Checks<'_>, id: EntryId, bytes: &[u8]) -> Self {
        Self {
            id,
            length: bytes.len(),
            line: Line::check_among(checks, id, bytes),
        }
    }
}

/// What a change adds, or the first thing that it does besides. Runs the engine's decoder, so
/// call it inside [`guarded`].
pub(super) fn adds_of(
    change: &Change,
    checks: &mut Checks<'_>,
    entries: &ObjId,
) -> Result<Vec<Add>, Irregular> {
    let added = entries_in(change, checks.ledger(), entries)?.into_iter();
    Ok(added
        .map(|(id, bytes)| Add::check(checks, id, &bytes))
        .collect())
}

/// What each of these changes adds, by its hash. One that the engine gave up on is not among
/// them.
pub(super) fn adds_of_all(
    changes: &[&Change],
    ledger: &LedgerId,
    entries: &ObjId,
) -> BTreeMap<ChangeHash, Result<Vec<Add>, Irregular>> {
    let read = |change: &Change, checks: &mut Checks<'_>| {
        let adds = guarded("read a change", || {
            Ok::<_, LedgerError>(adds_of(change, checks, entries))
        });
        Some((change.hash(), adds.ok()?))
    };
    let all = hands::share(changes, A_ROW, |row| {
        let mut checks = Checks::of(ledger);
        row.iter()
            .copied()
            .map(|one| read(one, &mut checks))
            .collect()
    });
    all.into_iter().flatten().collect()
}
