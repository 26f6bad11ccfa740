//! Shared: a make-up that serves students of two courses in one slot, with the same staff. A
//! proposal: a person accepts it, and it is a session in each of the two.
//!
//! It is never worse than a slot for each: the same students and the same skills, no later than
//! the later of the two would be, and one slot instead of two. No rule of either course is
//! broken by it; what of its people is missing on paper keeps them out of it.

mod hold;
mod together;

use std::collections::BTreeSet;

use super::draft::{carried_out, draft, held_blocks, is_planned, needed, still_in};
use super::people::{StaffName, StudentName};
use super::reader::count;
use super::{Leave, Moment, Reader};
use crate::course::{Block, BlockId, CourseId, SessionPlan, StudentId};
use crate::entry::Kind;
use crate::plan::free_slots;
use crate::standing::CourseStanding;

use hold::{Asked, Side};
pub(super) use together::{minutes, within};

/// The make-ups that a course could share with others of this device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SharedView {
    /// Of which course.
    pub course: CourseId,
    /// One for each other course that it can share one with, the earliest first.
    pub rows: Vec<SharedRow>,
    /// The other courses whose students need the same, and why nothing is proposed with them.
    pub others: Vec<NotShared>,
    /// How many free slots the school has from now on.
    pub free: u32,
    /// Whether the reader may plan sessions.
    pub may_plan: Leave,
}

/// One slot for students of two courses.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SharedRow {
    /// When it starts.
    pub starts: Moment,
    /// When it ends.
    pub ends: Moment,
    /// Where.
    pub site: String,
    /// What the slot costs, in the school's words.
    pub price: Option<String>,
    /// Who teaches and assists, in both.
    pub staff: Vec<StaffName>,
    /// Students together.
    pub students: u32,
    /// The most that the rules of both courses allow in the water with these staff; `None` on
    /// land.
    pub ceiling: Option<u32>,
    /// What it takes one after another, the skills that both need run once for all.
    pub minutes: u32,
    /// The two courses, the one that was asked about first.
    pub sides: Vec<SharedSide>,
}

/// One course's part of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SharedSide {
    /// Which course.
    pub course: CourseId,
    /// Its title.
    pub course_title: String,
    /// Whether its block was held before: then it is a make-up.
    pub makes_up: bool,
    /// For whom.
    pub students: Vec<StudentName>,
    /// What they still need, by name.
    pub skills: Vec<String>,
    /// Who needs it too and has something missing before that water.
    pub kept_out: Vec<StudentName>,
    /// The session as it would be planned; its title is the block's.
    pub plan: SessionPlan,
}

/// A course that needs the same, with which nothing is shared.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct NotShared {
    /// Which.
    pub course: CourseId,
    /// Its title.
    pub course_title: String,
    /// Why.
    pub because: NotSharedBecause,
}

/// Why nothing is shared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum NotSharedBecause {
    /// No instructor works on both courses.
    Staff,
    /// Whoever leads both has something to renew, or something that nobody recorded.
    Papers,
    /// No free slot suits both: its water, its length, or who can come.
    Slot,
    /// In none may so many be in the water, or so deep, with those who work on both.
    Rules,
    /// With a slot for each both would be through sooner.
    SoonerApart,
}

impl SharedView {
    /// Of a course among all that this device knows of.
    pub fn of(course: &CourseStanding, courses: &[&CourseStanding], reader: &Reader<'_>) -> Self {
        let asked = Asked {
            courses: courses.to_vec(),
            reader,
        };
        let free = free_slots(reader.shop, courses, reader.now);
        let own = sides(course, reader);
        let (mut rows, mut others) = (Vec::new(), Vec::new());
        for other in courses.iter().copied() {
            if other.id() == course.id() {
                continue;
            }
            match asked.with(&own, &sides(other, reader), &free) {
                None => {}
                Some(Ok(row)) => rows.push(row),
                Some(Err(because)) => others.push(NotShared {
                    course: *other.id(),
                    course_title: other.title(),
                    because,
                }),
            }
        }
        rows.sort_by_key(|row| (row.starts.at, row.sides.last().map(|side| side.course)));
        Self {
            course: *course.id(),
            rows,
            others,
            free: count(free.len()),
            may_plan: reader.may_write(Kind::SessionPlanned),
        }
    }
}

/// What a course's students still need: of each block that was held, and of the first that no
/// session carries out yet; whoever is on a session of that block that is to come needs none.
fn sides<'a>(course: &'a CourseStanding, reader: &Reader<'_>) -> Vec<Side<'a>> {
    let all = course.outline().map_or(&[][..], |one| &one.blocks);
    let held: BTreeSet<&BlockId> = held_blocks(course, reader).map(|one| &one.id).collect();
    let next = all.iter().find(|block| !is_planned(course, &block.id));
    let next = next.map(|one| &one.id);
    let students = still_in(course, reader);
    let of = |block: &'a Block| {
        let ahead = carried_out(course, &block.id).filter(|plan| plan.starts > reader.now);
        let ahead: Vec<StudentId> = ahead.flat_map(|plan| &plan.students).copied().collect();
        let mut without = students.clone();
        without.retain(|student| !ahead.contains(student));
        let needed = needed(course, &without, block);
        (!needed.is_empty()).then(|| Side {
            course,
            block,
            makes_up: held.contains(&block.id),
            needed,
            plan: draft(course, reader, Some(&block.id)),
        })
    };
    all.iter()
        .filter(|block| held.contains(&block.id) || next == Some(&block.id))
        .filter_map(of)
        .collect()
}
