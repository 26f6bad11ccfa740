//! Draft: a plan to begin with, before a person changes it: of the next block, or a make-up of
//! what one student still needs.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, DurationRound, FixedOffset, NaiveTime, TimeDelta};

use super::Reader;
use crate::course::{
    Block, BlockId, SessionPlan, Setting, SkillId, Slot, StaffId, StudentId, WaterKind, WaterPlan,
};
use crate::plan::{Spacing, brings_on, free_slots, water_of};
use crate::standing::CourseStanding;

/// A plan to begin with: the block's skills where one is named, else those of the first block
/// that no session carries out yet; everyone who is still in the course, its staff, and the
/// water as it last was in that setting.
///
/// It is held in the school's next free slot for that water, as long as the slot is, where the
/// reader knows the courses of this device and one is left. Without a slot it is as long as its
/// block, at the place of the last session in that setting and at that hour tomorrow; where there
/// was none, at the course's place and the next half hour, or tomorrow at nine where that half
/// hour is tomorrow's.
///
/// Once every block is planned, the one of which most is still open is held again, with what
/// is open of it and for those who need it.
pub fn draft(course: &CourseStanding, reader: &Reader<'_>, block: Option<&BlockId>) -> SessionPlan {
    let blocks = course.outline().map_or(&[][..], |one| &one.blocks);
    let block = match block {
        Some(id) => blocks.iter().find(|one| &one.id == id),
        None => blocks.iter().find(|one| !is_planned(course, &one.id)),
    };
    if block.is_none()
        && let Some((again, needed)) = most_open(course, &still_in(course, reader), blocks)
    {
        let mut plan = draft(course, reader, Some(&again.id));
        plan.run_list
            .retain(|skill| needed.values().flatten().any(|open| *open == skill));
        plan.students.retain(|student| needed.contains_key(student));
        return plan;
    }
    let setting = block.map_or(Setting::Confined, |block| block.setting);
    let last = course
        .sessions()
        .values()
        .map(|session| &session.plan)
        .filter(|plan| plan.setting == setting)
        .max_by_key(|plan| plan.starts);
    let slot = next_slot(course, reader, setting);
    let staff: Vec<StaffId> = course.staff().into_keys().collect();
    SessionPlan {
        title: block.map_or_else(String::new, |block| block.title.clone()),
        block: block.map(|block| block.id.clone()),
        setting,
        site: slot
            .map(|slot| slot.site.clone())
            .or_else(|| last.map(|plan| plan.site.clone()))
            .or_else(|| course.opened()?.place.clone())
            .unwrap_or_default(),
        starts: slot.map_or_else(|| without_slot(reader, last), |slot| slot.starts),
        minutes: slot
            .map(|slot| slot.minutes)
            .or_else(|| block.map(|block| block.minutes))
            .unwrap_or(60),
        students: still_in(course, reader),
        staff,
        run_list: block.map_or_else(Vec::new, |block| block.run_list.clone()),
        water: last.map_or(
            WaterPlan {
                kind: WaterKind::Fresh,
                max_depth_cm: None,
                altitude_m: None,
                temperature_dc: None,
                visibility_dm: None,
                moving: false,
            },
            |plan| plan.water.clone(),
        ),
        stations: Vec::new(),
        also: last.map_or_else(BTreeSet::new, |plan| plan.also.clone()),
        bring: last.and_then(|plan| plan.bring.clone()),
    }
}

/// The school's next free slot for this water in which the course holds nothing elsewhere, on a
/// day that takes one more dive by the course's rule.
fn next_slot<'a>(
    course: &CourseStanding,
    reader: &Reader<'a>,
    setting: Setting,
) -> Option<&'a Slot> {
    let held: Vec<&SessionPlan> = course
        .sessions()
        .values()
        .filter(|now| now.cancelled.is_none())
        .map(|now| &now.plan)
        .collect();
    let spacing = Spacing::of(course, 0);
    let suits = |slot: &&Slot| {
        let meets = held.iter().any(|plan| plan.meets(slot.starts, slot.ends()));
        let days = held
            .iter()
            .map(|plan| (plan.starts.date_naive(), plan.setting));
        !meets
            && water_of(slot.setting) == water_of(setting)
            && spacing.allows((slot.starts.date_naive(), setting), days)
    };
    free_slots(reader.shop, &reader.among(course), reader.now)
        .into_iter()
        .find(suits)
}

