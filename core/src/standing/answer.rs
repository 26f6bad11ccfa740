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
struct Known {
    /// Whether one that stands is among them, or behind them.
    over_standing: bool,
    /// Whether one that was met is among them, or behind them.
    over_met: bool,
    /// The places of those that answer it.
    answered_by: BTreeSet<usize>,
}

/// The marks in order of their ids; each goes by its place here, which is quicker to compare
/// than an id: every mark of a cell lists those before it.
struct Placed<'a> {
    marks: Vec<&'a MarkFact>,
    /// For each the places of the others that it lists, in order.
    lists: Vec<Vec<usize>>,
}

impl<'a> Placed<'a> {
    fn of(marks: &[&'a MarkFact]) -> Self {
        let by_id: BTreeMap<&EntryId, &'a MarkFact> =
            marks.iter().map(|one| (&one.id, *one)).collect();
        let marks: Vec<&'a MarkFact> = by_id.into_values().collect();
        let place = |id: &EntryId| marks.binary_search_by(|one| one.id.cmp(id)).ok();
        let lists = marks.iter().map(|one| {
            let others = one.after.iter().filter(|id| **id != one.id);
            let mut listed: Vec<usize> = others.filter_map(place).collect();
            listed.sort_unstable();
            listed.dedup();
            listed
        });
        let lists = lists.collect();
        Self { marks, lists }
    }
}

impl<'a> Answered<'a> {
    /// Works it out from standing marks, in any order; sitting out is none.
    pub(super) fn of(marks: &[&'a MarkFact]) -> Self {
        let aside = set_aside(marks);
        let placed = Placed::of(marks);
        let mut known: Vec<Known> = placed.marks.iter().map(|_| Known::default()).collect();
        for at in in_turn(&placed.lists) {
            let (Some(&one), Some(lists)) = (placed.marks.get(at), placed.lists.get(at)) else {
                continue;
            };
            let mut own = Known::default();
            for at in lists {
                let (Some(listed), Some(before)) = (placed.marks.get(*at), known.get(*at)) else {
                    continue;
                };
                own.over_standing |= stands(listed) || before.over_standing;
                own.over_met |=
                    (listed.mark == Mark::Met && !aside.contains(&listed.id)) || before.over_met;
            }
            let settles = settles(one);
            let differ = !settles && differing(&open_among(lists, &placed.marks, &known));
            for listed_at in lists {
                let (Some(listed), Some(before)) =
                    (placed.marks.get(*listed_at), known.get_mut(*listed_at))
                else {
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
                    before.answered_by.insert(at);
                }
            }
            if let Some(there) = known.get_mut(at) {
                own.answered_by = std::mem::take(&mut there.answered_by);
                *there = own;
            }
        }
        let with_known = || placed.marks.iter().copied().zip(&known);
        let open: Vec<&MarkFact> = with_known()
            .filter(|(_, known)| known.answered_by.is_empty())
            .map(|(one, _)| one)
            .collect();
        let slipped = with_known().any(|(one, known)| {
            known.answered_by.is_empty() && one.mark != Mark::Met && known.over_met
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

/// The places of the marks in an order in which each comes after all that it lists. Where two
/// are not before and after each other their order changes nothing.
fn in_turn(lists: &[Vec<usize>]) -> Vec<usize> {
    let mut listed_by: Vec<Vec<usize>> = vec![Vec::new(); lists.len()];
    for (at, of) in (0..).zip(lists) {
        for one in of {
            if let Some(by) = listed_by.get_mut(*one) {
                by.push(at);
            }
        }
    }
    let mut waits: Vec<usize> = lists.iter().map(Vec::len).collect();
    let first = (0..).zip(lists).filter(|(_, of)| of.is_empty());
    let mut ready: Vec<usize> = first.map(|(at, _)| at).collect();
    let mut turn = Vec::with_capacity(lists.len());
    while let Some(at) = ready.pop() {
        turn.push(at);
        for other in listed_by.get(at).into_iter().flatten() {
            if let Some(left) = waits.get_mut(*other) {
                *left = left.saturating_sub(1);
                if *left == 0 {
                    ready.push(*other);
                }
            }
        }
    }
    // Marks that list each other in a ring: only a forger writes that, and they come last.
    if turn.len() < lists.len() {
        let there: BTreeSet<usize> = turn.iter().copied().collect();
        turn.extend((0..lists.len()).filter(|at| !there.contains(at)));
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
fn open_among<'a>(lists: &[usize], marks: &[&'a MarkFact], known: &[Known]) -> Vec<&'a MarkFact> {
    lists
        .iter()
        .filter(|at| {
            known.get(**at).is_none_or(|before| {
                // The fewer are looked up among the more.
                if before.answered_by.len() <= lists.len() {
                    !(before.answered_by.iter()).any(|at| lists.binary_search(at).is_ok())
                } else {
                    !lists.iter().any(|at| before.answered_by.contains(at))
                }
            })
        })
        .filter_map(|at| marks.get(*at).copied())
        .collect()
}
