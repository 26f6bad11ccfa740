//! Lost: the sessions of a day that cannot be held, planned anew in free slots with the fewest
//! changes to what people were told.
//!
//! Every way to lay them into the slots is looked at, and one that is worse already in the
//! first thing that counts is left at once: the answer is the best there is, and says so. Only
//! with more ways than are looked at it is the best of those that were.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset, NaiveDate, TimeDelta};

use super::slots::{Spacing, water_of};
use crate::course::{CourseId, Setting, StaffId, StudentId, folded};

/// The most steps on the ways that are looked at; every way to lay three sessions into forty
/// slots is within it.
const MOST_STEPS: u32 = 200_000;

/// A session that cannot be held when it was planned, with the sessions of other courses that
/// share its water and go where it goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LostSession {
    /// Its course, and those of the sessions that go with it.
    pub courses: BTreeSet<CourseId>,
    /// When people were told that it starts.
    pub starts: DateTime<FixedOffset>,
    /// How long it is planned; of those that go together the longest.
    pub minutes: u16,
    /// Where it has to be held.
    pub setting: Setting,
    /// Where people were told to come.
    pub site: String,
    /// Whose it is: of all that go together.
    pub students: BTreeSet<StudentId>,
    /// Who teaches and assists, likewise.
    pub staff: BTreeSet<StaffId>,
    /// How far it has to lie from its students' other sessions.
    pub spacing: Spacing,
}

/// A session of one of these courses that stays where it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StayingSession {
    /// Of which course.
    pub course: CourseId,
    /// When it starts.
    pub starts: DateTime<FixedOffset>,
    /// Where it is held.
    pub setting: Setting,
    /// Whose it is.
    pub students: BTreeSet<StudentId>,
}

/// A free slot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// From when.
    pub starts: DateTime<FixedOffset>,
    /// For how long.
    pub minutes: u16,
    /// What can be held there.
    pub setting: Setting,
    /// Where.
    pub site: String,
    /// By lost session, how many of its people cannot come then.
    pub away: Vec<u32>,
    /// The lost sessions, by their place, that may not be held in it whatever its hours.
    pub barred: BTreeSet<usize>,
}

/// What changes for people, the gravest first: of two plans the one that is less in the first
/// figure in which they differ is better.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Changes {
    /// Sessions that no slot is found for.
    pub unplaced: u32,
    /// Pairs of a course's sessions that come in another order than people were told.
    pub out_of_order: u32,
    /// People who cannot come when theirs is held now.
    pub away: u32,
    /// Sessions at another place.
    pub places: u32,
    /// Sessions at another time of day.
    pub hours: u32,
    /// Days that they are later, or earlier, all together.
    pub days: u32,
}

/// The sessions of a lost day, planned anew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MovedDay {
    /// By lost session, the offer that it is held in.
    pub held_in: Vec<Option<usize>>,
    /// What changes.
    pub changes: Changes,
    /// Whether every way was looked at: then none changes less.
    pub proven: bool,
}

/// Plans lost sessions anew, each in a slot of its own that suits it and is long enough, on a
/// day that leaves every student's sessions as far apart as is asked, and at no hours at which
/// another of them has the same people. `others` are the sessions of their courses that stay.
pub fn move_lost(lost: &[LostSession], offers: &[Offer], others: &[StayingSession]) -> MovedDay {
    let mut search = Search {
        lost,
        offers,
        others,
        told: lost.iter().map(|one| folded(&one.site)).collect(),
        offered: offers.iter().map(|one| folded(&one.site)).collect(),
        chosen: Vec::new(),
        best: None,
        steps: 0,
    };
    search.go(Changes::default());
    let (changes, held_in) = search.best.unwrap_or_default();
    MovedDay {
        held_in,
        changes,
        proven: search.steps < MOST_STEPS,
    }
}

struct Search<'a> {
    lost: &'a [LostSession],
    offers: &'a [Offer],
    others: &'a [StayingSession],
    /// The places that people were told, and those that are offered.
    told: Vec<String>,
    offered: Vec<String>,
    chosen: Vec<Option<usize>>,
    best: Option<(Changes, Vec<Option<usize>>)>,
    steps: u32,
}

