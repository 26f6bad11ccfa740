//! Kit: what is wrong with what somebody was issued, before water; what everybody of a session
//! still needs, and a piece that would fit.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::course::{EntryId, KitKind, KitName, KitPiece, KitWrong, PieceId, Rule, RuleId, Sizes};
use crate::entry::Who;
use crate::standing::{CourseStanding, PolicyNow, ShopStanding};

/// One thing that somebody's kit lacks.
pub(super) enum KitLack {
    /// The rule that this rests on has been confirmed by nobody.
    RuleUnconfirmed(RuleId),
    /// A piece that should not go into the water.
    Piece(KitName, KitWrong),
}

/// What the kit that somebody was issued in this course lacks on a day, by the rule on kit;
/// nothing without one, and nothing of somebody who has no piece of its kinds.
pub(super) fn lacks(
    shop: &ShopStanding,
    course: &CourseStanding,
    policy: &PolicyNow,
    who: &Who,
    on: NaiveDate,
) -> Vec<KitLack> {
    let mut lacks = Vec::new();
    for rule in &policy.policy.rules {
        let Rule::KitReady { kinds } = &rule.rule else {
            continue;
        };
        let pieces: BTreeSet<PieceId> = (course.kit_of(who).into_iter())
            .map(|(_, issued)| issued.piece)
            .collect();
        let named = pieces.iter().filter_map(|id| shop.piece_name(id));
        let asked: Vec<KitName> = named.filter(|name| kinds.contains(&name.kind)).collect();
        if !asked.is_empty() && !policy.confirmed.contains_key(&rule.id) {
            lacks.push(KitLack::RuleUnconfirmed(rule.id.clone()));
        }
        for name in asked {
            let wrong = shop.kit_wrong(&name.piece, on).into_iter();
            lacks.extend(wrong.map(|wrong| KitLack::Piece(name.clone(), wrong)));
        }
    }
    lacks
}

/// How somebody stands to one kind of kit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum KitLineState {
    /// Something is issued.
    Issued,
    /// The person brings it.
    Own,
    /// Nothing is issued yet.
    Missing,
    /// The school has none in use, or it is a member of staff who has none.
    NotAsked,
}

/// One person and one kind of kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitNeed {
    /// Of which kind.
    pub kind: KitKind,
    /// The size that is wanted; empty where nobody said.
    pub wanted: String,
    /// How it stands.
    pub state: KitLineState,
    /// The entries that issued what the person has of it.
    pub issued: Vec<EntryId>,
    /// A piece that would fit and is free, of what is missing.
    pub proposed: Option<PieceId>,
}

/// What each of these people has and needs of the school's kit in a session on a day.
/// `courses` are those in which a piece may be out, this one among them. A free piece is
/// proposed once, to the first of the list whom it fits: it is in use, nobody has it, nothing
/// is wrong with it that day, and of what is worn it is of the size.
pub fn kit_needs(
    shop: &ShopStanding,
    course: &CourseStanding,
    courses: &[&CourseStanding],
    on: NaiveDate,
    people: &[(Who, Sizes)],
) -> Vec<Vec<KitNeed>> {
    let in_use: Vec<(PieceId, &KitPiece)> = shop
        .pieces()
        .filter(|(_, now)| now.retired.is_none())
        .map(|(id, now)| (id, now.details))
        .collect();
    let kinds: BTreeSet<KitKind> = in_use.iter().map(|(_, one)| one.kind).collect();
    let is_out = |id: &PieceId| courses.iter().any(|one| !one.piece_with(id).is_empty());
    let mut free: Vec<(PieceId, &KitPiece)> = in_use
        .into_iter()
        .filter(|(id, _)| !is_out(id) && shop.kit_wrong(id, on).is_empty())
        .collect();
    free.sort_by_key(|(id, one)| (one.place(), *id));
    let mut take = |kind: KitKind, size: &str| {
        let fits = |one: &KitPiece| {
            one.kind == kind && (!kind.is_worn() || (!size.is_empty() && one.is_of_size(size)))
        };
        let at = free.iter().position(|(_, one)| fits(one))?;
        Some(free.remove(at).0)
    };
    let mut list = Vec::new();
    for (who, sizes) in people {
        let held = course.kit_of(who);
        let mut needs = Vec::new();
        for kind in KitKind::ALL {
            let of_kind = |id: &PieceId| {
                let known = shop
                    .piece(id)
                    .map_or(KitKind::Other, |now| now.details.kind);
                known == kind
            };
            let issued: Vec<EntryId> = held
                .iter()
                .filter(|(_, issued)| of_kind(&issued.piece))
                .map(|(one, _)| one.entry.id)
                .collect();
            if kind == KitKind::Other && issued.is_empty() {
                continue;
            }
            let state = if !issued.is_empty() {
                KitLineState::Issued
            } else if sizes.own.contains(&kind) {
                KitLineState::Own
            } else if kinds.contains(&kind) && matches!(who, Who::Student(_)) {
                KitLineState::Missing
            } else {
                KitLineState::NotAsked
            };
            let wanted = sizes.of(kind).to_owned();
            let proposed = match state {
                KitLineState::Missing => take(kind, &wanted),
                KitLineState::Issued | KitLineState::Own | KitLineState::NotAsked => None,
            };
            needs.push(KitNeed {
                kind,
                wanted,
                state,
                issued,
                proposed,
            });
        }
        list.push(needs);
    }
    list
}
