//! Listing: who may have a course, from the lines of the shop's list.
//!
//! A line of the list is the shop's to write, or that of whoever is on the list it answers; the
//! first one of a course that the shop did not open is its opener's ([`opened_by`]). Others
//! count for nothing: nobody lists themselves on a colleague's course. Of lines that were
//! written apart, whoever one of them took off is off; and where the shop or the opener took
//! somebody off, what that one wrote apart does not count at all.
//!
//! A line of ours answers every line that was there, so what it answers is all it saw.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use super::shop::ShopStanding;
use super::tally::Counted;
use crate::course::{CourseId, EntryId, Role, StaffId};
use crate::entry::{Body, CourseListed, opened_by};

/// What the list comes to, worked out when it is first asked for.
#[derive(Debug, Clone, Default)]
pub(super) struct Listings(OnceLock<BTreeMap<CourseId, CourseListed>>);

/// It follows from the entries and says nothing of its own.
impl PartialEq for Listings {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Eq for Listings {}

/// A line that may count.
struct Listed<'a> {
    entry: &'a Counted,
    says: &'a CourseListed,
}

impl ShopStanding {
    /// Every course with its line in the list, dropped ones too.
    pub(super) fn listings(&self) -> &BTreeMap<CourseId, CourseListed> {
        self.listings.0.get_or_init(|| {
            let courses = self.courses.iter();
            courses
                .filter_map(|(course, entries)| Some((*course, self.listing(course, entries)?)))
                .collect()
        })
    }

    fn listing(&self, course: &CourseId, entries: &BTreeSet<EntryId>) -> Option<CourseListed> {
        let lines = entries.iter().filter_map(|id| {
            let entry = self.tally().standing(id)?;
            if let Body::CourseListed(says) = &entry.entry.body {
                Some((*id, Listed { entry, says }))
            } else {
                None
            }
        });
        let lines: BTreeMap<EntryId, Listed<'_>> = lines.collect();
        let order = in_order(&lines);
        // Where a line is left out another may count that answers it, so it is asked again.
        let mut without = BTreeSet::new();
        let good = loop {
            let good = counting(course, &lines, &order, &without);
            let overruled = overruled(course, &lines, &good);
            if overruled.is_subset(&without) {
                break good;
            }
            without.extend(overruled);
        };
        let holding = self.tally().latest_one(good.keys(), |_| ())?;
        let answered: BTreeSet<&EntryId> = good
            .values()
            .flat_map(|line| &line.entry.entry.after)
            .collect();
        let last: Vec<&Listed<'_>> = good
            .iter()
            .filter(|(id, _)| !answered.contains(id))
            .map(|(_, line)| *line)
            .collect();
        let mut listed = good.get(&holding.entry.id)?.says.clone();
        if last.len() > 1 {
            listed.staff = together(&last, &good).into_iter().collect();
        }
        Some(listed)
    }
}

/// The lines, each behind those that it answers. An id is a digest of what it names, so there
/// is no ring.
fn in_order(lines: &BTreeMap<EntryId, Listed<'_>>) -> Vec<EntryId> {
    let mut waits: BTreeMap<EntryId, usize> = BTreeMap::new();
    let mut answers: BTreeMap<EntryId, Vec<EntryId>> = BTreeMap::new();
    for (id, line) in lines {
        let before: BTreeSet<&EntryId> = line.entry.entry.after.iter().collect();
        let before = before.into_iter().filter(|one| lines.contains_key(one));
        let mut count = 0;
        for one in before {
            answers.entry(*one).or_default().push(*id);
            count += 1;
        }
        waits.insert(*id, count);
    }
    let mut ready: Vec<EntryId> = waits
        .iter()
        .filter(|(_, count)| **count == 0)
        .map(|(id, _)| *id)
        .collect();
    let mut ordered = Vec::new();
    while let Some(id) = ready.pop() {
        ordered.push(id);
        for next in answers.remove(&id).unwrap_or_default() {
            if let Some(count) = waits.get_mut(&next) {
                *count = count.saturating_sub(1);
                if *count == 0 {
                    ready.push(next);
                }
            }
        }
    }
    ordered
}