impl Search<'_> {
    fn go(&mut self, so_far: Changes) {
        self.steps = self.steps.saturating_add(1);
        // Every figure only grows on the way down.
        let worse = self.best.as_ref().is_some_and(|(best, _)| so_far >= *best);
        if worse || (self.steps >= MOST_STEPS && self.best.is_some()) {
            return;
        }
        let at = self.chosen.len();
        let Some(session) = self.lost.get(at) else {
            self.best = Some((so_far, self.chosen.clone()));
            return;
        };
        for (place, offer) in self.offers.iter().enumerate() {
            if self.chosen.contains(&Some(place))
                || offer.barred.contains(&at)
                || !offer.suits(session)
                || self.is_taken(session, offer)
                || !self.keeps(session, offer)
            {
                continue;
            }
            let changes = self.with(so_far, (at, session), (place, offer));
            self.chosen.push(Some(place));
            self.go(changes);
            self.chosen.pop();
        }
        self.chosen.push(None);
        self.go(Changes {
            unplaced: so_far.unplaced.saturating_add(1),
            ..so_far
        });
        self.chosen.pop();
    }

    /// Whether some of a session's people are in another that is laid at hours of that slot.
    fn is_taken(&self, session: &LostSession, offer: &Offer) -> bool {
        let mut laid = self.lost.iter().zip(&self.chosen);
        laid.any(|(other, held)| {
            let held = held.and_then(|place| self.offers.get(place));
            let meets = held.is_some_and(|held| {
                let seconds = (held.starts - offer.starts).num_seconds();
                seconds < length(session) && -seconds < length(other)
            });
            let same = !other.students.is_disjoint(&session.students)
                || !other.staff.is_disjoint(&session.staff);
            meets && same
        })
    }

    /// Whether every student's sessions lie as far apart as is asked with this one in that slot.
    fn keeps(&self, session: &LostSession, offer: &Offer) -> bool {
        if !session.spacing.asks(session.setting) {
            return true;
        }
        let laid = self.lost.iter().zip(&self.chosen);
        let laid = laid.filter_map(|(other, held)| {
            let held = self.offers.get((*held)?)?;
            Some((&other.students, held.starts.date_naive(), other.setting))
        });
        let stay = self.others.iter();
        let stay = stay.map(|one| (&one.students, one.starts.date_naive(), one.setting));
        let beside: Vec<(&BTreeSet<StudentId>, NaiveDate, Setting)> = laid.chain(stay).collect();
        let held = (offer.starts.date_naive(), session.setting);
        session.students.iter().all(|student| {
            let theirs = beside.iter().filter(|one| one.0.contains(student));
            session
                .spacing
                .allows(held, theirs.map(|(_, day, setting)| (*day, *setting)))
        })
    }

    fn with(
        &self,
        so_far: Changes,
        (at, session): (usize, &LostSession),
        (place, offer): (usize, &Offer),
    ) -> Changes {
        let turned = |before: DateTime<FixedOffset>, after: DateTime<FixedOffset>| {
            (session.starts < before) != (offer.starts < after)
        };
        let laid = self.lost.iter().zip(&self.chosen);
        let laid = laid.filter_map(|(other, held)| {
            let held = self.offers.get((*held)?)?;
            let apart = other.courses.is_disjoint(&session.courses);
            Some(!apart && turned(other.starts, held.starts))
        });
        let others = self.others.iter();
        let others = others.filter(|other| session.courses.contains(&other.course));
        let others = others.map(|other| turned(other.starts, other.starts));
        let turns = laid.chain(others).filter(|turned| *turned).count();
        let apart = (offer.starts.date_naive() - session.starts.date_naive()).abs();
        Changes {
            unplaced: so_far.unplaced,
            out_of_order: so_far.out_of_order.saturating_add(count(turns)),
            away: so_far
                .away
                .saturating_add(offer.away.get(at).copied().unwrap_or(0)),
            places: so_far
                .places
                .saturating_add(u32::from(self.told.get(at) != self.offered.get(place))),
            hours: so_far
                .hours
                .saturating_add(u32::from(offer.starts.time() != session.starts.time())),
            days: so_far.days.saturating_add(days(apart)),
        }
    }
}

impl Offer {
    /// Whether a session can be held in it: as long, and in the same water.
    fn suits(&self, session: &LostSession) -> bool {
        self.minutes >= session.minutes && water_of(self.setting) == water_of(session.setting)
    }
}

/// As long as it is planned, in seconds.
fn length(session: &LostSession) -> i64 {
    i64::from(session.minutes).saturating_mul(60)
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

fn days(apart: TimeDelta) -> u32 {
    u32::try_from(apart.num_days()).unwrap_or(u32::MAX)
}
