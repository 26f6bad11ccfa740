//! The kit that a school brings: its pieces under their own ids, so that whoever has one of them
//! in a course has it still, those that are out of use, and the faults that nobody mended.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use crate::course::{KitKind, KitPiece, PieceId, folded};
use crate::entry::{Body, KitFault, KitRetired, KitSet, within};
use crate::standing::ShopStanding;

/// The kit of a school that started alone.
#[derive(Debug, Default, Serialize, Deserialize)]
pub(super) struct Kit {
    pieces: Vec<KitSet>,
    #[serde(default)]
    retired: Vec<KitRetired>,
    /// Those that are open.
    #[serde(default)]
    faults: Vec<KitFault>,
}

impl Kit {
    pub(super) fn of(shop: &ShopStanding) -> Self {
        let mut kit = Self::default();
        for (piece, now) in shop.pieces() {
            let details = now.details.clone();
            kit.pieces.push(KitSet { piece, details });
            kit.retired.extend(now.retired.map(|(_, one)| one.clone()));
            let faults = shop.kit_faults(&piece).into_iter();
            let open = faults.filter(|one| one.mended.is_none());
            kit.faults.extend(open.map(|one| one.fault.clone()));
        }
        kit
    }

    /// Whether each piece is there once, and nothing is said of a piece that is not brought.
    pub(super) fn is_sound(&self) -> bool {
        let pieces: BTreeSet<PieceId> = self.pieces.iter().map(|one| one.piece).collect();
        let retired: BTreeSet<PieceId> = self.retired.iter().map(|one| one.piece).collect();
        let faulty = self.faults.iter().map(|one| one.piece);
        pieces.len() == self.pieces.len()
            && retired.len() == self.retired.len()
            && retired
                .iter()
                .copied()
                .chain(faulty)
                .all(|one| pieces.contains(&one))
    }

    /// Whether the shop knows none of the pieces.
    pub(super) fn is_new_to(&self, shop: &ShopStanding) -> bool {
        let mut pieces = self.pieces.iter();
        pieces.all(|one| shop.piece(&one.piece).is_none())
    }

    /// What the shop writes down, in this order: the pieces that are out of use first, so that
    /// another may have their number. One whose number is another's in the shop gets a figure
    /// behind it, and what stands on it is said in its remark, behind the school's name.
    pub(super) fn bodies(
        &self,
        school: &str,
        shop: &ShopStanding,
        now: DateTime<FixedOffset>,
    ) -> Vec<Body> {
        let gone: BTreeMap<PieceId, &KitRetired> =
            self.retired.iter().map(|one| (one.piece, one)).collect();
        let (out, used): (Vec<&KitSet>, Vec<&KitSet>) = self
            .pieces
            .iter()
            .partition(|one| gone.contains_key(&one.piece));
        let mut taken: BTreeSet<(KitKind, String)> = BTreeSet::new();
        let mut bodies = Vec::new();
        for KitSet { piece, details } in out.into_iter().chain(used) {
            let kind = details.kind;
            let is_free = |number: &str| {
                !taken.contains(&(kind, folded(number)))
                    && shop.pieces_numbered(kind, number).is_empty()
            };
            let details = numbered(details, school, is_free);
            let number = (kind, folded(&details.number));
            bodies.push(Body::from(KitSet {
                piece: *piece,
                details,
            }));
            match gone.get(piece) {
                Some(retired) => bodies.push(Body::from((*retired).clone())),
                None => {
                    taken.insert(number);
                }
            }
        }
        let faults = self.faults.iter().cloned();
        bodies.extend(faults.map(|one| {
            // A clock that ran ahead keeps nobody out.
            let when = one.when.min(now);
            Body::from(KitFault { when, ..one })
        }));
        bodies
    }
}

/// A piece under a number that is free.
fn numbered(details: &KitPiece, school: &str, is_free: impl Fn(&str) -> bool) -> KitPiece {
    let mut details = details.clone();
    if is_free(&details.number) {
        return details;
    }
    let was = details.number.clone();
    let with = |end: u32| {
        let end = format!("/{end}");
        let room = within::KIT_NUMBER.saturating_sub(end.len());
        let start: String = was.chars().take(room).collect();
        start + &end
    };
    let free = (2..1_000).map(with).find(|number| is_free(number));
    details.number = free.unwrap_or_else(|| was.clone());
    let from = format!("{school} {was}");
    let note = if details.note.is_empty() {
        from
    } else {
        format!("{} · {from}", details.note)
    };
    if note.chars().count() <= within::REMARK {
        details.note = note;
    }
    details
}
