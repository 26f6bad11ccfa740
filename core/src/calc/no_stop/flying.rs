//! How long to wait before flying or driving over a pass.
//!
//! Sources: Sheffield, P. J. and Vann, R. D. (editors), Flying After Recreational Diving, Divers
//! Alert Network workshop 2002, proceedings 2004 (cabins of 2,000 to 8,000 ft: 12 hours after a
//! single no-stop dive, 18 after several dives or days, substantially longer after a dive with
//! stops). U.S. Navy Diving Manual, Revision 7, 2016, table 9-6 (by the highest group of the last
//! 24 hours; commercial flight as 8,000 ft; 48 hours after an exceptional exposure). The longer of
//! the two counts.

use super::sheet::{Cell, FLYING};
use super::site::TABLE_HIGHEST;
use super::table::Group;
use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{Feet, Metres, MinutesWhole};

/// What was dived.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum DivesBefore {
    /// One dive without stops in the last two days.
    SingleNoStop,
    /// Several dives, or dives on several days, all without stops.
    Repetitive,
    /// A dive that needed stops.
    WithStops,
    /// An exposure beyond what the table plans for.
    Exceptional,
}

/// One published wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PublishedWait {
    /// At least this long.
    AtLeast(MinutesWhole),
    /// Substantially longer than this; how much was not published.
    LongerThan(MinutesWhole),
    /// The source says nothing for this altitude.
    Silent,
}

/// Whose wait is the longer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Recommendation {
    /// The workshop of 2002.
    Workshop2002,
    /// The U.S. Navy's table 9-6.
    Navy,
}

/// How long to wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FlyingWait {
    /// By the workshop.
    pub workshop: PublishedWait,
    /// By the Navy's table.
    pub navy: PublishedWait,
    /// The longer of the two.
    pub wait: PublishedWait,
    /// Whose that is.
    pub longer: Recommendation,
    /// What to say beside it.
    pub caution: Caution,
}

/// The cabin of a commercial flight: 8,000 ft.
const WORKSHOP_LOWEST: Feet = Feet(2000.0);
const SAME_COLUMN: f64 = 1e-6; // ft

/// How long to wait before going up to `altitude` (8,000 ft for a commercial flight), counted from
/// surfacing after the last dive. `highest` is the highest group of the last 24 hours; without one
/// the heaviest is taken.
///
/// # Errors
/// An altitude outside 0 to 10,000 ft.
///
/// ```
/// use tallywater_core::calc::no_stop::{DivesBefore, Group, PublishedWait, flying_wait};
/// use tallywater_core::calc::unit::{Feet, MinutesWhole};
/// let wait = flying_wait(DivesBefore::Repetitive, Some(Group::K), Feet(8000.0).into())?;
/// assert_eq!(wait.navy, PublishedWait::AtLeast(MinutesWhole(15 * 60 + 35)));
/// assert_eq!(wait.wait, PublishedWait::AtLeast(MinutesWhole(18 * 60)));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn flying_wait(
    dives: DivesBefore,
    highest: Option<Group>,
    altitude: Metres,
) -> Result<FlyingWait, OutsideTable> {
    within(
        Quantity::Altitude,
        altitude,
        Metres(0.0),
        TABLE_HIGHEST.into(),
    )?;
    let workshop = workshop(dives, altitude);
    let navy = match dives {
        DivesBefore::Exceptional => PublishedWait::AtLeast(MinutesWhole(48 * 60)),
        DivesBefore::SingleNoStop | DivesBefore::Repetitive | DivesBefore::WithStops => {
            PublishedWait::AtLeast(navy_minutes(highest.unwrap_or(Group::Z), altitude))
        }
    };
    let longer = if minutes(navy) > minutes(workshop) {
        Recommendation::Navy
    } else {
        Recommendation::Workshop2002
    };
    let wait = match longer {
        Recommendation::Navy => navy,
        Recommendation::Workshop2002 => workshop,
    };
    let wait = if wait == PublishedWait::Silent {
        navy
    } else {
        wait
    };
    Ok(FlyingWait {
        workshop,
        navy,
        wait,
        longer,
        caution: Caution::ShortestWait,
    })
}

