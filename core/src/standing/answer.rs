//! Answer: which mark speaks after which, and which may.
//!
//! A mark lists what its writer had on screen; that alone does not make it an answer. An
//! instructor's word answers everything it lists. An assistant's does not:
//!
//! - Of marks that differ it settles nothing, however many it lists: an instructor does.
//! - A mark that does not stand answers none that does. It waits behind it, and raises what
//!   it saw: *not yet* after *met* is a slip, whoever saw it.
//! - A *met* that does not stand clears no slip that stands behind a standing mark either:
//!   there it answers only other *met* ones.
//!
//! All of it follows from the set of marks, never from a clock or the order they came in.

use std::collections::{BTreeMap, BTreeSet};

use super::cell::{MarkFact, MarkKind, set_aside};
use crate::course::EntryId;
use crate::entry::Mark;

/// The marks of a cell, by what answers what.
pub(super) struct Answered<'a> {
    /// Those that no other answers, by id.
    pub(super) open: Vec<&'a MarkFact>,
    /// Whether one of them says that what was met once was not met later.
    pub(super) slipped: bool,
}

/// What is known of a mark once those before it are.
#[derive(Default)]
struct Known<'a> {
    /// Whether one that stands is among them, or behind them.
    over_standing: bool,
    /// Whether one that was met is among them, or behind them.
    over_met: bool,
    /// Those that answer it.
    answered_by: BTreeSet<&'a EntryId>,
}

