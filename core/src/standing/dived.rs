//! Dived: each person's dives out of several courses, each dive once; a student's own ones too,
//! since nitrogen asks nobody whose dive it was.
//!
//! Two logs of one person that overlap are one dive, logged twice: nobody is under water
//! in two places. It begins with the earlier and ends with the later, and is as deep as the
//! deeper, so what is reckoned from it is never less than what was dived.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use super::CourseStanding;
use crate::course::DiveLog;
use crate::entry::{Body, DiveLogged, Kind, OwnDive, Who};

/// One dive of one person.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dive {
    /// Left the surface.
    pub down: DateTime<FixedOffset>,
    /// Back at the surface.
    pub up: DateTime<FixedOffset>,
    /// Deepest, in centimetres.
    pub deepest_cm: u32,
    /// Vertical ascents, where somebody counted them; nought of a dive that is none of a course.
    pub ascents: Option<u8>,
    /// Height of the water above the sea in metres, where the session's plan says it.
    pub altitude_m: Option<i16>,
}

impl Dive {
    /// A dive as it was logged.
    pub const fn of(log: &DiveLog, altitude_m: Option<i16>) -> Self {
        Self {
            down: log.down,
            up: log.up,
            deepest_cm: log.max_depth_cm,
            ascents: log.ascents,
            altitude_m,
        }
    }

    /// Whole minutes under water.
    pub fn minutes(&self) -> i64 {
        (self.up - self.down).num_minutes()
    }

    fn join(&mut self, other: &Self) {
        self.down = self.down.min(other.down);
        self.up = self.up.max(other.up);
        self.deepest_cm = self.deepest_cm.max(other.deepest_cm);
        self.ascents = match (self.ascents, other.ascents) {
            // The student's own log of a course's dive takes no ascent of it away.
            (Some(0), counted) | (counted, Some(0)) => counted,
            // `None` is the least: one count is better than none.
            (one, other) => one.max(other),
        };
        self.altitude_m = self.altitude_m.max(other.altitude_m);
    }
}

/// Everybody's logged dives of these courses, by time.
pub fn dived<'a>(
    courses: impl IntoIterator<Item = &'a CourseStanding>,
) -> BTreeMap<Who, Vec<Dive>> {
    let mut dives: BTreeMap<Who, Vec<Dive>> = BTreeMap::new();
    for course in courses {
        for one in course.of_kind(Kind::DiveLogged) {
            if let Body::DiveLogged(logged) = &one.entry.body {
                let dive = Dive::of(&logged.log, altitude(course, logged));
                dives.entry(logged.who).or_default().push(dive);
            }
        }
        for one in course.of_kind(Kind::OwnDive) {
            if let Body::OwnDive(own) = &one.entry.body {
                let who = Who::Student(own.student);
                dives.entry(who).or_default().push(own_dive(own));
            }
        }
    }
    for one in dives.values_mut() {
        *one = each_once(std::mem::take(one));
    }
    dives
}

/// A student's own dive. The ascents in it are none that a rule of the course counts.
const fn own_dive(own: &OwnDive) -> Dive {
    let dive = Dive::of(&own.log, None);
    Dive {
        ascents: Some(0),
        ..dive
    }
}

/// One person's dives by time, those that overlap made one.
pub fn each_once(mut dives: Vec<Dive>) -> Vec<Dive> {
    dives.sort_by_key(|dive| (dive.down, dive.up));
    let mut once: Vec<Dive> = Vec::with_capacity(dives.len());
    for dive in dives {
        match once.last_mut() {
            Some(last) if dive.down < last.up || dive.down == last.down => last.join(&dive),
            Some(_) | None => once.push(dive),
        }
    }
    once
}

/// Height of the water of a dive, as its session's plan says it.
pub fn altitude(course: &CourseStanding, logged: &DiveLogged) -> Option<i16> {
    let session = course.sessions().get(&logged.session?)?;
    session.plan.water.altitude_m
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course::WaterKind;
    use crate::standing::sample::{RENATE, Sample, student, time};

    fn dive(down: &str, up: &str, deepest_cm: u32, ascents: Option<u8>) -> Dive {
        Dive {
            down: time(&format!("2026-06-06T{down}:00+02:00")),
            up: time(&format!("2026-06-06T{up}:00+02:00")),
            deepest_cm,
            ascents,
            altitude_m: None,
        }
    }

    #[test]
    fn an_own_dive_weighs_as_any_and_has_no_ascent_that_a_course_counts() {
        let mut sample = Sample::new();
        let log = DiveLog {
            down: time("2026-06-06T09:00:00+02:00"),
            up: time("2026-06-06T09:40:00+02:00"),
            max_depth_cm: 1_800,
            mean_depth_cm: None,
            ascents: Some(4),
            gas: None,
            water: WaterKind::Fresh,
            temperature_dc: None,
            profile: Vec::new(),
        };
        let student = student(1);
        let (site, who) = (None, Who::Student(student));
        sample.add(RENATE, &[], OwnDive { student, site, log });
        let found = dived([&sample.now]);
        assert_eq!(found[&who], [dive("09:00", "09:40", 1_800, Some(0))]);
        // Beside what the course logged of the same dive it takes no ascent away.
        let unsaid = dive("09:05", "09:35", 1_700, None);
        let own = dive("09:00", "09:40", 1_800, Some(0));
        for dives in [vec![unsaid, own], vec![own, unsaid]] {
            assert_eq!(each_once(dives), [dive("09:00", "09:40", 1_800, None)]);
        }
    }

    #[test]
    fn logs_that_overlap_are_one_dive_and_cost_no_less_than_either() {
        let once = each_once(vec![
            dive("11:00", "11:30", 600, None),
            dive("09:05", "09:40", 1_200, None),
            dive("09:00", "09:35", 1_800, Some(3)),
        ]);
        assert_eq!(
            once,
            [
                dive("09:00", "09:40", 1_800, Some(3)),
                dive("11:00", "11:30", 600, None)
            ]
        );
    }

    #[test]
    fn a_dive_that_begins_as_the_other_ends_is_another_one() {
        let both = vec![
            dive("09:00", "09:30", 600, None),
            dive("09:30", "09:50", 600, None),
        ];
        assert_eq!(each_once(both.clone()), both);
        let twice = dive("09:00", "09:00", 600, None);
        assert_eq!(each_once(vec![twice, twice]), [twice]);
    }
}