fn workshop(dives: DivesBefore, altitude: Metres) -> PublishedWait {
    if altitude < Metres::from(WORKSHOP_LOWEST) {
        return PublishedWait::Silent;
    }
    match dives {
        DivesBefore::SingleNoStop => PublishedWait::AtLeast(MinutesWhole(12 * 60)),
        DivesBefore::Repetitive => PublishedWait::AtLeast(MinutesWhole(18 * 60)),
        DivesBefore::WithStops | DivesBefore::Exceptional => {
            PublishedWait::LongerThan(MinutesWhole(18 * 60))
        }
    }
}

/// Two waits of the same minutes: "longer than" is the longer.
fn minutes(wait: PublishedWait) -> (u32, bool) {
    match wait {
        PublishedWait::AtLeast(minutes) => (minutes.0, false),
        PublishedWait::LongerThan(minutes) => (minutes.0, true),
        PublishedWait::Silent => (0, false),
    }
}

/// Table 9-6, the altitude rounded up to its next column.
fn navy_minutes(group: Group, altitude: Metres) -> MinutesWhole {
    let feet = Feet::from(altitude).0;
    if feet <= 0.0 {
        return MinutesWhole(0);
    }
    let line = FLYING
        .iter()
        .find(|line| matches!(line, [letter, ..] if group.is(*letter)));
    let cell = line.and_then(|line| {
        (1..=10_u32)
            .zip(line.iter().skip(1))
            .find(|(thousands, _)| f64::from(*thousands) * 1000.0 >= feet - SAME_COLUMN)
            .map(|(_, cell)| *cell)
    });
    match cell {
        Some(Cell::Number(minutes)) => MinutesWhole(minutes),
        // Every cell of the table is a time; were one not, the longest wait is taken.
        Some(
            Cell::Blank
            | Cell::Span(..)
            | Cell::Highest
            | Cell::Undetermined
            | Cell::ReadAt30
            | Cell::Unlimited
            | Cell::Letter(_),
        )
        | None => MinutesWhole(48 * 60),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_heavier_group_and_a_higher_place_wait_longer() {
        let mut before = MinutesWhole(0);
        for group in Group::ALL {
            let mut lower = MinutesWhole(0);
            for thousand in 1..=10 {
                let wait = navy_minutes(group, Feet(f64::from(thousand) * 1000.0).into());
                assert!(wait >= lower, "{group:?} at {thousand},000 ft");
                lower = wait;
            }
            assert!(lower >= before, "{group:?}");
            before = lower;
        }
    }

    #[test]
    fn a_pass_is_rounded_up_to_the_next_thousand_feet() {
        assert_eq!(
            navy_minutes(Group::K, Feet(7000.1).into()),
            MinutesWhole(15 * 60 + 35)
        );
        assert_eq!(
            navy_minutes(Group::K, Feet(7000.0).into()),
            MinutesWhole(12 * 60 + 33)
        );
    }

    #[test]
    fn the_longer_wait_counts_and_an_exceptional_dive_waits_two_days() {
        let eight = Metres::from(Feet(8000.0));
        let single = flying_wait(DivesBefore::SingleNoStop, Some(Group::Z), eight).unwrap();
        assert_eq!(
            (single.longer, single.wait),
            (
                Recommendation::Navy,
                PublishedWait::AtLeast(MinutesWhole(1261))
            )
        );
        let stops = flying_wait(DivesBefore::WithStops, Some(Group::C), eight).unwrap();
        assert_eq!(stops.wait, PublishedWait::LongerThan(MinutesWhole(1080)));
        let exceptional = flying_wait(DivesBefore::Exceptional, None, eight).unwrap();
        assert_eq!(exceptional.wait, PublishedWait::AtLeast(MinutesWhole(2880)));
        let hill = flying_wait(DivesBefore::SingleNoStop, Some(Group::A), Metres(300.0)).unwrap();
        assert_eq!(
            (hill.workshop, hill.wait),
            (
                PublishedWait::Silent,
                PublishedWait::AtLeast(MinutesWhole(0))
            )
        );
        assert!(flying_wait(DivesBefore::SingleNoStop, None, Metres(f64::NAN)).is_err());
    }
}
