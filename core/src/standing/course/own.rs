//! A student's own dives: brought in from a log of theirs, none of the course.

use super::CourseStanding;
use crate::course::StudentId;
use crate::entry::{Body, Kind, OwnDive};
use crate::standing::Counted;

impl CourseStanding {
    /// A student's own dives that stand, by time.
    pub fn own_dives(&self, student: &StudentId) -> Vec<(&Counted, &OwnDive)> {
        let dives = self.of_kind(Kind::OwnDive).filter_map(|one| {
            if let Body::OwnDive(own) = &one.entry.body {
                (own.student == *student).then_some((one, own))
            } else {
                None
            }
        });
        let mut dives: Vec<(&Counted, &OwnDive)> = dives.collect();
        dives.sort_by_key(|(one, own)| (own.log.down, one.entry.id));
        dives
    }
}
