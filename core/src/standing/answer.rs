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

use std::cmp::Ordering;
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
    /// The places of those that answer it, each once, in no order.
    answered_by: Vec<usize>,
    /// Of each that it lists, in the order of that list, whether it answers it.
    answers: Vec<bool>,
}

/// So many places behind the one that was found last are looked at before all are searched.
const NEAR: usize = 8;

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
        let lists = marks.iter().map(|one| places_in(&marks, one)).collect();
        Self { marks, lists }
    }

    /// Whether the mark at one place answers the one at another.
    fn answers(&self, known: &[Known], by: usize, at: usize) -> bool {
        let place = self.lists.get(by).map(|lists| lists.binary_search(&at));
        let (Some(Ok(place)), Some(known)) = (place, known.get(by)) else {
            return false;
        };
        known.answers.get(place) == Some(&true)
    }
}

/// The places of the others that a mark lists among these, which are in order of their ids.
fn places_in(marks: &[&MarkFact], one: &MarkFact) -> Vec<usize> {
    let mut listed = Vec::with_capacity(one.after.len().min(marks.len()));
    let mut next = 0;
    for id in one.after.iter().filter(|id| **id != one.id) {
        if let Some(place) = place_in(marks, id, next) {
            listed.push(place);
            next = place + 1;
        }
    }
    listed.sort_unstable();
    listed.dedup();
    listed
}

