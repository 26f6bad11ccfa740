//! The next dive of a class whose members have had different days: the shortest limit counts.

use super::day::{DayPlan, PlannedDive, begin, day_plan};
use super::site::NoStopSite;
use super::table::{Group, Limit};
use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, listed};
use crate::calc::unit::{Metres, Minutes, MinutesWhole};

/// One person's day so far, staff as well as students.
#[derive(Debug, Clone, PartialEq)]
pub struct PersonDay {
    /// The dives so far, pool sessions as well.
    pub dives: Vec<PlannedDive>,
    /// Time at the surface since the last of them, at the moment the next dive begins.
    pub interval: Minutes,
}

/// The next dive of the class.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassLimit {
    /// Each person's day so far, in the order that was given.
    pub days: Vec<DayPlan>,
    /// The group each begins the next dive in.
    pub before: Vec<Option<Group>>,
    /// What each could dive.
    pub limits: Vec<Limit>,
    /// The shortest of them.
    pub limit: Limit,
    /// The place of the first person with that limit; `None` where nobody has one.
    pub shortest: Option<u32>,
    /// What to say beside it.
    pub caution: Caution,
}

/// How long a class can dive next, each person with the day that person has had.
///
/// A person whose day already went beyond a limit has 0 minutes left.
///
/// # Errors
/// Nobody or more than 40 people, or a day that [`day_plan`] refuses.
///
/// ```
/// use tallywater_core::calc::no_stop::{Limit, NoStopSite, PersonDay, PlannedDive, class_limit};
/// use tallywater_core::calc::unit::{Metres, Minutes, MinutesWhole};
/// let dive = |bottom| PlannedDive { interval: Minutes(0.0), depth: Metres(18.0), bottom: Minutes(bottom) };
/// let fresh = PersonDay { dives: vec![], interval: Minutes(0.0) };
/// let twice = PersonDay { dives: vec![dive(35.0)], interval: Minutes(60.0) };
/// let class = class_limit(&[fresh, twice], Metres(18.0), NoStopSite::SEA)?;
/// assert_eq!((class.limit, class.shortest), (Limit::Minutes(MinutesWhole(28)), Some(1)));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn class_limit(
    people: &[PersonDay],
    depth: Metres,
    site: NoStopSite,
) -> Result<ClassLimit, OutsideTable> {
    listed(Quantity::Divers, people, 1, 40)?;
    let mut class = ClassLimit {
        days: Vec::with_capacity(people.len()),
        before: Vec::with_capacity(people.len()),
        limits: Vec::with_capacity(people.len()),
        limit: Limit::Unlimited,
        shortest: None,
        caution: Caution::TableAndComputerFirst,
    };
    for (place, person) in (0..).zip(people) {
        let day = day_plan(&person.dives, site)?;
        let begun = begin(day.lines.last(), person.interval, depth, site)?;
        let limit = if day.beyond.is_some() {
            Limit::Minutes(MinutesWhole(0))
        } else {
            begun.limit
        };
        if shorter(limit, class.limit) {
            class.limit = limit;
            class.shortest = Some(place);
        }
        class.limits.push(limit);
        class.before.push(begun.before);
        class.days.push(day);
    }
    Ok(class)
}

fn shorter(one: Limit, other: Limit) -> bool {
    match (one, other) {
        (Limit::Unlimited, _) => false,
        (Limit::Minutes(_), Limit::Unlimited) => true,
        (Limit::Minutes(one), Limit::Minutes(other)) => one < other,
    }
}
