//! The U.S. Navy's air tables, looked up the safe way.
//!
//! Source: U.S. Navy Diving Manual, Revision 7, SS521-AG-PRO-010, 1 December 2016, tables 9-7
//! and 9-8 and their rules (chapter 9), as printed in fixtures/tables; a person's check against the
//! print is still due. The limits of other revisions differ (60 fsw: 60 minutes before, 63 here).
//! A depth is taken as feet of sea water and rounded up to the next row, a time to the next
//! longer one: 18 m is on the 60 row, 18.3 m (60.04 ft) on the 70 row.

use super::sheet::{Cell, INTERVALS, LIMITS};
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{Feet, FeetSeaWater, Metres, Minutes, MinutesWhole, Rounding};

/// Repetitive group: how much nitrogen a diver still carries, A the least.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "a group is its letter")]
#[cfg_attr(feature = "border", derive(uniffi::Enum), uniffi(name = "NoStopGroup"))]
pub enum Group {
    A,
    B,
    C,
    D,
    E,
    F,
    G,
    H,
    I,
    J,
    K,
    L,
    M,
    N,
    O,
    Z,
}

impl Group {
    /// All groups in the table's order.
    pub const ALL: [Self; 16] = [
        Self::A,
        Self::B,
        Self::C,
        Self::D,
        Self::E,
        Self::F,
        Self::G,
        Self::H,
        Self::I,
        Self::J,
        Self::K,
        Self::L,
        Self::M,
        Self::N,
        Self::O,
        Self::Z,
    ];

    /// The letter that is printed.
    ///
    /// ```
    /// use tallywater_core::calc::no_stop::Group;
    /// assert_eq!(Group::Z.letter(), 'Z');
    /// ```
    #[must_use]
    pub fn letter(self) -> char {
        char::from(self.byte())
    }

    fn byte(self) -> u8 {
        match self {
            Self::A => b'A',
            Self::B => b'B',
            Self::C => b'C',
            Self::D => b'D',
            Self::E => b'E',
            Self::F => b'F',
            Self::G => b'G',
            Self::H => b'H',
            Self::I => b'I',
            Self::J => b'J',
            Self::K => b'K',
            Self::L => b'L',
            Self::M => b'M',
            Self::N => b'N',
            Self::O => b'O',
            Self::Z => b'Z',
        }
    }

    pub(super) fn is(self, cell: Cell) -> bool {
        cell == Cell::Letter(self.byte())
    }
}

/// How long a dive may last without a stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The table sets none at this depth; the group still rises.
    Unlimited,
    /// Whole minutes from leaving the surface to leaving the bottom; 0 is no dive.
    Minutes(MinutesWhole),
}

/// The deepest row: 190 fsw.
pub const TABLE_DEEPEST: Feet = Feet(190.0);
/// Conversions are off in the sixteenth figure; a depth typed as 60 ft stays on the 60 row.
const SAME_ROW: f64 = 1e-6; // ft

/// The row that a depth is on.
///
/// # Errors
/// A depth outside 0 to 190 ft.
///
/// ```
/// use tallywater_core::calc::{no_stop::table_row, unit::{Feet, FeetSeaWater, Metres}};
/// assert_eq!(table_row(Metres(18.0))?, FeetSeaWater(60.0));
/// assert_eq!(table_row(Metres(18.3))?, FeetSeaWater(70.0));
/// assert_eq!(table_row(Feet(60.0).into())?, FeetSeaWater(60.0));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn table_row(depth: Metres) -> Result<FeetSeaWater, OutsideTable> {
    row(depth).map(|row| FeetSeaWater(f64::from(row.fsw)))
}

/// The limit of a first dive, as table 9-7 prints it.
///
/// # Errors
/// A depth outside 0 to 190 ft.
///
/// ```
/// use tallywater_core::calc::{no_stop::{Limit, table_limit}, unit::{Metres, MinutesWhole}};
/// assert_eq!(table_limit(Metres(18.0))?, Limit::Minutes(MinutesWhole(63)));
/// assert_eq!(table_limit(Metres(5.0))?, Limit::Unlimited);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn table_limit(depth: Metres) -> Result<Limit, OutsideTable> {
    row(depth).map(|row| row.limit)
}

/// A row of table 9-7.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    pub(super) fsw: u32,
    pub(super) limit: Limit,
    groups: &'static [Cell],
}

impl Row {
    /// The group after an (equivalent single) time; `None` beyond the limit.
    pub(super) fn group(self, minutes: u32) -> Option<Group> {
        Group::ALL
            .into_iter()
            .zip(self.groups)
            .find_map(|(group, cell)| match cell {
                Cell::Number(last) => (minutes <= *last).then_some(group),
                Cell::Highest => Some(group),
                Cell::Blank
                | Cell::Span(..)
                | Cell::Undetermined
                | Cell::ReadAt30
                | Cell::Unlimited
                | Cell::Letter(_) => None,
            })
    }
}

pub(super) fn row(depth: Metres) -> Result<Row, OutsideTable> {
    let deepest = Metres::from(TABLE_DEEPEST);
    within(Quantity::Depth, depth, Metres(0.0), deepest)?;
    let feet = Feet::from(depth).0;
    rows()
        .find(|row| f64::from(row.fsw) >= feet - SAME_ROW)
        .ok_or(OutsideTable {
            what: Quantity::Depth,
            asked: crate::calc::unit::Measured::amount(depth),
            lowest: crate::calc::unit::Measured::amount(Metres(0.0)),
            highest: crate::calc::unit::Measured::amount(deepest),
        })
}

