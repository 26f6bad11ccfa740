//! What the marks of a first sync mean, with no ledger, disk or network: worked out piece by
//! piece as they come, and all at once. Every mark lists those of its cell before it, as a screen
//! does.

use std::collections::{BTreeMap, BTreeSet};
use std::time::{Duration, Instant};

use tallywater_core::course::{CourseId, EntryId, LedgerId, Role, SkillId, starter};
use tallywater_core::entry::{Body, Entry, OutlineSet, Writer, write};
use tallywater_core::standing::CourseStanding;
use tallywater_core::trust::{Line, Verdict};

use crate::entries;
use crate::report::Report;

const ENTRIES: u64 = 10_000;
/// Of 512 KiB each, as they go over the link.
const PIECES: usize = 20;
const ROUNDS: usize = 3;

pub(crate) fn run(report: &Report) {
    if !report.wants("first sync in parts") {
        return;
    }
    let LedgerId::Course(course) = entries::course(1) else {
        return;
    };
    let lines = lines();
    let show = |what: &str, pieces: usize| {
        let length = lines.len().div_ceil(pieces);
        let least = (0..ROUNDS).map(|_| took(course, &lines, length)).min();
        report.note(
            &format!("first sync in parts: what the marks mean, {what}"),
            least.unwrap(),
        );
    };
    show("a piece at a time", PIECES);
    show("all at once", 1);
}

fn took(course: CourseId, lines: &[(EntryId, Line)], length: usize) -> Duration {
    let writer = Writer {
        staff: entries::attempt(0).by,
        role: Role::Instructor,
    };
    let mut standing = CourseStanding::new(course);
    let start = Instant::now();
    for piece in lines.chunks(length) {
        let piece = piece.iter();
        standing.take_all(piece.map(|(id, line)| (*id, line, Verdict::Counts(writer))));
    }
    let took = start.elapsed();
    let marks = standing.cells().values().map(|cell| cell.seen.len());
    assert_eq!(marks.sum::<usize>(), lines.len() - 1);
    took
}

/// An outline, and marks of eight students in all of its skills, one after the other.
fn lines() -> Vec<(EntryId, Line)> {
    let (ledger, key) = (entries::course(1), entries::key(1));
    let outline = starter::outline().unwrap();
    let skills: Vec<SkillId> = outline.skills.iter().map(|one| one.id.clone()).collect();
    let sealed = |entry: &Entry| {
        let (id, bytes) = key.seal(&ledger, None, &write(entry).unwrap());
        (id, Line::checked_before(id, &bytes))
    };
    let mut set = entries::attempt(0);
    set.body = OutlineSet { outline, why: None }.into();
    let mut lines = vec![sealed(&set)];
    let mut cells: BTreeMap<(u64, usize), BTreeSet<EntryId>> = BTreeMap::new();
    for number in 0..ENTRIES {
        let mut entry = entries::attempt(number);
        let place = usize::try_from(number / 8).unwrap() % skills.len();
        let before = cells.entry((number % 8, place)).or_default();
        entry.after = before.iter().copied().collect();
        if let Body::Attempt(attempt) = &mut entry.body {
            attempt.skill = skills[place].clone();
        }
        let (id, line) = sealed(&entry);
        before.insert(id);
        lines.push((id, line));
    }
    lines
}
