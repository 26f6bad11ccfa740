//! Counting: the dives in open water that are a course's, numbered once for all who ask:
//! the plan of the next one, the log of those made, the papers.
//!
//! A dive is held in open water if its session is. One shorter or shallower than the
//! policy's rule is a dive of the day, and none of the course's. A dive in a pool has no
//! number.

use chrono::{DateTime, FixedOffset};

use crate::course::{EntryId, Rule, Setting};
use crate::entry::{Body, DiveLogged, Kind, Who};
use crate::standing::{Counted, CourseStanding};

/// A person's dives in open water, counting or not, in order of going down.
pub fn open_water_dives<'a>(
    course: &'a CourseStanding,
    who: &Who,
) -> Vec<(&'a Counted, &'a DiveLogged)> {
    let of_person = |one: &'a Counted| {
        if let Body::DiveLogged(dive) = &one.entry.body {
            (dive.who == *who && is_open(course, dive)).then_some((one, dive))
        } else {
            None
        }
    };
    let mut dives: Vec<_> = match who {
        Who::Student(student) => course.about(student).filter_map(of_person).collect(),
        Who::Staff(_) => course
            .of_kind(Kind::DiveLogged)
            .filter_map(of_person)
            .collect(),
    };
    dives.sort_by_key(|(one, dive)| (dive.log.down, one.entry.id));
    dives
}

/// Those of them that count as dives of the course.
pub fn counting_dives<'a>(
    course: &'a CourseStanding,
    who: &Who,
) -> Vec<(&'a Counted, &'a DiveLogged)> {
    let mut dives = open_water_dives(course, who);
    dives.retain(|(_, dive)| counts(course, dive));
    dives
}

/// The number of a dive that goes down at this moment, counted from 1: one more than the
/// counting dives before it. `entry` is the dive's own, where it is logged already.
pub fn dive_number(
    course: &CourseStanding,
    who: &Who,
    down: DateTime<FixedOffset>,
    entry: Option<EntryId>,
) -> usize {
    let before = |one: &Counted, dive: &DiveLogged| match entry {
        Some(entry) => (dive.log.down, one.entry.id) < (down, entry),
        None => true,
    };
    counting_dives(course, who)
        .into_iter()
        .filter(|(one, dive)| before(one, dive))
        .count()
        + 1
}

/// Whether a dive was held in open water, as its session's plan says.
pub fn is_open(course: &CourseStanding, dive: &DiveLogged) -> bool {
    dive.session
        .and_then(|id| course.sessions().get(&id))
        .is_some_and(|session| session.plan.setting == Setting::Open)
}

/// Whether a dive in open water was deep and long enough to be one of the course's; without
/// a rule every one is.
pub fn counts(course: &CourseStanding, dive: &DiveLogged) -> bool {
    let rules = course.rules();
    let mut least = rules.filter_map(|rule| {
        if let Rule::DiveCounts {
            least_cm,
            least_minutes,
        } = rule.rule
        {
            Some((least_cm, i64::from(least_minutes)))
        } else {
            None
        }
    });
    least.all(|(cm, minutes)| {
        let log = &dive.log;
        log.max_depth_cm >= cm && (log.up - log.down).num_minutes() >= minutes
    })
}
