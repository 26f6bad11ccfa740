//! Judging: what the counts of [`EvidenceView`] say: tries until met, the share met, and how
//! far two judges agree. Never a pass, and never a judgement of a judge on a few marks.

use std::collections::BTreeMap;

use super::evidence::JudgePair;
use super::{EvidenceView, Reader, StaffName};
use crate::calc::evidence::{
    Agreement, AttemptCurve, AttemptEnd, Level, ShareMet, Tries, agreement, attempt_curve,
    share_met,
};
use crate::course::SkillId;
use crate::entry::Mark;

/// What the marks say.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgingView {
    /// The hardest first: of those that enough students tried, the smallest share met; then
    /// those that too few tried, in outline order. What nobody has tried is left out.
    pub skills: Vec<SkillJudged>,
    /// Pair by pair of judges who marked the same tries.
    pub judges: Vec<JudgesAgree>,
}

/// One skill.
#[derive(Debug, Clone, PartialEq)]
pub struct SkillJudged {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// Tries until met, those who have not met it counted as censored (Kaplan and Meier).
    pub curve: AttemptCurve,
    /// The share of those who tried that have met it, with Wilson's interval.
    pub share: ShareMet,
    /// Fewer than five students have tried it: too few to call it hard or easy. Five is our own
    /// choice, no published source.
    pub too_few: bool,
}

/// From how many students on a skill is called hard or easy.
const ENOUGH: u32 = 5;

/// Two judges.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgesAgree {
    /// The one with the lower id.
    pub first: StaffName,
    /// The other.
    pub second: StaffName,
    /// Over the marks met, nearly and not yet; kappa says where it is undefined.
    pub agreement: Agreement,
}

impl JudgingView {
    /// What these counts say, with 95 % intervals.
    pub fn of(evidence: &EvidenceView, reader: &Reader<'_>) -> Self {
        let skills = evidence.skills.iter().filter_map(|skill| {
            let of = |attempts: &u32, end| Tries {
                attempts: *attempts,
                end,
            };
            let met = skill.until_met.iter().map(|n| of(n, AttemptEnd::Met));
            let open = skill.still_trying.iter().map(|n| of(n, AttemptEnd::NotYet));
            let tries: Vec<Tries> = met.chain(open).collect();
            let of_all = super::reader::count(tries.len());
            let met = super::reader::count(skill.until_met.len());
            // Nobody has tried, or more than can be counted: nothing is said.
            Some(SkillJudged {
                skill: skill.skill.clone(),
                name: skill.name.clone(),
                curve: attempt_curve(&tries, Level::NinetyFive).ok()?,
                share: share_met(met, of_all, Level::NinetyFive).ok()?,
                too_few: of_all < ENOUGH,
            })
        });
        let mut skills: Vec<SkillJudged> = skills.collect();
        // Equals stay in outline order.
        skills.sort_by(|a, b| {
            a.too_few.cmp(&b.too_few).then_with(|| {
                let share = |one: &SkillJudged| if one.too_few { 0.0 } else { one.share.share.0 };
                share(a).total_cmp(&share(b))
            })
        });
        let mut pairs: BTreeMap<JudgePair, Vec<Vec<u32>>> = BTreeMap::new();
        for pair in &evidence.pairs {
            let places = place(pair.marks.first).zip(place(pair.marks.second));
            let Some((line, column)) = places else {
                continue;
            };
            let table = pairs
                .entry(pair.judges)
                .or_insert_with(|| vec![vec![0; 3]; 3]);
            if let Some(cell) = table.get_mut(line).and_then(|line| line.get_mut(column)) {
                *cell = cell.saturating_add(1);
            }
        }
        Self {
            skills,
            judges: pairs
                .into_iter()
                .filter_map(|(JudgePair { first, second }, table)| {
                    Some(JudgesAgree {
                        first: reader.staff(&first),
                        second: reader.staff(&second),
                        agreement: agreement(&table, Level::NinetyFive).ok()?,
                    })
                })
                .collect(),
        }
    }
}

/// The place of a mark in the table; one who sat out was not judged.
const fn place(mark: Mark) -> Option<usize> {
    match mark {
        Mark::Met => Some(0),
        Mark::Nearly => Some(1),
        Mark::NotYet => Some(2),
        Mark::SatOut => None,
    }
}
