//! Too much or too little of what a student has put on.
//!
//! Source: Archimedes; each kilogram too much wants about a litre of gas in the jacket at the
//! depth it is carried to, and that litre grows on every ascent.

use super::start::LeadStart;
use super::{checked_lead, pull};
use crate::calc::caution::Caution;
use crate::calc::outside::OutsideTable;
use crate::calc::unit::{Kilograms, KilogramsPerCubicMetre, Litres};

/// How the worn lead stands against the range to begin with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WornLead {
    /// Within the range; the check in the water still decides.
    Within {
        /// What to say beside it.
        caution: Caution,
    },
    /// Less than the low end: the diver may not be able to stay down at reserve.
    Under {
        /// By how much.
        by: Kilograms,
        /// What to say beside it.
        caution: Caution,
    },
    /// More than the high end: sinking, a foot-down swim and a jacket full of gas that grows on
    /// the way up.
    Over {
        /// By how much.
        by: Kilograms,
        /// Gas that the jacket must hold for it at any depth.
        jacket: Litres,
        /// What to say beside it.
        caution: Caution,
    },
}

/// Judges the lead that a student has put on.
///
/// # Errors
/// Lead outside 0 to 40 kg, or water outside 985 to 1035 kg/m3.
///
/// ```
/// # use tallywater_core::calc::cylinder::{Mix, starter_sizes};
/// # use tallywater_core::calc::lead::{LeadQuestion, TYPICAL_KIT, lead_start};
/// # use tallywater_core::calc::suit::{BodySize, Suit, SuitAge, SuitKind};
/// use tallywater_core::calc::lead::{WornLead, judge_worn};
/// use tallywater_core::calc::{unit::*, water::WaterColumn};
/// # let question = LeadQuestion {
/// #     body: BodySize { height: Centimetres(175.0), mass: Kilograms(75.0) },
/// #     age: 30,
/// #     suit: Suit { kind: SuitKind::OnePiece, thickness: Millimetres(5.0), age: SuitAge::Worn },
/// #     column: WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0)),
/// #     cylinder: starter_sizes()[0], mix: Mix::Air, reserve: GaugeBar(50.0),
/// #     temperature: Celsius(18.0), kit: TYPICAL_KIT,
/// # };
/// # let start = lead_start(&question, None)?;
/// let judged = judge_worn(Kilograms(20.0), &start, KilogramsPerCubicMetre(1025.0))?;
/// assert!(matches!(judged, WornLead::Over { .. }));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn judge_worn(
    worn: Kilograms,
    start: &LeadStart,
    water: KilogramsPerCubicMetre,
) -> Result<WornLead, OutsideTable> {
    let lead = checked_lead(worn)?;
    let density = crate::calc::water::checked_density(water)?;
    let caution = Caution::CheckInWater;
    Ok(if lead < start.lead.low.0 {
        WornLead::Under {
            by: Kilograms(start.lead.low.0 - lead),
            caution,
        }
    } else if lead > start.lead.high.0 {
        let by = lead - start.lead.high.0;
        WornLead::Over {
            by: Kilograms(by),
            jacket: Litres(by * pull(density) / (density / 1e3)),
            caution,
        }
    } else {
        WornLead::Within { caution }
    })
}
