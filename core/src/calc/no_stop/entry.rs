//! One dive on the table: with what nitrogen it begins, how long it may last, in which group it ends.
//!
//! Source: U.S. Navy Diving Manual, Revision 7, 2016, chapter 9 and table 9-8. Its special cells:
//! `**` (9-9.1, item 8) has no residual time, the dive is without limit and the group stays as it
//! was; the dagger at 25 fsw reads the 30 fsw row and the dive is run on that row. The exception
//! that lets a dive to the same depth count the earlier bottom time in place of a longer residual
//! time is never taken: leaving it out is always the shorter dive.

use super::sheet::{Cell, RESIDUALS};
use super::table::{Group, Limit, Row, row};
use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{Feet, FeetSeaWater, Measured, Metres, Minutes, MinutesWhole, Rounding};

/// The nitrogen that a dive begins with, as time on its row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Residual {
    /// A first dive.
    None,
    /// Residual nitrogen time.
    Minutes(MinutesWhole),
    /// Not to be determined: no limit, and the group stays.
    GroupStays,
    /// Read from the 30 fsw row, on which the dive is run.
    At30(MinutesWhole),
}

/// What the table says before a dive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoStop {
    /// The row that is used.
    pub row: FeetSeaWater,
    /// What the diver brings.
    pub residual: Residual,
    /// What is left of the row's limit; 0 minutes is no dive.
    pub limit: Limit,
    /// What to say beside it.
    pub caution: Caution,
}

/// What the table says after a dive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DiveEnd {
    /// Bottom time as it counts, rounded up.
    pub bottom: MinutesWhole,
    /// With the residual time added; `None` where there is none to add it to (`**`).
    pub equivalent: Option<MinutesWhole>,
    /// The group at the end.
    pub group: Group,
}

/// The limit of a dive that begins in `before`, or of a first dive where that is `None`.
///
/// # Errors
/// A depth outside 0 to 190 ft.
///
/// ```
/// use tallywater_core::calc::{no_stop::{Group, Limit, no_stop}, unit::{Metres, MinutesWhole}};
/// let again = no_stop(Metres(18.0), Some(Group::F))?;
/// assert_eq!(again.limit, Limit::Minutes(MinutesWhole(28)));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn no_stop(depth: Metres, before: Option<Group>) -> Result<NoStop, OutsideTable> {
    let (row, residual) = entered(depth, before)?;
    Ok(NoStop {
        row: FeetSeaWater(f64::from(row.fsw)),
        residual,
        limit: left(row, residual),
        caution: Caution::TableAndComputerFirst,
    })
}

/// The group at the end of a dive, whose bottom time runs from leaving the surface to leaving the
/// bottom and is rounded up.
///
/// # Errors
/// A depth outside 0 to 190 ft, a time beyond what is left of the limit (the bound named), under
/// a second or over a day.
///
/// ```
/// use tallywater_core::calc::no_stop::{Group, no_stop_end};
/// use tallywater_core::calc::unit::{Metres, Minutes, MinutesWhole};
/// let end = no_stop_end(Metres(18.0), Some(Group::F), Minutes(24.2))?;
/// assert_eq!((end.equivalent, end.group), (Some(MinutesWhole(60)), Group::K));
/// assert_eq!(no_stop_end(Metres(18.0), Some(Group::F), Minutes(28.1)).unwrap_err().highest.value, 28.0);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn no_stop_end(
    depth: Metres,
    before: Option<Group>,
    bottom: Minutes,
) -> Result<DiveEnd, OutsideTable> {
    let whole = whole_bottom(bottom)?;
    let (row, residual) = entered(depth, before)?;
    let over = |limit: u32| OutsideTable {
        what: Quantity::BottomTime,
        asked: bottom.amount(),
        lowest: Minutes(0.0).amount(),
        highest: MinutesWhole(limit).amount(),
    };
    if let Limit::Minutes(limit) = left(row, residual)
        && whole > limit
    {
        return Err(over(limit.0));
    }
    let equivalent = match residual {
        Residual::None => Some(whole.0),
        Residual::Minutes(carried) | Residual::At30(carried) => Some(whole.0 + carried.0),
        Residual::GroupStays => None,
    };
    let group = match equivalent {
        Some(minutes) => row.group(minutes),
        None => before,
    };
    group
        .map(|group| DiveEnd {
            bottom: whole,
            equivalent: equivalent.map(MinutesWhole),
            group,
        })
        .ok_or_else(|| over(0))
}

pub(super) fn whole_bottom(bottom: Minutes) -> Result<MinutesWhole, OutsideTable> {
    // Less than a second is no dive: with it a limit of nothing would have something below it.
    within(
        Quantity::BottomTime,
        bottom,
        Minutes(1.0 / 60.0),
        Minutes(1440.0),
    )?;
    Ok(MinutesWhole::of(bottom, Rounding::Up).unwrap_or(MinutesWhole(0)))
}

