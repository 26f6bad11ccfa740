//! A day of dives of one person, dive after dive.
//!
//! Source: U.S. Navy Diving Manual, Revision 7, 2016, chapter 9: residual time plus bottom time is
//! the equivalent single time; after under ten minutes at the surface the bottom times are added
//! and the deeper depth counts. Bottom times are rounded up, intervals down.

use super::entry::{Residual, no_stop, no_stop_end, whole_bottom};
use super::site::NoStopSite;
use super::table::{AfterInterval, Group, Limit, after_interval};
use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, listed};
use crate::calc::unit::{FeetSeaWater, Metres, Minutes, MinutesWhole};

/// One dive of a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlannedDive {
    /// Time at the surface since the dive before; of the first dive it is not looked at.
    pub interval: Minutes,
    /// The deepest depth.
    pub depth: Metres,
    /// From leaving the surface to leaving the bottom.
    pub bottom: Minutes,
}

/// How a dive hangs together with the one before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum), uniffi(name = "DiveLink"))]
pub enum Link {
    /// The first of the day.
    First,
    /// Begun with residual nitrogen.
    Repetitive,
    /// So long after the one before that it counts as a first dive.
    NotRepetitive,
    /// Under ten minutes after it: both are one dive.
    SameDive,
}

/// One dive as the table sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayLine {
    /// How it hangs together with the one before.
    pub link: Link,
    /// The depth that was looked up: corrected for altitude, and the deeper of two that are one dive.
    pub depth: Metres,
    /// Its row.
    pub row: FeetSeaWater,
    /// The group at its beginning.
    pub before: Option<Group>,
    /// What that is in minutes.
    pub residual: Residual,
    /// What could still be dived when this dive began, its own time included.
    pub limit: Limit,
    /// Bottom time as it counts; of two that are one dive, both.
    pub bottom: MinutesWhole,
    /// With the residual time; `None` where there is none to add to.
    pub equivalent: Option<MinutesWhole>,
    /// The group at its end.
    pub group: Group,
}

/// The dive that would go beyond its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BeyondLimit {
    /// Its place in the list, from 0.
    pub dive: u32,
    /// What was planned, rounded up.
    pub asked: MinutesWhole,
    /// What is possible; 0 is no dive.
    pub limit: MinutesWhole,
}

/// A day as the table sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct DayPlan {
    /// Dive by dive, up to the last that lies within its limit.
    pub lines: Vec<DayLine>,
    /// The first dive that does not; what follows it is not looked at.
    pub beyond: Option<BeyondLimit>,
    /// The highest group of the day, for the wait before flying; `None` without a dive.
    pub highest: Option<Group>,
    /// What to say beside it.
    pub caution: Caution,
}

/// A day of dives of one person.
///
/// # Errors
/// More than 20 dives, an altitude above 10,000 ft, a depth that (as a depth at sea level) is not on
/// the table, or a time that is none.
///
/// ```
/// use tallywater_core::calc::no_stop::{Group, NoStopSite, PlannedDive, day_plan};
/// use tallywater_core::calc::unit::{Metres, Minutes, MinutesWhole};
/// let day = day_plan(&[
///     PlannedDive { interval: Minutes(0.0), depth: Metres(18.0), bottom: Minutes(35.0) },
///     PlannedDive { interval: Minutes(60.0), depth: Metres(18.0), bottom: Minutes(25.0) },
/// ], NoStopSite::SEA)?;
/// assert_eq!(day.lines[1].before, Some(Group::F));
/// assert_eq!((day.lines[1].equivalent, day.lines[1].group), (Some(MinutesWhole(60)), Group::K));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn day_plan(dives: &[PlannedDive], site: NoStopSite) -> Result<DayPlan, OutsideTable> {
    listed(Quantity::Dives, dives, 0, 20)?;
    let mut lines: Vec<DayLine> = Vec::with_capacity(dives.len());
    let mut beyond = None;
    for (place, dive) in (0..).zip(dives) {
        let begun = begin(lines.last(), dive.interval, dive.depth, site)?;
        let bottom = whole_bottom(dive.bottom)?;
        if let Limit::Minutes(limit) = begun.limit
            && bottom > limit
        {
            beyond = Some(BeyondLimit {
                dive: place,
                asked: bottom,
                limit,
            });
            break;
        }
        let together = MinutesWhole(begun.already + bottom.0);
        let end = no_stop_end(begun.depth, begun.before, together.exact())?;
        lines.push(DayLine {
            link: begun.link,
            depth: begun.depth,
            row: begun.row,
            before: begun.before,
            residual: begun.residual,
            limit: begun.limit,
            bottom: end.bottom,
            equivalent: end.equivalent,
            group: end.group,
        });
    }
    let highest = lines.iter().map(|line| line.group).max();
    Ok(DayPlan {
        lines,
        beyond,
        highest,
        caution: Caution::TableAndComputerFirst,
    })
}

