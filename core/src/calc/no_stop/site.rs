//! Where the day is dived: at the sea or at an altitude, and how long the divers have been there.
//!
//! Source: U.S. Navy Diving Manual, Revision 7, 2016, chapter 9, diving at altitude: the depth is
//! multiplied by the pressure at sea level over that at the altitude (E. R. Cross, 1967) and looked
//! up as a depth at sea level; divers who have just come up carry a group (table 9-5), which decays
//! by table 9-8. Below 300 ft nothing is corrected (from memory). Pressure by the standard
//! atmosphere. The correction is exact and the row is then rounded up.

use super::sheet::{ARRIVAL, Cell};
use super::table::{AfterInterval, Group, after_interval};
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{Feet, Metres, Minutes};
use crate::calc::water::{SEA_LEVEL, surface_pressure};

/// The highest altitude that tables 9-5 and 9-6 know: 10,000 ft.
pub(super) const TABLE_HIGHEST: Feet = Feet(10_000.0);
const UNCORRECTED: Feet = Feet(300.0);
const SAME_ROW: f64 = 1e-6; // ft

/// Where the day is dived.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoStopSite {
    /// Height of the water above the sea, up to 10,000 ft.
    pub altitude: Metres,
    /// How long ago the divers came up from sea level, until the first dive; `None` for people who
    /// live at that height.
    pub since_arrival: Option<Minutes>,
}

impl NoStopSite {
    /// The sea.
    pub const SEA: Self = Self {
        altitude: Metres(0.0),
        since_arrival: None,
    };

    /// The depth at sea level that counts for this one.
    pub(super) fn sea_level_depth(&self, depth: Metres) -> Result<Metres, OutsideTable> {
        within(
            Quantity::Altitude,
            self.altitude,
            Metres(-500.0),
            TABLE_HIGHEST.into(),
        )?;
        if self.altitude <= Metres::from(UNCORRECTED) {
            return Ok(depth);
        }
        Ok(Metres(
            depth.0 * SEA_LEVEL.0 / surface_pressure(self.altitude)?.0,
        ))
    }

    /// The group with which the first dive begins.
    pub(super) fn first_group(&self) -> Result<Option<Group>, OutsideTable> {
        let Some(since) = self.since_arrival else {
            return Ok(None);
        };
        let Some(group) = arrival_group(self.altitude)? else {
            return Ok(None);
        };
        Ok(match after_interval(group, since)? {
            AfterInterval::SameDive => Some(group),
            AfterInterval::Group(decayed) => Some(decayed),
            AfterInterval::NotRepetitive => None,
        })
    }
}

/// The group that a diver used to sea level has on arrival at an altitude, which is rounded up to
/// the next thousand feet; `None` up to 300 ft.
///
/// # Errors
/// An altitude above 10,000 ft or below -500 m.
///
/// ```
/// use tallywater_core::calc::{no_stop::{Group, arrival_group}, unit::{Feet, Metres}};
/// assert_eq!(arrival_group(Feet(4200.0).into())?, Some(Group::D));
/// assert_eq!(arrival_group(Metres(0.0))?, None);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn arrival_group(altitude: Metres) -> Result<Option<Group>, OutsideTable> {
    within(
        Quantity::Altitude,
        altitude,
        Metres(-500.0),
        TABLE_HIGHEST.into(),
    )?;
    if altitude <= Metres::from(UNCORRECTED) {
        return Ok(None);
    }
    let feet = Feet::from(altitude).0;
    let line = ARRIVAL
        .iter()
        .find(|line| matches!(line, [Cell::Number(at), _] if f64::from(*at) >= feet - SAME_ROW));
    Ok(line.and_then(|[_, letter]| Group::ALL.into_iter().find(|group| group.is(*letter))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mountain_lake_is_dived_as_if_it_were_deeper() {
        let lake = NoStopSite {
            altitude: Metres(2000.0),
            since_arrival: None,
        };
        let depth = lake.sea_level_depth(Metres(18.0)).unwrap();
        assert!((depth.0 - 18.0 * 1013.25 / 794.95).abs() < 0.001, "{depth}");
        assert_eq!(
            NoStopSite::SEA.sea_level_depth(Metres(18.0)).unwrap(),
            Metres(18.0)
        );
    }

    #[test]
    fn divers_who_just_drove_up_begin_in_a_group_that_decays() {
        let after = |minutes| {
            NoStopSite {
                altitude: Feet(5000.0).into(),
                since_arrival: Some(Minutes(minutes)),
            }
            .first_group()
            .unwrap()
        };
        assert_eq!(after(0.0), Some(Group::D));
        assert_eq!(after(60.0), Some(Group::C));
        assert_eq!(after(1000.0), None);
        let high = NoStopSite {
            altitude: Metres(4000.0),
            since_arrival: None,
        };
        assert!(high.sea_level_depth(Metres(10.0)).is_err());
    }

    #[test]
    fn a_higher_place_is_never_a_lighter_group_on_arrival() {
        let groups: Vec<Group> = (1..=10)
            .map(|thousand| arrival_group(Feet(f64::from(thousand) * 1_000.0).into()))
            .map(|group| group.unwrap().unwrap())
            .collect();
        assert!(groups.is_sorted(), "{groups:?}");
        assert_eq!(
            (groups.first(), groups.last()),
            (Some(&Group::A), Some(&Group::I))
        );
    }
}