/// Whether a line is its writer's to write, where these before it are.
fn may_list(course: &CourseId, line: &Listed<'_>, good: &BTreeMap<EntryId, &Listed<'_>>) -> bool {
    let writer = line.entry.writer;
    if writer.role == Role::Shop {
        return true;
    }
    let before: Vec<&Listed<'_>> = line
        .entry
        .entry
        .after
        .iter()
        .filter_map(|id| good.get(id).copied())
        .collect();
    if before.is_empty() {
        return opened_by(course, &line.entry.device);
    }
    // Whoever was taken off answers the line that took them off, and not one before it.
    let answered: BTreeSet<&EntryId> = before
        .iter()
        .flat_map(|one| &one.entry.entry.after)
        .collect();
    before
        .iter()
        .filter(|one| !answered.contains(&one.entry.entry.id))
        .all(|one| one.says.staff.contains(&writer.staff))
}

/// The lines that count, leaving these out.
fn counting<'a>(
    course: &CourseId,
    lines: &'a BTreeMap<EntryId, Listed<'a>>,
    order: &[EntryId],
    without: &BTreeSet<EntryId>,
) -> BTreeMap<EntryId, &'a Listed<'a>> {
    let mut good = BTreeMap::new();
    for id in order.iter().filter(|id| !without.contains(id)) {
        if let Some(line) = lines.get(id)
            && may_list(course, line, &good)
        {
            good.insert(*id, line);
        }
    }
    good
}

/// Lines of somebody whom the shop, or the course's opener, took off without having seen them:
/// else whoever was taken off could go on in the name of the time before. They are so whether
/// they count as yet or not: one that answers another of them may do so once that is left out.
fn overruled(
    course: &CourseId,
    lines: &BTreeMap<EntryId, Listed<'_>>,
    good: &BTreeMap<EntryId, &Listed<'_>>,
) -> BTreeSet<EntryId> {
    let senior = |line: &Listed<'_>| {
        line.entry.writer.role == Role::Shop || opened_by(course, &line.entry.device)
    };
    let mut taken_off: BTreeMap<StaffId, Vec<(EntryId, BTreeSet<EntryId>)>> = BTreeMap::new();
    for (id, line) in good.iter().filter(|(_, line)| senior(line)) {
        let seen: BTreeSet<EntryId> = line.entry.entry.after.iter().copied().collect();
        for one in off(line, good) {
            taken_off.entry(one).or_default().push((*id, seen.clone()));
        }
    }
    let mine = |line: &Listed<'_>| taken_off.get(&line.entry.writer.staff);
    lines
        .iter()
        .filter(|(_, line)| !senior(line))
        .filter(|(id, line)| {
            let mut off = mine(line).into_iter().flatten();
            off.any(|(by, seen)| !seen.contains(id) && !line.entry.entry.after.contains(by))
        })
        .map(|(id, _)| *id)
        .collect()
}

/// Whom a line takes off: on a line that it answers, and not on it.
fn off(line: &Listed<'_>, good: &BTreeMap<EntryId, &Listed<'_>>) -> BTreeSet<StaffId> {
    let own: BTreeSet<&StaffId> = line.says.staff.iter().collect();
    let before = line.entry.entry.after.iter().filter_map(|id| good.get(id));
    before
        .flat_map(|one| &one.says.staff)
        .filter(|one| !own.contains(one))
        .copied()
        .collect()
}

/// Who is on lists that were written apart: whom any has, and none took off.
fn together(last: &[&Listed<'_>], good: &BTreeMap<EntryId, &Listed<'_>>) -> BTreeSet<StaffId> {
    let on: BTreeSet<StaffId> = last
        .iter()
        .flat_map(|line| &line.says.staff)
        .copied()
        .collect();
    let off: BTreeSet<StaffId> = last.iter().flat_map(|line| off(line, good)).collect();
    on.difference(&off).copied().collect()
}
