//! A first estimate from body, suit, cylinder and water.
//!
//! Source: Archimedes over the parts, each with the source of its own file; the sum of their
//! uncertainties as the root of the sum of squares (JCGM 100:2008, 5.1.2, for parts that do not
//! depend on each other). Common rules such as a tenth of the body's mass are left out: they know
//! neither suit nor water.

use super::body::{lungs, tissue};
use super::start::{LeadCause, LeadReason};
use crate::calc::cylinder::{CylinderSize, Mix, buoyancy};
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::spread::Spread;
use crate::calc::suit::{BodySize, Suit, suit_buoyancy};
use crate::calc::unit::{Celsius, GaugeBar, Kilograms, Metres};
use crate::calc::water::WaterColumn;

/// What jacket, regulator, fins and the rest usually float: about nothing. Common practice, no
/// published source; a figure of one's own is better.
pub const TYPICAL_KIT: Kilograms = Kilograms(0.0);
const KIT_SPREAD: f64 = 1.0; // kg, own estimate

/// Everything that the lead depends on, for the dive to come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeadQuestion {
    /// The diver.
    pub body: BodySize,
    /// Years of age. Only the estimate looks at it: its source covers 18 to 70.
    pub age: u32,
    /// The suit to be worn.
    pub suit: Suit,
    /// The water to be dived in.
    pub column: WaterColumn,
    /// The cylinder to be worn.
    pub cylinder: CylinderSize,
    /// What is in it.
    pub mix: Mix,
    /// The pressure at which the diver must still be able to hold the stop.
    pub reserve: GaugeBar,
    /// Temperature of the gas, which is that of the water.
    pub temperature: Celsius,
    /// What the rest of the kit floats (negative sinks), -10 to 10 kg.
    pub kit: Kilograms,
}

impl LeadQuestion {
    pub(super) fn cylinder_at_reserve(&self) -> Result<f64, OutsideTable> {
        Ok(buoyancy(
            &self.cylinder,
            self.reserve,
            self.temperature,
            self.mix,
            self.column.density,
        )?
        .0)
    }

    pub(super) fn suit_at_surface(&self, suit: &Suit) -> Result<Spread<f64>, OutsideTable> {
        let Spread { low, likely, high } =
            suit_buoyancy(suit, &self.body, self.column, Metres(0.0))?.surface;
        Ok(Spread {
            low: low.0,
            likely: likely.0,
            high: high.0,
        })
    }
}

/// The parts of the estimate: what each floats at the surface.
pub(super) fn parts(question: &LeadQuestion) -> Result<Vec<LeadReason>, OutsideTable> {
    let body = question.body.checked()?;
    let kit = within(
        Quantity::KitBuoyancy,
        question.kit,
        Kilograms(-10.0),
        Kilograms(10.0),
    )?;
    let water = question.column.density.0;
    let cylinder = question.cylinder_at_reserve()?;
    Ok(vec![
        LeadReason::new(LeadCause::Body, tissue(&body, water)),
        LeadReason::new(LeadCause::Lungs, lungs(&body, question.age, water)?),
        LeadReason::new(LeadCause::Suit, question.suit_at_surface(&question.suit)?),
        LeadReason::new(
            LeadCause::Cylinder,
            Spread {
                low: cylinder,
                likely: cylinder,
                high: cylinder,
            },
        ),
        LeadReason::new(
            LeadCause::Kit,
            Spread {
                low: kit - KIT_SPREAD,
                likely: kit,
                high: kit + KIT_SPREAD,
            },
        ),
    ])
}
