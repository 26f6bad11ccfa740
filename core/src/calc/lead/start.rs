//! Where to begin: from the student's own checked figure if there is one, else an estimate.

use super::change::{OwnCheck, changed};
use super::check::InWaterCheck;
use super::estimate::{LeadQuestion, parts};
use super::pull;
use crate::calc::caution::Caution;
use crate::calc::outside::OutsideTable;
use crate::calc::spread::Spread;
use crate::calc::unit::{Kilograms, Pounds, Rounding};

/// What a part of the lead is there for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum LeadCause {
    /// The body itself, without its lungs.
    Body,
    /// The gas of a normal breath.
    Lungs,
    /// The suit.
    Suit,
    /// The cylinder at its reserve.
    Cylinder,
    /// Jacket, regulator, fins.
    Kit,
    /// What the student carried when it was last checked.
    CheckedFigure,
    /// Other water than at the check.
    OtherWater,
    /// Another cylinder, or another pressure in it, than at the check.
    OtherCylinder,
    /// Another suit than at the check.
    OtherSuit,
}

/// One reason with what it adds (positive) or takes away, in kilograms of lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeadReason {
    /// What for.
    pub cause: LeadCause,
    /// How much.
    pub lift: Spread<Kilograms>,
}

impl LeadReason {
    pub(super) fn new(cause: LeadCause, lift: Spread<f64>) -> Self {
        let Spread { low, likely, high } = lift;
        Self {
            cause,
            lift: Spread {
                low: Kilograms(low),
                likely: Kilograms(likely),
                high: Kilograms(high),
            },
        }
    }
}

/// Where the figure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum LeadSource {
    /// The student's own last checked figure, carried over.
    OwnCheck,
    /// An estimate: nobody has checked this student yet.
    Estimate,
}

/// Something that the figure alone does not say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LeadNote {
    /// Without any lead the diver already sinks by this much: a lighter cylinder or more
    /// lift is wanted, not lead.
    SinksWithoutLead {
        /// By how much.
        by: Kilograms,
    },
    /// The range is wider than 4 kg: begin with an assistant beside the student.
    WideRange,
}

/// Where to begin the check in the water.
#[derive(Debug, Clone, PartialEq)]
pub struct LeadStart {
    /// Lead to half a kilogram: the low end rounded down, the high end up.
    pub lead: Spread<Kilograms>,
    /// The same to a whole pound, rounded from the exact figure.
    pub pounds: Spread<Pounds>,
    /// Where it comes from.
    pub source: LeadSource,
    /// Why: what each part adds.
    pub reasons: Vec<LeadReason>,
    /// What else to say.
    pub notes: Vec<LeadNote>,
    /// What the check in the water must confirm, in its order.
    pub to_confirm: Vec<InWaterCheck>,
    /// What to say beside it.
    pub caution: Caution,
}

/// Where to begin: from `last`, the student's own last checked figure, as soon as there is one.
///
/// # Errors
/// Any part of the question or of the check outside its bounds; for an estimate a body that its
/// source does not cover: children are refused, with the range.
///
/// ```
/// use tallywater_core::calc::cylinder::{Mix, starter_sizes};
/// use tallywater_core::calc::lead::{LeadQuestion, LeadSource, TYPICAL_KIT, lead_start};
/// use tallywater_core::calc::suit::{BodySize, Suit, SuitAge, SuitKind};
/// use tallywater_core::calc::{unit::*, water::WaterColumn};
/// let question = LeadQuestion {
///     body: BodySize { height: Centimetres(175.0), mass: Kilograms(75.0) },
///     age: 30,
///     suit: Suit { kind: SuitKind::OnePiece, thickness: Millimetres(5.0), age: SuitAge::Worn },
///     column: WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0)),
///     cylinder: starter_sizes()[0],
///     mix: Mix::Air,
///     reserve: GaugeBar(50.0),
///     temperature: Celsius(18.0),
///     kit: TYPICAL_KIT,
/// };
/// let start = lead_start(&question, None)?;
/// assert_eq!(start.source, LeadSource::Estimate);
/// assert!(start.lead.low < start.lead.likely && start.lead.likely < start.lead.high);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn lead_start(
    question: &LeadQuestion,
    last: Option<&OwnCheck>,
) -> Result<LeadStart, OutsideTable> {
    let (source, reasons) = match last {
        Some(check) => (LeadSource::OwnCheck, changed(check, question)?),
        None => (LeadSource::Estimate, parts(question)?),
    };
    let lift = total(&reasons);
    let pull = pull(question.column.density.0);
    let exact = Spread {
        low: lift.low / pull,
        likely: lift.likely / pull,
        high: lift.high / pull,
    };
    let lead = rounded(exact, |kilograms, way| {
        Kilograms(kilograms).rounded(way, Kilograms(0.5))
    });
    let pounds = rounded(exact, |kilograms, way| {
        Pounds::from(Kilograms(kilograms)).rounded(way, Pounds(1.0))
    });
    let mut notes = Vec::new();
    if exact.likely < 0.0 {
        notes.push(LeadNote::SinksWithoutLead {
            by: Kilograms(-lift.likely),
        });
    }
    if exact.high - exact.low > 4.0 {
        notes.push(LeadNote::WideRange);
    }
    Ok(LeadStart {
        lead,
        pounds,
        source,
        reasons,
        notes,
        to_confirm: InWaterCheck::ALL.to_vec(),
        caution: Caution::CheckInWater,
    })
}

/// Nobody wears less than no lead; `SinksWithoutLead` says so where it matters.
fn rounded<T>(exact: Spread<f64>, to: impl Fn(f64, Rounding) -> T) -> Spread<T> {
    Spread {
        low: to(exact.low.max(0.0), Rounding::Down),
        likely: to(exact.likely.max(0.0), Rounding::Nearest),
        high: to(exact.high.max(0.0), Rounding::Up),
    }
}

/// Likely values add up; the ends add as independent errors do.
fn total(reasons: &[LeadReason]) -> Spread<f64> {
    let likely: f64 = reasons.iter().map(|reason| reason.lift.likely.0).sum();
    let below: f64 = reasons
        .iter()
        .map(|reason| (reason.lift.likely.0 - reason.lift.low.0).powi(2))
        .sum();
    let above: f64 = reasons
        .iter()
        .map(|reason| (reason.lift.high.0 - reason.lift.likely.0).powi(2))
        .sum();
    Spread {
        low: likely - below.sqrt(),
        likely,
        high: likely + above.sqrt(),
    }
}