/// When a session without a slot begins, before a person says otherwise.
fn without_slot(reader: &Reader<'_>, last: Option<&SessionPlan>) -> DateTime<FixedOffset> {
    let zone = reader.now.timezone();
    let tomorrow = |time: NaiveTime| {
        let day = reader.today().succ_opt()?;
        day.and_time(time).and_local_timezone(zone).single()
    };
    let soon = reader.now.duration_round_up(TimeDelta::minutes(30)).ok();
    last.and_then(|plan| tomorrow(plan.starts.time()))
        .or_else(|| soon.filter(|at| at.date_naive() == reader.today()))
        // Midnight is nobody's hour to meet: it would be taken for tonight.
        .or_else(|| NaiveTime::from_hms_opt(9, 0, 0).and_then(tomorrow))
        .unwrap_or(reader.now)
}

/// A make-up for one student: of the blocks that were held already, else of all, the one of
/// whose skills this student still needs most, with those skills alone; `None` where nothing
/// of any block is needed.
pub fn make_up(
    course: &CourseStanding,
    reader: &Reader<'_>,
    student: StudentId,
) -> Option<SessionPlan> {
    let all = course.outline().map_or(&[][..], |one| &one.blocks);
    let whom = [student];
    let (block, needed) = most_open(course, &whom, held_blocks(course, reader))
        .or_else(|| most_open(course, &whom, all))?;
    let mut plan = draft(course, reader, Some(&block.id));
    plan.run_list = needed.into_values().flatten().cloned().collect();
    plan.students.retain(|one| *one == student);
    Some(plan)
}

/// The blocks that a session has carried out, or carries out now.
pub(super) fn held_blocks<'a>(
    course: &'a CourseStanding,
    reader: &Reader<'_>,
) -> impl Iterator<Item = &'a Block> {
    let now = reader.now;
    let all = course.outline().map_or(&[][..], |one| &one.blocks);
    all.iter()
        .filter(move |block| carried_out(course, &block.id).any(|plan| plan.starts <= now))
}

/// The students who are still in the course, in their order.
pub(super) fn still_in(course: &CourseStanding, reader: &Reader<'_>) -> Vec<StudentId> {
    let students = reader.people.roster(&course.students());
    let students = students.into_iter().map(|name| name.student);
    students
        .filter(|id| super::board::ended(course, id).is_none())
        .collect()
}

/// Of each student who is still in the course, the skills of a run list that are needed yet.
pub(super) type Needed<'a> = BTreeMap<StudentId, Vec<&'a SkillId>>;

/// Who of these still needs what of a block.
pub(super) fn needed<'a>(
    course: &CourseStanding,
    students: &[StudentId],
    block: &'a Block,
) -> Needed<'a> {
    let open = students.iter().map(|student| {
        let skills = block.run_list.iter().filter(|id| {
            let skill = course.outline().and_then(|outline| outline.skill(id));
            skill.is_some_and(|skill| {
                skill.required && brings_on(course, student, skill, block.setting)
            })
        });
        (*student, skills.collect::<Vec<_>>())
    });
    open.filter(|(_, skills)| !skills.is_empty()).collect()
}

/// The block of whose skills most are still needed, and by whom; `None` where nothing is.
fn most_open<'a>(
    course: &CourseStanding,
    students: &[StudentId],
    blocks: impl IntoIterator<Item = &'a Block>,
) -> Option<(&'a Block, Needed<'a>)> {
    let weighed = blocks.into_iter().map(|block| {
        let needed = needed(course, students, block);
        let open: usize = needed.values().map(Vec::len).sum();
        (open, block, needed)
    });
    // The earliest of equals: what comes later rests on it.
    let most = weighed.reduce(|most, one| if one.0 > most.0 { one } else { most })?;
    (most.0 > 0).then_some((most.1, most.2))
}

/// The sessions that carry out this block and were not cancelled.
pub(super) fn carried_out<'a>(
    course: &'a CourseStanding,
    block: &'a BlockId,
) -> impl Iterator<Item = &'a SessionPlan> {
    let sessions = course.sessions().values();
    let held = sessions
        .filter(|one| one.cancelled.is_none())
        .map(|one| &one.plan);
    held.filter(move |plan| plan.block.as_ref() == Some(block))
}

/// Whether a session carries out this block.
pub(super) fn is_planned(course: &CourseStanding, block: &BlockId) -> bool {
    carried_out(course, block).next().is_some()
}
