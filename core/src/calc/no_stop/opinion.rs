//! The table's limit with the model's beside it: the shorter one counts.
//!
//! Source: as `table` and `model`. The earlier dives are taken as square: at the deepest depth for
//! the whole bottom time, then straight up at 9 m/min, which is more nitrogen than they can have
//! cost. A stop is not taken into account.

use super::class::PersonDay;
use super::day::{begin, day_plan};
use super::model::{ASCENT, GradientFactors, ModelLimit, Tissues};
use super::site::NoStopSite;
use super::table::Limit;
use crate::calc::caution::Caution;
use crate::calc::cylinder::Mix;
use crate::calc::outside::OutsideTable;
use crate::calc::unit::{KilogramsPerCubicMetre, Metres, Minutes, MinutesWhole};
use crate::calc::water::{SEA_LEVEL, WaterColumn, surface_pressure};

/// Which of the two is shorter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "ShorterOpinion")
)]
pub enum Opinion {
    /// The table.
    Table,
    /// The model.
    Model,
    /// Both say the same.
    Both,
}

/// The table's limit with the model's beside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SecondOpinion {
    /// What the table leaves.
    pub table: Limit,
    /// What the model leaves.
    pub model: ModelLimit,
    /// The shorter of the two; `Unlimited` only where neither sets a limit.
    pub limit: Limit,
    /// Which one that is.
    pub shorter: Opinion,
    /// With which factors the model was asked.
    pub factors: GradientFactors,
    /// What to say beside it.
    pub caution: Caution,
}

/// Both opinions on a person's next dive, on air.
///
/// # Errors
/// As [`day_plan`], or water outside 985 to 1035 kg/m3, or gradient factors outside their bounds.
///
/// ```
/// use tallywater_core::calc::no_stop::{GradientFactors, Limit, NoStopSite, Opinion, PersonDay, second_opinion};
/// use tallywater_core::calc::unit::{KilogramsPerCubicMetre, Metres, Minutes, MinutesWhole};
/// let fresh = PersonDay { dives: vec![], interval: Minutes(0.0) };
/// let both = second_opinion(&fresh, Metres(18.0), NoStopSite::SEA, KilogramsPerCubicMetre(1025.0), GradientFactors::USUAL)?;
/// assert_eq!((both.table, both.shorter), (Limit::Minutes(MinutesWhole(63)), Opinion::Model));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn second_opinion(
    person: &PersonDay,
    depth: Metres,
    site: NoStopSite,
    water: KilogramsPerCubicMetre,
    factors: GradientFactors,
) -> Result<SecondOpinion, OutsideTable> {
    let day = day_plan(&person.dives, site)?;
    let table = match day.beyond {
        Some(_) => Limit::Minutes(MinutesWhole(0)),
        None => begin(day.lines.last(), person.interval, depth, site)?.limit,
    };
    let model = modelled(person, depth, site, water, factors)?;
    let (limit, shorter) = governing(table, model);
    Ok(SecondOpinion {
        table,
        model,
        limit,
        shorter,
        factors,
        caution: Caution::TableAndComputerFirst,
    })
}

fn modelled(
    person: &PersonDay,
    depth: Metres,
    site: NoStopSite,
    water: KilogramsPerCubicMetre,
    factors: GradientFactors,
) -> Result<ModelLimit, OutsideTable> {
    let column = WaterColumn {
        density: water,
        surface: surface_pressure(site.altitude)?,
    };
    let top = column.surface;
    let mut tissues = match site.since_arrival {
        None => Tissues::used_to(top)?,
        Some(since) => Tissues::used_to(SEA_LEVEL)?.after_stay(top, since, Mix::Air)?,
    };
    for (place, dive) in person.dives.iter().enumerate() {
        if place > 0 {
            tissues = tissues.after_stay(top, dive.interval, Mix::Air)?;
        }
        let bottom = column.pressure_at(dive.depth)?;
        let ascent = Minutes(dive.depth.0 / ASCENT.0);
        tissues = tissues
            .after_stay(bottom, dive.bottom, Mix::Air)?
            .after_change(bottom, top, ascent, Mix::Air)?;
    }
    if !person.dives.is_empty() {
        tissues = tissues.after_stay(top, person.interval, Mix::Air)?;
    }
    tissues.no_stop(column.pressure_at(depth)?, top, Mix::Air, factors)
}

fn governing(table: Limit, model: ModelLimit) -> (Limit, Opinion) {
    match (table, model) {
        (Limit::Unlimited, ModelLimit::LongerThan(_)) => (Limit::Unlimited, Opinion::Both),
        (Limit::Unlimited, ModelLimit::Minutes(minutes)) => {
            (Limit::Minutes(minutes), Opinion::Model)
        }
        (Limit::Minutes(minutes), ModelLimit::LongerThan(looked)) if minutes > looked => {
            // Beyond where the model was asked; that far it has agreed, and no further.
            (Limit::Minutes(looked), Opinion::Model)
        }
        (Limit::Minutes(minutes), ModelLimit::LongerThan(_)) => {
            (Limit::Minutes(minutes), Opinion::Table)
        }
        (Limit::Minutes(one), ModelLimit::Minutes(other)) => match one.cmp(&other) {
            std::cmp::Ordering::Less => (Limit::Minutes(one), Opinion::Table),
            std::cmp::Ordering::Equal => (Limit::Minutes(one), Opinion::Both),
            std::cmp::Ordering::Greater => (Limit::Minutes(other), Opinion::Model),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::no_stop::PlannedDive;

    const SEA: KilogramsPerCubicMetre = KilogramsPerCubicMetre(1025.0);

    fn asked(dives: Vec<PlannedDive>, interval: f64, depth: f64) -> SecondOpinion {
        let person = PersonDay {
            dives,
            interval: Minutes(interval),
        };
        second_opinion(
            &person,
            Metres(depth),
            NoStopSite::SEA,
            SEA,
            GradientFactors::PUBLISHED,
        )
        .unwrap()
    }

    #[test]
    fn the_shorter_of_the_two_counts() {
        // 59.8 minutes at 0.1 bar a metre and 58.5 in water of 1030 kg/m3, by an implementation of
        // another hand: sea water of 1025 lies between.
        let deep = asked(vec![], 0.0, 18.0);
        assert_eq!(
            (deep.shorter, deep.limit),
            (Opinion::Model, Limit::Minutes(MinutesWhole(59)))
        );
        let pool = asked(vec![], 0.0, 3.0);
        assert_eq!(
            (pool.shorter, pool.limit),
            (Opinion::Both, Limit::Unlimited)
        );
    }

    #[test]
    fn after_a_dive_both_opinions_are_shorter() {
        let dive = PlannedDive {
            interval: Minutes(0.0),
            depth: Metres(18.0),
            bottom: Minutes(35.0),
        };
        let again = asked(vec![dive], 60.0, 18.0);
        assert_eq!(again.table, Limit::Minutes(MinutesWhole(28)));
        assert!(
            matches!(again.model, ModelLimit::Minutes(minutes) if minutes < MinutesWhole(58)),
            "{:?}",
            again.model
        );
    }

    #[test]
    fn a_day_that_went_beyond_leaves_nothing() {
        let dive = PlannedDive {
            interval: Minutes(0.0),
            depth: Metres(18.0),
            bottom: Minutes(70.0),
        };
        assert_eq!(
            asked(vec![dive], 120.0, 10.0).limit,
            Limit::Minutes(MinutesWhole(0))
        );
    }
}
