//! Teams: who dives beside whom in a session, and who watches whom. It is said whole each time:
//! the latest that stands holds, and two that were said apart are both shown.
//!
//! Who is whose buddy decides nothing by itself: no headcount, no mark and no record rests on it.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::Who;
use crate::course::{SessionId, StaffId, StudentId};

/// Who dives beside whom in a session, and who watches whom.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TeamsSet {
    /// In which session.
    pub session: SessionId,
    /// Who with whom.
    pub teams: Teams,
}

/// Pairs and zones.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Teams {
    /// Buddies: two, or three where one would be alone; one where nobody is beside them. An
    /// assistant may be somebody's buddy.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pairs: Vec<Vec<Who>>,
    /// Whom each member of staff watches; a student is in one zone at most.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub zones: Vec<Zone>,
}

/// Whom a member of staff watches.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Zone {
    /// Who watches.
    pub staff: StaffId,
    /// Whom.
    pub watches: Vec<StudentId>,
}

/// The most that dive as one pair.
pub const LARGEST_PAIR: usize = 3;

impl Teams {
    /// Those who dive with somebody, without that one.
    pub fn buddies(&self, who: &Who) -> Vec<Who> {
        let pair = self.pairs.iter().find(|pair| pair.contains(who));
        let others = pair.into_iter().flatten().copied().filter(|one| one != who);
        others.collect()
    }

    /// Who watches a student.
    pub fn watched_by(&self, student: &StudentId) -> Option<StaffId> {
        let zone = self
            .zones
            .iter()
            .find(|zone| zone.watches.contains(student));
        zone.map(|zone| zone.staff)
    }

    /// Whether both say the same, in whatever order they say it.
    pub fn same_as(&self, other: &Self) -> bool {
        let zones = |of: &Self| -> BTreeMap<StaffId, BTreeSet<StudentId>> {
            of.zones
                .iter()
                .filter(|zone| !zone.watches.is_empty())
                .map(|zone| (zone.staff, zone.watches.iter().copied().collect()))
                .collect()
        };
        self.pair_sets() == other.pair_sets() && zones(self) == zones(other)
    }

    fn pair_sets(&self) -> BTreeSet<BTreeSet<Who>> {
        let pairs = self.pairs.iter().filter(|pair| pair.len() > 1);
        pairs.map(|pair| pair.iter().copied().collect()).collect()
    }

    /// The same with one person beside another, or alone: nobody else moves but that whoever is
    /// left alone in a pair is left alone.
    #[must_use]
    pub fn with_buddy(mut self, who: Who, beside: Option<Who>) -> Self {
        for pair in &mut self.pairs {
            pair.retain(|one| *one != who);
        }
        self.pairs.retain(|pair| !pair.is_empty());
        match beside {
            None => {
                if matches!(who, Who::Student(_)) {
                    self.pairs.push(vec![who]);
                }
            }
            Some(beside) => match self.pairs.iter_mut().find(|pair| pair.contains(&beside)) {
                Some(pair) => pair.push(who),
                None => self.pairs.push(vec![beside, who]),
            },
        }
        self
    }

    /// The same with one student watched by somebody else, or by nobody.
    #[must_use]
    pub fn with_watcher(mut self, student: StudentId, staff: Option<StaffId>) -> Self {
        for zone in &mut self.zones {
            zone.watches.retain(|one| *one != student);
        }
        if let Some(staff) = staff {
            match self.zones.iter_mut().find(|zone| zone.staff == staff) {
                Some(zone) => zone.watches.push(student),
                None => self.zones.push(Zone {
                    staff,
                    watches: vec![student],
                }),
            }
        }
        self.zones.retain(|zone| !zone.watches.is_empty());
        self
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;

    fn student(n: u128) -> StudentId {
        StudentId::new(Uuid::from_u128(n))
    }

    fn who(n: u128) -> Who {
        Who::Student(student(n))
    }

    fn of(pairs: &[&[u128]]) -> Teams {
        let pairs = pairs.iter();
        Teams {
            pairs: pairs
                .map(|pair| pair.iter().map(|n| who(*n)).collect())
                .collect(),
            zones: Vec::new(),
        }
    }

    #[test]
    fn one_who_moves_leaves_the_pair_and_makes_three_of_the_other() {
        let teams = of(&[&[1, 2], &[3, 4]]);
        let moved = teams.clone().with_buddy(who(1), Some(who(4)));
        assert_eq!(moved, of(&[&[2], &[3, 4, 1]]));
        assert_eq!(moved.buddies(&who(1)), [who(3), who(4)]);
        assert!(moved.buddies(&who(2)).is_empty());
        let back = moved.with_buddy(who(1), Some(who(2)));
        assert!(back.same_as(&teams), "{back:?}");
        let alone = teams.with_buddy(who(1), None);
        assert_eq!(alone, of(&[&[2], &[3, 4], &[1]]));
    }

    #[test]
    fn one_in_no_pair_yet_is_beside_whoever_is_named() {
        let teams = Teams::default().with_buddy(who(1), Some(who(2)));
        assert_eq!(teams, of(&[&[2, 1]]));
    }

    #[test]
    fn a_student_is_watched_by_one_and_an_empty_zone_is_none() {
        let staff = |n| StaffId::new(Uuid::from_u128(n));
        let teams = Teams::default()
            .with_watcher(student(1), Some(staff(8)))
            .with_watcher(student(2), Some(staff(8)))
            .with_watcher(student(1), Some(staff(9)));
        assert_eq!(teams.watched_by(&student(1)), Some(staff(9)));
        assert_eq!(teams.watched_by(&student(2)), Some(staff(8)));
        let none = teams
            .with_watcher(student(1), None)
            .with_watcher(student(2), None);
        assert!(none.same_as(&Teams::default()));
        assert!(none.zones.is_empty());
    }

    #[test]
    fn the_order_in_which_it_is_said_makes_no_difference() {
        assert!(of(&[&[1, 2], &[4, 3]]).same_as(&of(&[&[3, 4], &[2, 1]])));
        assert!(!of(&[&[1, 2], &[3, 4]]).same_as(&of(&[&[1, 3], &[2, 4]])));
        assert!(
            of(&[&[1, 2], &[3]]).same_as(&of(&[&[1, 2]])),
            "alone is unpaired"
        );
    }
}