pub(super) fn rows() -> impl Iterator<Item = Row> {
    LIMITS.iter().filter_map(|line| match line {
        [Cell::Number(fsw), Cell::Unlimited, groups @ ..] => Some(Row {
            fsw: *fsw,
            limit: Limit::Unlimited,
            groups,
        }),
        [Cell::Number(fsw), Cell::Number(limit), groups @ ..] => Some(Row {
            fsw: *fsw,
            limit: Limit::Minutes(MinutesWhole(*limit)),
            groups,
        }),
        _ => None,
    })
}

/// What a surface interval leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AfterInterval {
    /// Under ten minutes, which the table does not know: both dives count as one.
    SameDive,
    /// The diver begins the next dive in this group.
    Group(Group),
    /// Long enough that the next dive is not a repetitive one.
    NotRepetitive,
}

/// The group after a surface interval, which is rounded down to whole minutes.
///
/// # Errors
/// An interval that is not a time, or is over a week.
///
/// ```
/// use tallywater_core::calc::{no_stop::{AfterInterval, Group, after_interval}, unit::Minutes};
/// assert_eq!(after_interval(Group::H, Minutes(90.0))?, AfterInterval::Group(Group::G));
/// assert_eq!(after_interval(Group::H, Minutes(9.9))?, AfterInterval::SameDive);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn after_interval(group: Group, interval: Minutes) -> Result<AfterInterval, OutsideTable> {
    let minutes = whole_interval(interval)?;
    // The table begins at ten minutes.
    if minutes < 10 {
        return Ok(AfterInterval::SameDive);
    }
    let line = INTERVALS
        .iter()
        .find(|line| matches!(line, [letter, ..] if group.is(*letter)));
    let spans = line.map_or(&[][..], |line| line.get(1..17).unwrap_or(&[]));
    Ok(Group::ALL
        .into_iter()
        .rev()
        .zip(spans)
        .find_map(|(group, cell)| match cell {
            Cell::Span(_, last) if minutes <= *last => Some(AfterInterval::Group(group)),
            Cell::Span(..)
            | Cell::Blank
            | Cell::Number(_)
            | Cell::Highest
            | Cell::Undetermined
            | Cell::ReadAt30
            | Cell::Unlimited
            | Cell::Letter(_) => None,
        })
        .unwrap_or(AfterInterval::NotRepetitive))
}

pub(super) fn whole_interval(interval: Minutes) -> Result<u32, OutsideTable> {
    within(Quantity::SurfaceInterval, interval, Minutes(0.0), WEEK)?;
    Ok(MinutesWhole::of(interval, Rounding::Down).map_or(0, |whole| whole.0))
}

const WEEK: Minutes = Minutes(10_080.0);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_limit_is_the_last_minute_of_its_last_group() {
        assert_eq!(rows().count(), 24);
        for row in rows() {
            match row.limit {
                Limit::Unlimited => assert!(row.groups.contains(&Cell::Highest), "{} fsw", row.fsw),
                Limit::Minutes(MinutesWhole(limit)) => {
                    assert!(row.group(limit).is_some(), "{} fsw", row.fsw);
                    assert_eq!(row.group(limit + 1), None, "{} fsw", row.fsw);
                }
            }
        }
    }

    #[test]
    fn groups_rise_with_time_and_with_depth() {
        let mut above: Option<Row> = None;
        for row in rows() {
            let mut before = Group::A;
            for minutes in 1..=1102 {
                let Some(group) = row.group(minutes) else {
                    break;
                };
                assert!(group >= before, "{} fsw, {minutes} min", row.fsw);
                if let Some(shallower) = above.and_then(|row| row.group(minutes)) {
                    assert!(group >= shallower, "{} fsw, {minutes} min", row.fsw);
                }
                before = group;
            }
            above = Some(row);
        }
    }

    #[test]
    fn intervals_follow_each_other_without_a_gap() {
        for (place, line) in INTERVALS.iter().enumerate() {
            let spans: Vec<(u32, u32)> = line
                .iter()
                .filter_map(|cell| {
                    if let Cell::Span(from, until) = cell {
                        Some((*from, *until))
                    } else {
                        None
                    }
                })
                .collect();
            assert_eq!(spans.len(), 16 - place, "line {place}");
            assert_eq!(spans[0].0, 10, "line {place}");
            for pair in spans.windows(2) {
                assert_eq!(pair[1].0, pair[0].1 + 1, "line {place}");
            }
            assert_eq!(
                line[17],
                Cell::Number(spans[spans.len() - 1].1),
                "line {place}"
            );
        }
    }

    #[test]
    fn a_heavier_group_waits_longer() {
        for minutes in 10..=1000 {
            let mut lighter = AfterInterval::NotRepetitive;
            for group in Group::ALL {
                let after = after_interval(group, Minutes(f64::from(minutes))).unwrap();
                if let (AfterInterval::Group(less), AfterInterval::Group(more)) = (lighter, after) {
                    assert!(more >= less, "{group:?} after {minutes} min");
                }
                assert!(
                    after != AfterInterval::NotRepetitive
                        || lighter == AfterInterval::NotRepetitive
                );
                lighter = after;
            }
        }
    }

    #[test]
    fn a_foot_that_went_through_metres_stays_on_its_row() {
        for row in rows() {
            let feet = Feet(f64::from(row.fsw));
            assert_eq!(table_row(Metres::from(feet)).unwrap(), FeetSeaWater(feet.0));
        }
        for nonsense in [-1.0, 58.0, f64::NAN, f64::INFINITY] {
            assert_eq!(
                table_row(Metres(nonsense)).unwrap_err().what,
                Quantity::Depth
            );
        }
    }
}