impl<'a> Answered<'a> {
    /// Works it out from standing marks, in any order; sitting out is none.
    pub(super) fn of(marks: &[&'a MarkFact]) -> Self {
        let aside = set_aside(marks);
        let by_id: BTreeMap<&EntryId, &'a MarkFact> =
            marks.iter().map(|one| (&one.id, *one)).collect();
        let lists: BTreeMap<&'a EntryId, BTreeSet<&'a EntryId>> = marks
            .iter()
            .map(|one| {
                let here = one.after.iter().filter(|id| **id != one.id);
                (&one.id, here.filter(|id| by_id.contains_key(id)).collect())
            })
            .collect();
        let mut known: BTreeMap<&'a EntryId, Known<'a>> = BTreeMap::new();
        for id in in_turn(&lists) {
            let (Some(&one), Some(lists)) = (by_id.get(id), lists.get(id)) else {
                continue;
            };
            let mut own = Known::default();
            for id in lists {
                let (Some(listed), before) = (by_id.get(id), known.get(id)) else {
                    continue;
                };
                own.over_standing |=
                    stands(listed) || before.is_some_and(|before| before.over_standing);
                own.over_met |= (listed.mark == Mark::Met && !aside.contains(&listed.id))
                    || before.is_some_and(|before| before.over_met);
            }
            let settles = settles(one);
            let differ = !settles && differing(&open_among(lists, &by_id, &known));
            for id in lists {
                let Some(listed) = by_id.get(id) else {
                    continue;
                };
                let answers = settles
                    || (!differ
                        && (stands(one)
                            || (!stands(listed)
                                && (one.mark != Mark::Met
                                    || !own.over_standing
                                    || listed.mark == Mark::Met))));
                if answers {
                    known.entry(*id).or_default().answered_by.insert(&one.id);
                }
            }
            let there = known.entry(&one.id).or_default();
            own.answered_by = std::mem::take(&mut there.answered_by);
            *there = own;
        }
        let open: Vec<&MarkFact> = by_id
            .values()
            .filter(|one| {
                known
                    .get(&one.id)
                    .is_none_or(|known| known.answered_by.is_empty())
            })
            .copied()
            .collect();
        let slipped = open.iter().any(|one| {
            one.mark != Mark::Met && known.get(&one.id).is_some_and(|known| known.over_met)
        });
        Self { open, slipped }
    }

    /// Whether two of the marks were made apart and differ.
    pub(super) fn two_views(&self) -> bool {
        differing(&self.open)
    }

    /// What the newest marks say together.
    pub(super) fn last(&self) -> Option<Mark> {
        let seen: BTreeSet<&EntryId> = self.open.iter().flat_map(|one| &one.after).collect();
        let newest = self.open.iter().filter(|one| !seen.contains(&one.id));
        let mut marks = newest.map(|one| one.mark);
        let first = marks.next()?;
        marks.all(|mark| mark == first).then_some(first)
    }
}

/// The marks in an order in which each comes after all that it lists. Where two are not before
/// and after each other their order changes nothing.
fn in_turn<'a>(lists: &BTreeMap<&'a EntryId, BTreeSet<&'a EntryId>>) -> Vec<&'a EntryId> {
    let mut listed_by: BTreeMap<&'a EntryId, Vec<&'a EntryId>> = BTreeMap::new();
    for (id, of) in lists {
        for one in of {
            listed_by.entry(*one).or_default().push(*id);
        }
    }
    let mut waits: BTreeMap<&'a EntryId, usize> =
        lists.iter().map(|(id, of)| (*id, of.len())).collect();
    let mut ready: Vec<&'a EntryId> = lists
        .iter()
        .filter(|(_, of)| of.is_empty())
        .map(|(id, _)| *id)
        .collect();
    let mut turn = Vec::with_capacity(lists.len());
    while let Some(id) = ready.pop() {
        turn.push(id);
        for other in listed_by.get(id).into_iter().flatten() {
            if let Some(left) = waits.get_mut(other) {
                *left = left.saturating_sub(1);
                if *left == 0 {
                    ready.push(*other);
                }
            }
        }
    }
    // Marks that list each other in a ring: only a forger writes that, and they come last.
    if turn.len() < lists.len() {
        let there: BTreeSet<&EntryId> = turn.iter().copied().collect();
        turn.extend(lists.keys().copied().filter(|id| !there.contains(id)));
    }
    turn
}

/// Of these marks, those that were made apart and differ as whoever saw just these saw them;
/// none where they agree.
pub(super) fn differing_among(marks: &[&MarkFact], seen: &BTreeSet<EntryId>) -> Vec<EntryId> {
    let seen: Vec<&MarkFact> = marks
        .iter()
        .filter(|one| seen.contains(&one.id))
        .copied()
        .collect();
    let answered = Answered::of(&seen);
    if answered.two_views() {
        answered.open.iter().map(|one| one.id).collect()
    } else {
        Vec::new()
    }
}

/// Whether an instructor stands behind a mark.
const fn stands(one: &MarkFact) -> bool {
    match &one.kind {
        MarkKind::Attempt { stands, .. } => *stands,
        MarkKind::Resolution => true,
    }
}

/// Whether a mark settles others that differ.
const fn settles(one: &MarkFact) -> bool {
    match &one.kind {
        MarkKind::Attempt { by_instructor, .. } => *by_instructor,
        MarkKind::Resolution => true,
    }
}

/// Whether two of these were made apart, neither seeing the other, and differ. Counted, not
/// compared pair by pair: somebody may write marks by the thousand.
fn differing(marks: &[&MarkFact]) -> bool {
    let mut of_mark: BTreeMap<Mark, usize> = BTreeMap::new();
    for one in marks {
        *of_mark.entry(one.mark).or_default() += 1;
    }
    if of_mark.len() < 2 {
        return false;
    }
    let by_id: BTreeMap<&EntryId, Mark> = marks.iter().map(|one| (&one.id, one.mark)).collect();
    // With how many of the other marks each is not apart: it lists them, or they list it.
    let mut seen: BTreeMap<&EntryId, usize> = BTreeMap::new();
    for one in marks {
        let lists: BTreeSet<&EntryId> = one.after.iter().collect();
        for id in lists {
            if by_id.get(id).is_some_and(|mark| *mark != one.mark) {
                *seen.entry(&one.id).or_default() += 1;
                *seen.entry(id).or_default() += 1;
            }
        }
    }
    marks.iter().any(|one| {
        let same = of_mark.get(&one.mark).copied().unwrap_or(0);
        let others = marks.len().saturating_sub(same);
        others > seen.get(&one.id).copied().unwrap_or(0)
    })
}

/// Of the marks that one lists, those that none of the others answers.
fn open_among<'a>(
    lists: &BTreeSet<&'a EntryId>,
    by_id: &BTreeMap<&EntryId, &'a MarkFact>,
    known: &BTreeMap<&'a EntryId, Known<'a>>,
) -> Vec<&'a MarkFact> {
    lists
        .iter()
        .filter(|id| {
            known.get(*id).is_none_or(|before| {
                // The fewer are looked up among the more.
                if before.answered_by.len() <= lists.len() {
                    !before.answered_by.iter().any(|id| lists.contains(id))
                } else {
                    !lists.iter().any(|id| before.answered_by.contains(id))
                }
            })
        })
        .filter_map(|id| by_id.get(id).copied())
        .collect()
}