/// Where a mark stands. A screen lists what it shows in the order of the ids, so the next that
/// is listed is mostly just behind the one before it, at `next`.
fn place_in(marks: &[&MarkFact], id: &EntryId, next: usize) -> Option<usize> {
    for (place, one) in marks.iter().enumerate().skip(next).take(NEAR) {
        match one.id.cmp(id) {
            Ordering::Less => {}
            Ordering::Equal => return Some(place),
            Ordering::Greater => break,
        }
    }
    marks.binary_search_by(|one| one.id.cmp(id)).ok()
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
            let differ = !settles && differing(&open_among(lists, &placed, &known));
            own.answers.reserve(lists.len());
            for listed_at in lists {
                let (Some(listed), Some(before)) =
                    (placed.marks.get(*listed_at), known.get_mut(*listed_at))
                else {
                    own.answers.push(false);
                    continue;
                };
                let answers = settles
                    || (!differ
                        && (stands(one)
                            || (!stands(listed)
                                && (one.mark != Mark::Met
                                    || !own.over_standing
                                    || listed.mark == Mark::Met))));
                own.answers.push(answers);
                if answers {
                    before.answered_by.push(at);
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
        if let [one] = self.open.as_slice() {
            return (!one.after.contains(&one.id)).then_some(one.mark);
        }
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
    let mut counts = vec![0_usize; lists.len()];
    for one in lists.iter().flatten() {
        if let Some(count) = counts.get_mut(*one) {
            *count += 1;
        }
    }
    let mut listed_by: Vec<Vec<usize>> = counts.into_iter().map(Vec::with_capacity).collect();
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
fn open_among<'a>(lists: &[usize], placed: &Placed<'a>, known: &[Known]) -> Vec<&'a MarkFact> {
    lists
        .iter()
        .filter(|at| {
            known.get(**at).is_none_or(|before| {
                // The fewer are looked up among the more.
                if before.answered_by.len() <= lists.len() {
                    !(before.answered_by.iter()).any(|by| lists.binary_search(by).is_ok())
                } else {
                    !lists.iter().any(|by| placed.answers(known, *by, **at))
                }
            })
        })
        .filter_map(|at| placed.marks.get(*at).copied())
        .collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uuid::Uuid;

    use super::*;
    use crate::course::StaffId;

    fn id(n: u128) -> EntryId {
        EntryId::new(Uuid::from_u128(n))
    }

    /// Marks in the order in which they were made, their ids in another: each lists some of
    /// those before it, in the order of the ids or not, and one that is no mark of the cell.
    fn marks() -> impl Strategy<Value = Vec<MarkFact>> {
        let one = (0..3_usize, 0..4_usize, any::<u32>(), any::<bool>());
        (prop::collection::vec(one, 0..30), any::<u8>()).prop_map(|(ones, turn)| {
            let turned = |place: usize| {
                let place = u8::try_from(place).unwrap();
                id(u128::from(place.wrapping_mul(turn | 1)))
            };
            let made = ones.iter().enumerate();
            made.map(|(place, (mark, kind, lists, backwards))| {
                let earlier = (0..place).filter(|at| lists >> (at % 32) & 1 == 1);
                let mut after: Vec<EntryId> = earlier.map(turned).collect();
                after.sort_unstable();
                after.push(id(1_000));
                if *backwards {
                    after.reverse();
                    after.extend(after.last().copied());
                }
                let attempt = |stands, by_instructor| MarkKind::Attempt {
                    method: None,
                    session: None,
                    setting: None,
                    stands,
                    by_instructor,
                };
                MarkFact {
                    id: turned(place),
                    by: StaffId::new(Uuid::from_u128(1)),
                    mark: [Mark::Met, Mark::Nearly, Mark::NotYet][*mark],
                    after,
                    kind: match kind {
                        0 => attempt(true, true),
                        1 => attempt(true, false),
                        2 => attempt(false, false),
                        _ => MarkKind::Resolution,
                    },
                }
            })
            .collect::<Vec<MarkFact>>()
        })
    }

    /// The rules as they are written above, pair by pair: which are open, and whether one of
    /// those is a slip.
    fn plainly(marks: &[MarkFact]) -> (Vec<EntryId>, bool) {
        let all: Vec<&MarkFact> = marks.iter().collect();
        let aside = set_aside(&all);
        let mut over: BTreeMap<EntryId, (bool, bool)> = BTreeMap::new();
        let mut answered: BTreeSet<(EntryId, EntryId)> = BTreeSet::new();
        for one in marks {
            let listed: Vec<&MarkFact> = marks
                .iter()
                .filter(|other| one.after.contains(&other.id))
                .collect();
            let standing = listed.iter().any(|of| stands(of) || over[&of.id].0);
            let met = |of: &&MarkFact| of.mark == Mark::Met && !aside.contains(&of.id);
            let met = listed.iter().any(|of| met(of) || over[&of.id].1);
            let open: Vec<&MarkFact> = listed
                .iter()
                .filter(|of| !listed.iter().any(|by| answered.contains(&(of.id, by.id))))
                .copied()
                .collect();
            let differ = !settles(one) && differing(&open);
            for of in listed {
                let waits =
                    !stands(of) && (one.mark != Mark::Met || !standing || of.mark == Mark::Met);
                if settles(one) || (!differ && (stands(one) || waits)) {
                    answered.insert((of.id, one.id));
                }
            }
            over.insert(one.id, (standing, met));
        }
        let is_open = |one: &&MarkFact| !answered.iter().any(|(of, _)| *of == one.id);
        let open = marks.iter().filter(is_open);
        let mut ids: Vec<EntryId> = open.clone().map(|one| one.id).collect();
        ids.sort_unstable();
        let slipped = open
            .clone()
            .any(|one| one.mark != Mark::Met && over[&one.id].1);
        (ids, slipped)
    }

    proptest! {
        #[test]
        fn what_is_worked_out_by_places_is_what_the_rules_say(marks in marks()) {
            let all: Vec<&MarkFact> = marks.iter().collect();
            let answered = Answered::of(&all);
            let mut open: Vec<EntryId> = answered.open.iter().map(|one| one.id).collect();
            open.sort_unstable();
            prop_assert_eq!((open, answered.slipped), plainly(&marks));
        }

        #[test]
        fn one_open_mark_says_what_it_says(marks in marks()) {
            let all: Vec<&MarkFact> = marks.iter().collect();
            let answered = Answered::of(&all);
            if let [one] = answered.open.as_slice() {
                prop_assert_eq!(answered.last(), Some(one.mark));
            }
        }
    }
}
