//! Kit standing: the school's pieces, their faults and what is wrong with them, from the
//! shop's ledger. Who has which stands with the courses.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::shop::ShopStanding;
use super::tally::Counted;
use crate::course::{EntryId, KitKind, KitName, KitPiece, KitWrong, PieceId, folded};
use crate::entry::{Body, KitFault, KitMended, KitRetired};

/// The entries about kit, filed under what they are about, withdrawn ones too.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct KitFiles {
    /// What described or retired each piece.
    pieces: BTreeMap<PieceId, BTreeSet<EntryId>>,
    /// The pieces that were ever described under a kind and a number.
    numbers: BTreeMap<(KitKind, String), BTreeSet<PieceId>>,
    faults: BTreeMap<PieceId, BTreeSet<EntryId>>,
    mended: BTreeMap<EntryId, BTreeSet<EntryId>>,
}

impl KitFiles {
    /// Files one entry.
    pub(super) fn add(&mut self, id: EntryId, body: &Body) {
        if let Body::KitSet(set) = body {
            self.pieces.entry(set.piece).or_default().insert(id);
            let number = (set.details.kind, folded(&set.details.number));
            self.numbers.entry(number).or_default().insert(set.piece);
        } else if let Body::KitRetired(retired) = body {
            self.pieces.entry(retired.piece).or_default().insert(id);
        } else if let Body::KitFault(fault) = body {
            self.faults.entry(fault.piece).or_default().insert(id);
        } else if let Body::KitMended(mended) = body {
            self.mended.entry(mended.fault).or_default().insert(id);
        }
    }
}

/// A piece as it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PieceNow<'a> {
    /// What is known of it.
    pub details: &'a KitPiece,
    /// The entry that took it out of use for good, if one holds.
    pub retired: Option<(&'a Counted, &'a KitRetired)>,
}

/// A fault of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FaultNow<'a> {
    /// The entry that reported it.
    pub one: &'a Counted,
    /// What it says.
    pub fault: &'a KitFault,
    /// The entry that says it is mended; of several the earliest.
    pub mended: Option<(&'a Counted, &'a KitMended)>,
}

impl ShopStanding {
    /// Every piece that somebody described, retired ones too, by id.
    pub fn pieces(&self) -> impl Iterator<Item = (PieceId, PieceNow<'_>)> {
        let pieces = self.kit.pieces.keys();
        pieces.filter_map(|id| Some((*id, self.piece(id)?)))
    }

    /// A piece as it was last described. Where it was described anew and retired apart, it is
    /// retired: somebody took it out of the water.
    pub fn piece(&self, id: &PieceId) -> Option<PieceNow<'_>> {
        let entries = self.kit.pieces.get(id)?;
        let of_set = |id: &&EntryId| {
            let one = self.tally().get(id);
            one.is_some_and(|one| matches!(one.entry.body, Body::KitSet(_)))
        };
        let holds = self
            .tally()
            .latest_one(entries.iter().filter(of_set), |_| ())?;
        let Body::KitSet(set) = &holds.entry.body else {
            return None;
        };
        let latest = self.tally().latest(entries);
        let retired = latest.into_iter().filter_map(|one| {
            if let Body::KitRetired(retired) = &one.entry.body {
                Some((one, retired))
            } else {
                None
            }
        });
        Some(PieceNow {
            details: &set.details,
            retired: retired.min_by_key(|(one, _)| (one.entry.at, one.entry.id)),
        })
    }

    /// What a piece is called out as.
    pub fn piece_name(&self, id: &PieceId) -> Option<KitName> {
        Some(KitName::of(*id, self.piece(id)?.details))
    }

    /// Every standing entry that described or retired a piece, by id: the `after` of the next.
    pub fn piece_entries(&self, id: &PieceId) -> Vec<EntryId> {
        let entries = self.kit.pieces.get(id).into_iter().flatten();
        let standing = entries.filter(|id| self.tally().counts(id));
        standing.copied().collect()
    }

    /// The pieces in use of a kind and number, however it is typed; more than one where two
    /// devices numbered apart.
    pub fn pieces_numbered(&self, kind: KitKind, number: &str) -> Vec<PieceId> {
        let ever = self.kit.numbers.get(&(kind, folded(number)));
        let now = ever.into_iter().flatten().filter(|id| {
            self.piece(id)
                .is_some_and(|one| one.retired.is_none() && one.details.is_numbered(kind, number))
        });
        now.copied().collect()
    }

    /// The faults of a piece, oldest first.
    pub fn kit_faults(&self, piece: &PieceId) -> Vec<FaultNow<'_>> {
        let entries = self.kit.faults.get(piece).into_iter().flatten();
        let standing = entries.filter_map(|id| self.tally().standing(id));
        let mut faults: Vec<FaultNow<'_>> = standing
            .filter_map(|one| {
                let Body::KitFault(fault) = &one.entry.body else {
                    return None;
                };
                let mended = self.kit_mended(&one.entry.id);
                Some(FaultNow { one, fault, mended })
            })
            .collect();
        faults.sort_by_key(|one| (one.fault.when, one.one.entry.id));
        faults
    }

    /// What says that a fault is mended; of several said apart the earliest.
    pub fn kit_mended(&self, fault: &EntryId) -> Option<(&Counted, &KitMended)> {
        let entries = self.kit.mended.get(fault)?.iter();
        let said = entries.filter_map(|id| {
            let one = self.tally().standing(id)?;
            if let Body::KitMended(mended) = &one.entry.body {
                Some((one, mended))
            } else {
                None
            }
        });
        said.min_by_key(|(one, mended)| (mended.when, one.entry.id))
    }

    /// Why a piece should not go into the water on a day, gravest first; nothing is known of
    /// one that nobody described.
    pub fn kit_wrong(&self, piece: &PieceId, on: NaiveDate) -> Vec<KitWrong> {
        let Some(now) = self.piece(piece) else {
            return Vec::new();
        };
        let faulty = self.kit_faults(piece);
        let faulty = faulty.iter().any(|one| one.mended.is_none());
        let mut wrong = Vec::new();
        wrong.extend(faulty.then_some(KitWrong::Faulty));
        wrong.extend(now.details.overdue(on));
        wrong.extend(now.retired.map(|_| KitWrong::Retired));
        wrong
    }
}