/// The row on which a dive is run, with what is carried into it.
fn entered(depth: Metres, before: Option<Group>) -> Result<(Row, Residual), OutsideTable> {
    let own = row(depth)?;
    let Some(group) = before else {
        return Ok((own, Residual::None));
    };
    match residual_cell(own.fsw, group) {
        Cell::Number(minutes) => Ok((own, Residual::Minutes(MinutesWhole(minutes)))),
        Cell::Undetermined => Ok((own, Residual::GroupStays)),
        Cell::ReadAt30
        | Cell::Blank
        | Cell::Span(..)
        | Cell::Highest
        | Cell::Unlimited
        | Cell::Letter(_) => {
            let thirty = row(Metres::from(Feet(30.0)))?;
            let minutes = match residual_cell(thirty.fsw, group) {
                Cell::Number(minutes) => minutes,
                // No such cell is printed; were one blank, no time would be left.
                Cell::Blank
                | Cell::Span(..)
                | Cell::Highest
                | Cell::Undetermined
                | Cell::ReadAt30
                | Cell::Unlimited
                | Cell::Letter(_) => u32::MAX / 2,
            };
            Ok((thirty, Residual::At30(MinutesWhole(minutes))))
        }
    }
}

fn residual_cell(fsw: u32, group: Group) -> Cell {
    RESIDUALS
        .iter()
        .find(|line| matches!(line, [Cell::Number(depth), ..] if *depth == fsw))
        .and_then(|line| {
            Group::ALL
                .iter()
                .rev()
                .zip(line.iter().skip(1))
                .find(|(column, _)| **column == group)
        })
        .map_or(Cell::Blank, |(_, cell)| *cell)
}

fn left(row: Row, residual: Residual) -> Limit {
    match (row.limit, residual) {
        (Limit::Unlimited, _) | (_, Residual::GroupStays) => Limit::Unlimited,
        (limit, Residual::None) => limit,
        (Limit::Minutes(limit), Residual::Minutes(carried) | Residual::At30(carried)) => {
            Limit::Minutes(MinutesWhole(limit.0.saturating_sub(carried.0)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::no_stop::table::rows;

    fn feet(feet: f64) -> Metres {
        Metres::from(Feet(feet))
    }

    #[test]
    fn residual_times_rise_with_the_group_and_fall_with_depth() {
        for row in rows() {
            let mut before = 0;
            for group in Group::ALL {
                if let Cell::Number(minutes) = residual_cell(row.fsw, group) {
                    assert!(minutes > before, "{} fsw {group:?}", row.fsw);
                    before = minutes;
                }
            }
        }
        for group in Group::ALL {
            let mut above = u32::MAX;
            for row in rows() {
                if let Cell::Number(minutes) = residual_cell(row.fsw, group) {
                    assert!(minutes <= above, "{} fsw {group:?}", row.fsw);
                    above = minutes;
                }
            }
        }
    }

    #[test]
    fn every_group_has_a_residual_time_or_a_mark_at_every_depth() {
        for row in rows() {
            for group in Group::ALL {
                let cell = residual_cell(row.fsw, group);
                assert!(
                    matches!(cell, Cell::Number(_) | Cell::Undetermined | Cell::ReadAt30),
                    "{} fsw {group:?}",
                    row.fsw
                );
                assert_eq!(
                    cell == Cell::ReadAt30,
                    row.fsw == 25 && group >= Group::O,
                    "{} fsw {group:?}",
                    row.fsw
                );
                assert!(cell != Cell::Undetermined || row.limit == Limit::Unlimited);
            }
        }
    }

    #[test]
    fn the_manuals_own_example_of_an_undetermined_cell() {
        // Rev 7, 9-9.1 item 8: a diver in group N, 20 fsw: no limit, surfaces as N.
        let dive = no_stop(feet(20.0), Some(Group::N)).unwrap();
        assert_eq!(
            (dive.residual, dive.limit),
            (Residual::GroupStays, Limit::Unlimited)
        );
        let end = no_stop_end(feet(20.0), Some(Group::N), Minutes(200.0)).unwrap();
        assert_eq!((end.equivalent, end.group), (None, Group::N));
    }

    #[test]
    fn the_dagger_reads_the_thirty_row_and_runs_the_dive_on_it() {
        let heavy = no_stop(feet(25.0), Some(Group::O)).unwrap();
        assert_eq!(heavy.row, FeetSeaWater(30.0));
        assert_eq!(
            (heavy.residual, heavy.limit),
            (
                Residual::At30(MinutesWhole(308)),
                Limit::Minutes(MinutesWhole(63))
            )
        );
        let full = no_stop(feet(25.0), Some(Group::Z)).unwrap();
        assert_eq!(
            full.limit,
            Limit::Minutes(MinutesWhole(0)),
            "372 of 371 minutes are used up"
        );
        let refused = no_stop_end(feet(25.0), Some(Group::Z), Minutes(1.0)).unwrap_err();
        assert_eq!(refused.highest, MinutesWhole(0).amount());
    }

    #[test]
    fn a_dive_beyond_the_limit_is_refused_with_the_limit() {
        let refused = no_stop_end(feet(60.0), None, Minutes(63.01)).unwrap_err();
        assert_eq!(
            (refused.what, refused.highest.value),
            (Quantity::BottomTime, 63.0)
        );
        assert!(no_stop_end(feet(60.0), None, Minutes(f64::NAN)).is_err());
        assert!(no_stop_end(feet(60.0), None, Minutes(-1.0)).is_err());
    }

    #[test]
    fn a_pool_has_no_limit_and_still_gives_a_group() {
        let end = no_stop_end(Metres(5.0), None, Minutes(100.0)).unwrap();
        assert_eq!(end.group, Group::E);
    }
}
