//! Whether dropping the weights leaves the diver positive.
//!
//! Source: Archimedes. The diver was trimmed at the surface, near reserve, with an empty jacket;
//! since then gas has been filled in and the suit is squeezed. Both pull down, and what is
//! dropped must more than make up for them with the jacket empty. The suit's heaviest loss counts.

use super::{checked_lead, pull};
use crate::calc::caution::Caution;
use crate::calc::cylinder::{CylinderSize, Mix, buoyancy};
use crate::calc::outside::OutsideTable;
use crate::calc::suit::{BodySize, Suit, suit_buoyancy};
use crate::calc::unit::{Celsius, GaugeBar, Kilograms, Metres};
use crate::calc::water::WaterColumn;

/// What the drop depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropQuestion {
    /// Lead with which the diver is neutral at the surface at `trimmed_at`, jacket empty.
    pub trimmed: Kilograms,
    /// The pressure at which that holds.
    pub trimmed_at: GaugeBar,
    /// Lead that one movement drops.
    pub ditchable: Kilograms,
    /// Lead that stays on.
    pub fixed: Kilograms,
    /// The cylinder.
    pub cylinder: CylinderSize,
    /// What is in it.
    pub mix: Mix,
    /// Its pressure at the moment of need; full is the worst.
    pub pressure: GaugeBar,
    /// Temperature of the gas.
    pub temperature: Celsius,
    /// The suit.
    pub suit: Suit,
    /// The diver.
    pub body: BodySize,
    /// The water.
    pub column: WaterColumn,
    /// The deepest that the dive goes.
    pub depth: Metres,
}

/// What dropping the weights does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum DropVerdict {
    /// The diver floats up from depth and stays up.
    PositiveAtDepth,
    /// The diver stays up at the surface but does not float up from depth.
    PositiveAtSurfaceOnly,
    /// The diver sinks even at the surface: more of the lead must be droppable, or less worn.
    NotPositive,
}

/// How the diver floats after the drop, with an empty jacket. Positive floats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropOutcome {
    /// At the surface.
    pub at_surface: Kilograms,
    /// At depth, with the suit's heaviest loss.
    pub at_depth: Kilograms,
    /// In one word.
    pub verdict: DropVerdict,
    /// What to say beside it.
    pub caution: Caution,
}

/// Whether dropping the weights leaves the diver positive.
///
/// # Errors
/// Any part of the question outside its bounds.
///
/// ```
/// use tallywater_core::calc::cylinder::{Mix, starter_sizes};
/// use tallywater_core::calc::lead::{DropQuestion, DropVerdict, drop_lead};
/// use tallywater_core::calc::suit::{BodySize, Suit, SuitAge, SuitKind};
/// use tallywater_core::calc::{unit::*, water::WaterColumn};
/// let question = DropQuestion {
///     trimmed: Kilograms(7.0), trimmed_at: GaugeBar(50.0), ditchable: Kilograms(7.0), fixed: Kilograms(0.0),
///     cylinder: starter_sizes()[0], mix: Mix::Air, pressure: GaugeBar(200.0), temperature: Celsius(18.0),
///     suit: Suit { kind: SuitKind::OnePiece, thickness: Millimetres(5.0), age: SuitAge::Worn },
///     body: BodySize { height: Centimetres(175.0), mass: Kilograms(75.0) },
///     column: WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0)), depth: Metres(12.0),
/// };
/// assert_eq!(drop_lead(&question)?.verdict, DropVerdict::PositiveAtDepth);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn drop_lead(question: &DropQuestion) -> Result<DropOutcome, OutsideTable> {
    let trimmed = checked_lead(question.trimmed)?;
    let ditchable = checked_lead(question.ditchable)?;
    let fixed = checked_lead(question.fixed)?;
    let water = question.column.density;
    let cylinder = |pressure| {
        buoyancy(
            &question.cylinder,
            pressure,
            question.temperature,
            question.mix,
            water,
        )
    };
    let gas = cylinder(question.trimmed_at)?.0 - cylinder(question.pressure)?.0;
    let suit = suit_buoyancy(
        &question.suit,
        &question.body,
        question.column,
        question.depth,
    )?;
    // The most foam loses the most lift: the ceiling of the suit with the least that it keeps.
    let squeeze = suit.surface.high.0 * (1.0 - suit.kept.low.0);

    let worn = ditchable + fixed;
    let at_surface = (ditchable + trimmed - worn) * pull(water.0) - gas;
    let at_depth = at_surface - squeeze;
    let verdict = if at_depth > 0.0 {
        DropVerdict::PositiveAtDepth
    } else if at_surface > 0.0 {
        DropVerdict::PositiveAtSurfaceOnly
    } else {
        DropVerdict::NotPositive
    };
    Ok(DropOutcome {
        at_surface: Kilograms(at_surface),
        at_depth: Kilograms(at_depth),
        verdict,
        caution: Caution::CheckInWater,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::cylinder::starter_sizes;
    use crate::calc::suit::{SuitAge, SuitKind};
    use crate::calc::unit::{Centimetres, KilogramsPerCubicMetre, Millimetres};

    fn question() -> DropQuestion {
        DropQuestion {
            trimmed: Kilograms(7.0),
            trimmed_at: GaugeBar(50.0),
            ditchable: Kilograms(4.0),
            fixed: Kilograms(3.0),
            cylinder: starter_sizes()[9],
            mix: Mix::Air,
            pressure: GaugeBar(200.0),
            temperature: Celsius(15.0),
            suit: Suit {
                kind: SuitKind::OnePiece,
                thickness: Millimetres(7.0),
                age: SuitAge::New,
            },
            body: BodySize {
                height: Centimetres(175.0),
                mass: Kilograms(75.0),
            },
            column: WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0)),
            depth: Metres(30.0),
        }
    }

    #[test]
    fn a_thick_suit_at_depth_can_outweigh_the_drop() {
        assert_eq!(
            drop_lead(&question()).unwrap().verdict,
            DropVerdict::PositiveAtSurfaceOnly
        );
        let shallow = DropQuestion {
            depth: Metres(0.0),
            ..question()
        };
        assert_eq!(
            drop_lead(&shallow).unwrap().verdict,
            DropVerdict::PositiveAtDepth
        );
    }

    #[test]
    fn lead_that_stays_on_does_not_help() {
        let fixed = DropQuestion {
            ditchable: Kilograms(0.0),
            fixed: Kilograms(7.0),
            ..question()
        };
        let outcome = drop_lead(&fixed).unwrap();
        assert_eq!(outcome.verdict, DropVerdict::NotPositive);
        assert!(outcome.at_surface.0 < 0.0);
    }

    #[test]
    fn carrying_too_much_is_not_cured_by_dropping_the_right_amount() {
        let heavy = DropQuestion {
            ditchable: Kilograms(4.0),
            fixed: Kilograms(8.0),
            ..question()
        };
        assert_eq!(drop_lead(&heavy).unwrap().verdict, DropVerdict::NotPositive);
    }
}
