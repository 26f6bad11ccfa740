//! Judges: how often two people gave the same mark to the same try. Pairs, in no order of
//! merit: which of two is nearer to the truth no mark can say.

use std::collections::BTreeMap;

use super::{down, up};
use crate::calc::evidence::{Level, share_met};
use crate::plan::season::LEAST;
use crate::view::evidence::{JudgePair, MarkPair};
use crate::view::{Reader, StaffName};

/// Two people who marked the same tries.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeasonJudges {
    /// The one with the lower id.
    pub first: StaffName,
    /// The other.
    pub second: StaffName,
    /// Tries to which both gave the same mark.
    pub same: u32,
    /// Of so many.
    pub of: u32,
    /// With 95 % confidence the share lies from so many hundredths,
    pub low: u32,
    /// to so many (Wilson's interval).
    pub high: u32,
}

/// The pairs with enough tries in common, and how many have too few.
pub(super) fn rows<'a>(
    pairs: impl Iterator<Item = &'a MarkPair>,
    reader: &Reader<'_>,
) -> (Vec<SeasonJudges>, u32) {
    let mut counts: BTreeMap<JudgePair, (u32, u32)> = BTreeMap::new();
    for pair in pairs {
        let (same, of) = counts.entry(pair.judges).or_default();
        *same += u32::from(pair.marks.first == pair.marks.second);
        *of += 1;
    }
    let (mut rows, mut few) = (Vec::new(), 0);
    for (JudgePair { first, second }, (same, of)) in counts {
        let share = share_met(same, of, Level::NinetyFive).ok();
        match share.filter(|_| of >= LEAST) {
            Some(share) => rows.push(SeasonJudges {
                first: reader.staff(&first),
                second: reader.staff(&second),
                same,
                of,
                low: down(share.interval.low.0),
                high: up(share.interval.high.0),
            }),
            None => few += 1,
        }
    }
    (rows, few)
}