/// How a dive begins, before anyone knows how long it will be.
pub(super) struct Begun {
    pub(super) link: Link,
    pub(super) depth: Metres,
    pub(super) row: FeetSeaWater,
    pub(super) before: Option<Group>,
    pub(super) residual: Residual,
    pub(super) limit: Limit,
    /// Minutes of the dive before, where both are one dive.
    already: u32,
}

pub(super) fn begin(
    last: Option<&DayLine>,
    interval: Minutes,
    depth: Metres,
    site: NoStopSite,
) -> Result<Begun, OutsideTable> {
    let depth = site.sea_level_depth(depth)?;
    let (link, depth, before, already) = match last {
        None => (Link::First, depth, site.first_group()?, 0),
        Some(line) => match after_interval(line.group, interval)? {
            AfterInterval::Group(group) => (Link::Repetitive, depth, Some(group), 0),
            AfterInterval::NotRepetitive => (Link::NotRepetitive, depth, None, 0),
            AfterInterval::SameDive => {
                let deeper = if line.depth > depth {
                    line.depth
                } else {
                    depth
                };
                (Link::SameDive, deeper, line.before, line.bottom.0)
            }
        },
    };
    let entry = no_stop(depth, before)?;
    let limit = match entry.limit {
        Limit::Unlimited => Limit::Unlimited,
        Limit::Minutes(limit) => Limit::Minutes(MinutesWhole(limit.0.saturating_sub(already))),
    };
    Ok(Begun {
        link,
        depth,
        row: entry.row,
        before,
        residual: entry.residual,
        limit,
        already,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dive(interval: f64, depth: f64, bottom: f64) -> PlannedDive {
        PlannedDive {
            interval: Minutes(interval),
            depth: Metres(depth),
            bottom: Minutes(bottom),
        }
    }

    fn at_sea(dives: &[PlannedDive]) -> DayPlan {
        day_plan(dives, NoStopSite::SEA).unwrap()
    }

    #[test]
    fn a_second_dive_after_nine_minutes_is_the_same_dive_at_the_deeper_depth() {
        let day = at_sea(&[dive(0.0, 18.0, 20.0), dive(9.9, 12.0, 10.0)]);
        let together = at_sea(&[dive(0.0, 18.0, 30.0)]);
        assert_eq!(day.lines[1].link, Link::SameDive);
        assert_eq!(day.lines[1].group, together.lines[0].group);
        assert_eq!(day.lines[1].bottom, MinutesWhole(30));
        let later = at_sea(&[dive(0.0, 18.0, 20.0), dive(10.0, 12.0, 10.0)]);
        assert_eq!(later.lines[1].link, Link::Repetitive);
    }

    #[test]
    fn three_short_hops_are_one_dive() {
        let day = at_sea(&[
            dive(0.0, 6.0, 10.0),
            dive(5.0, 9.0, 10.0),
            dive(5.0, 6.0, 10.0),
        ]);
        assert_eq!(day.lines[2].bottom, MinutesWhole(30));
        assert_eq!(day.lines[2].row, FeetSeaWater(30.0));
    }

    #[test]
    fn a_day_stops_at_the_dive_that_goes_beyond() {
        let day = at_sea(&[
            dive(0.0, 18.0, 35.0),
            dive(60.0, 18.0, 28.1),
            dive(120.0, 10.0, 10.0),
        ]);
        assert_eq!(day.lines.len(), 1);
        let beyond = day.beyond.unwrap();
        assert_eq!(
            beyond,
            BeyondLimit {
                dive: 1,
                asked: MinutesWhole(29),
                limit: MinutesWhole(28)
            }
        );
    }

    #[test]
    fn the_morning_after_is_a_first_dive_again() {
        let day = at_sea(&[dive(0.0, 18.0, 35.0), dive(15.0 * 60.0, 18.0, 63.0)]);
        assert_eq!(
            (day.lines[1].link, day.lines[1].before),
            (Link::NotRepetitive, None)
        );
        assert!(day.beyond.is_none());
    }

    #[test]
    fn altitude_shortens_the_day() {
        let lake = NoStopSite {
            altitude: Metres(2000.0),
            since_arrival: Some(Minutes(30.0)),
        };
        let high = day_plan(&[dive(0.0, 18.0, 30.0)], lake).unwrap();
        // 22.94 m is 75.3 ft: the 80 row, and the divers arrive in group F (7,000 ft).
        assert_eq!(high.lines.first().map(|line| line.row), None);
        assert_eq!(high.beyond.unwrap().limit, MinutesWhole(39 - 25));
    }

    #[test]
    fn no_dives_are_an_empty_day() {
        let day = at_sea(&[]);
        assert_eq!((day.lines.len(), day.highest), (0, None));
    }
}
