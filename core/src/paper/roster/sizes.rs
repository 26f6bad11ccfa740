//! What somebody wears, of a roster: a column a kind, and one with what they bring.

use std::collections::{BTreeMap, BTreeSet};

use super::{RosterField, RowReason};
use crate::course::{KitKind, Sizes};
use crate::paper::kit_list::kind_of;

/// The columns that hold a size.
pub(super) const SIZES: [RosterField; 5] = [
    RosterField::SuitSize,
    RosterField::BootsSize,
    RosterField::FinsSize,
    RosterField::MaskSize,
    RosterField::BcdSize,
];

/// The sizes of a row; `None` where it says nothing of them. What somebody brings is written as
/// kinds of kit with anything between them: "fins, mask".
pub(super) fn sizes(cells: &mut BTreeMap<RosterField, String>) -> Result<Option<Sizes>, RowReason> {
    let own = cells.remove(&RosterField::OwnKit).unwrap_or_default();
    let words = own.split(|sign: char| !sign.is_alphanumeric());
    let words = words.filter(|word| !word.is_empty());
    let own = words.map(|word| kind_of(word).ok_or(RowReason::UnknownKit));
    let own: BTreeSet<KitKind> = own.collect::<Result<_, RowReason>>()?;
    let mut size = |field| cells.remove(&field).unwrap_or_default();
    let sizes = Sizes {
        suit: size(RosterField::SuitSize),
        boots: size(RosterField::BootsSize),
        fins: size(RosterField::FinsSize),
        mask: size(RosterField::MaskSize),
        bcd: size(RosterField::BcdSize),
        own,
    };
    Ok((sizes != Sizes::default()).then_some(sizes))
}
