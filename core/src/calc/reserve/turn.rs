//! The pressure at which to turn.
//!
//! Source: common practice of the trade, no published source. The reserve is set aside first; a
//! rule then shares out what is left, thirds too. Taken of the whole cylinder, as thirds are told
//! for caves, the third that is kept would have to be the reserve as well; of what is left above
//! it, the turn comes earlier by a third of the reserve (D55).

use crate::calc::caution::Caution;
use crate::calc::cylinder::checked_gauge;
use crate::calc::outside::OutsideTable;
use crate::calc::unit::{GaugeBar, GaugePsi, Rounding};

/// How the usable gas is shared out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum TurnRule {
    /// The class can come straight up anywhere: all but the reserve is for the dive.
    DirectAscent,
    /// The class swims back to where it began: half of the usable gas each way.
    ThereAndBack,
    /// Of what is above the reserve a third out, a third back, a third kept: where coming
    /// straight up is not good.
    Thirds,
}

impl TurnRule {
    /// Down to what the gauge may go while the dive is swum by this rule, on the way back too;
    /// the ascent then begins with at least the reserve.
    ///
    /// ```
    /// use tallywater_core::calc::{reserve::TurnRule, unit::GaugeBar};
    /// // Of 160 bar above the reserve a third stays in the cylinder.
    /// let left = TurnRule::Thirds.swum_down_to(GaugeBar(210.0), GaugeBar(50.0)).0;
    /// assert!((left - 103.33).abs() < 0.01);
    /// assert_eq!(TurnRule::DirectAscent.swum_down_to(GaugeBar(210.0), GaugeBar(50.0)).0, 50.0);
    /// ```
    #[must_use]
    pub fn swum_down_to(self, start: GaugeBar, reserve: GaugeBar) -> GaugeBar {
        match self {
            Self::DirectAscent | Self::ThereAndBack => reserve,
            Self::Thirds => GaugeBar(reserve.0 + (start.0 - reserve.0).max(0.0) / 3.0),
        }
    }
}

/// Where to turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Turn {
    /// Turn when the gauge reads this.
    At {
        /// Rounded up to a whole bar.
        pressure: GaugeBar,
        /// Rounded up to ten psi, from the exact figure.
        psi: GaugePsi,
        /// What to say beside it.
        caution: Caution,
    },
    /// The cylinder holds no more than the reserve: no dive on it.
    NotEnough {
        /// What the gauge reads.
        start: GaugeBar,
        /// What the reserve alone asks for.
        reserve: GaugeBar,
    },
}

/// The pressure at which to turn, from the pressure now and the reserve to keep.
///
/// # Errors
/// A gauge outside 0 to 315 bar.
///
/// ```
/// use tallywater_core::calc::{reserve::{Turn, TurnRule, turn_pressure}, unit::GaugeBar};
/// let turn = turn_pressure(GaugeBar(200.0), GaugeBar(57.0), TurnRule::ThereAndBack)?;
/// assert!(matches!(turn, Turn::At { pressure: GaugeBar(129.0), .. }));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn turn_pressure(
    start: GaugeBar,
    reserve: GaugeBar,
    rule: TurnRule,
) -> Result<Turn, OutsideTable> {
    let (now, kept) = (checked_gauge(start)?, checked_gauge(reserve)?);
    if now <= kept {
        return Ok(Turn::NotEnough { start, reserve });
    }
    let exact = match rule {
        TurnRule::DirectAscent => kept,
        TurnRule::ThereAndBack => f64::midpoint(now, kept),
        TurnRule::Thirds => now - (now - kept) / 3.0,
    };
    Ok(Turn::At {
        pressure: GaugeBar(exact).rounded(Rounding::Up, GaugeBar(1.0)),
        psi: GaugePsi::from(GaugeBar(exact)).rounded(Rounding::Up, GaugePsi(10.0)),
        caution: Caution::GaugeFirst,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(start: f64, reserve: f64, rule: TurnRule) -> Option<GaugeBar> {
        match turn_pressure(GaugeBar(start), GaugeBar(reserve), rule).unwrap() {
            Turn::At { pressure, .. } => Some(pressure),
            Turn::NotEnough { .. } => None,
        }
    }

    #[test]
    fn each_rule_turns_earlier_than_the_one_before() {
        assert_eq!(
            at(210.0, 50.0, TurnRule::DirectAscent),
            Some(GaugeBar(50.0))
        );
        assert_eq!(
            at(210.0, 50.0, TurnRule::ThereAndBack),
            Some(GaugeBar(130.0))
        );
        assert_eq!(
            at(210.0, 100.0, TurnRule::DirectAscent),
            Some(GaugeBar(100.0))
        );
    }

    #[test]
    fn thirds_share_out_what_is_left_once_the_reserve_is_set_aside() {
        // 210 bar less 50 are 160; a third of them is 53.3: turn at 156.7.
        assert_eq!(at(210.0, 50.0, TurnRule::Thirds), Some(GaugeBar(157.0)));
        // 210 less 100 are 110; 110 / 3 = 36.7.
        assert_eq!(at(210.0, 100.0, TurnRule::Thirds), Some(GaugeBar(174.0)));
    }

    #[test]
    fn a_cylinder_at_its_reserve_is_no_dive() {
        let turn = turn_pressure(GaugeBar(57.0), GaugeBar(57.0), TurnRule::DirectAscent).unwrap();
        assert_eq!(
            turn,
            Turn::NotEnough {
                start: GaugeBar(57.0),
                reserve: GaugeBar(57.0)
            }
        );
        assert!(turn_pressure(GaugeBar(f64::NAN), GaugeBar(50.0), TurnRule::Thirds).is_err());
    }
}
