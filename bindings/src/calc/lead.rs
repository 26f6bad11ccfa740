//! Lead: where to begin the check in the water.

use tallywater_core::calc;

use crate::calc::reckon::{Given as _, Told, outside, reckon};
use crate::{
    BodySize, Caution, CylinderSize, DropVerdict, Fault, Figure, FigureSpread, GasMix,
    InWaterCheck, LeadCause, LeadSource, Suit, Units, WaterAt,
};

reckon! {
    /// How the diver floats after the drop, with an empty jacket. Positive floats.
    told record DropOutcome = calc::lead::DropOutcome {
        at_surface: Figure,
        at_depth: Figure,
        verdict: DropVerdict,
        caution: Caution,
    }

    /// One reason with what it adds (positive) or takes away, in kilograms of lift.
    told record LeadReason = calc::lead::LeadReason {
        cause: LeadCause,
        lift: FigureSpread,
    }

    /// Something that the figure alone does not say.
    told enum LeadNote = calc::lead::LeadNote {
        SinksWithoutLead { by: Figure },
        WideRange,
    }

    /// How the worn lead stands against the range to begin with.
    told enum WornLead = calc::lead::WornLead {
        Within { caution: Caution },
        Under { by: Figure, caution: Caution },
        Over { by: Figure, jacket: Figure, caution: Caution },
    }
}

/// Everything that the lead depends on, for the dive to come.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct LeadQuestion {
    /// The diver.
    pub body: BodySize,
    /// Years of age. Only the estimate looks at it: its source covers 18 to 70.
    pub age: u32,
    /// The suit to be worn.
    pub suit: Suit,
    /// The water to be dived in.
    pub at: WaterAt,
    /// The cylinder to be worn.
    pub cylinder: CylinderSize,
    /// What is in it.
    pub mix: GasMix,
    /// The pressure at which the diver must still be able to hold the stop.
    pub reserve: f64,
    /// What the rest of the kit floats (negative sinks).
    pub kit: f64,
}

impl LeadQuestion {
    /// As the calculations have it.
    pub(crate) fn given(self, units: Units) -> Result<calc::lead::LeadQuestion, Fault> {
        let (temperature, column) = self.at.column(units)?;
        Ok(calc::lead::LeadQuestion {
            body: self.body.given(units),
            age: self.age,
            suit: self.suit.given(units),
            column,
            cylinder: self.cylinder.given(units),
            mix: self.mix.given(units),
            reserve: self.reserve.given(units),
            temperature,
            kit: self.kit.given(units),
        })
    }
}

/// A student's own figure, as it was checked in the water.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct OwnCheck {
    /// The lead with which the check was passed.
    pub lead: f64,
    /// The water it was passed in.
    pub at: WaterAt,
    /// The cylinder that was worn.
    pub cylinder: CylinderSize,
    /// What was in it.
    pub mix: GasMix,
    /// What its gauge read at the check.
    pub pressure: f64,
    /// The suit that was worn.
    pub suit: Suit,
    /// Dry mass of suit, jacket, regulator and fins together; a guess will do.
    pub kit_mass: f64,
}

impl OwnCheck {
    fn given(self, units: Units) -> Result<calc::lead::OwnCheck, Fault> {
        let (temperature, column) = self.at.column(units)?;
        Ok(calc::lead::OwnCheck {
            lead: self.lead.given(units),
            water: column.density,
            cylinder: self.cylinder.given(units),
            mix: self.mix.given(units),
            pressure: self.pressure.given(units),
            temperature,
            suit: self.suit.given(units),
            kit_mass: self.kit_mass.given(units),
        })
    }
}

/// Where to begin the check in the water.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct LeadStart {
    /// Lead to half a kilogram or a whole pound: the low end rounded down, the high end up.
    pub lead: FigureSpread,
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

impl Told<LeadStart> for calc::lead::LeadStart {
    fn told(self, units: Units) -> LeadStart {
        let Self {
            lead,
            pounds,
            source,
            reasons,
            notes,
            to_confirm,
            caution,
        } = self;
        LeadStart {
            lead: match units {
                Units::Metric => lead.told(units),
                Units::Imperial => pounds.told(units),
            },
            source,
            reasons: reasons.told(units),
            notes: notes.told(units),
            to_confirm,
            caution,
        }
    }
}

/// Where to begin: from the student's own last check, as soon as there is one.
#[uniffi::export]
pub fn lead_start(
    units: Units,
    question: LeadQuestion,
    last: Option<OwnCheck>,
) -> Result<LeadStart, Fault> {
    Ok(start(units, question, last)?.told(units))
}

/// How the lead that is worn stands against where to begin.
#[uniffi::export]
pub fn judge_worn_lead(
    units: Units,
    worn: f64,
    question: LeadQuestion,
    last: Option<OwnCheck>,
) -> Result<WornLead, Fault> {
    let (_, column) = question.at.clone().column(units)?;
    let start = start(units, question, last)?;
    let judged = calc::lead::judge_worn(worn.given(units), &start, column.density);
    Ok(judged.map_err(outside(units))?.told(units))
}

fn start(
    units: Units,
    question: LeadQuestion,
    last: Option<OwnCheck>,
) -> Result<calc::lead::LeadStart, Fault> {
    let last = last.map(|last| last.given(units)).transpose()?;
    calc::lead::lead_start(&question.given(units)?, last.as_ref()).map_err(outside(units))
}

/// What is asked of dropping the weights.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct DropQuestion {
    /// Lead with which the diver is neutral at the surface at `trimmed_at`, jacket empty.
    pub trimmed: f64,
    /// The pressure at which that holds.
    pub trimmed_at: f64,
    /// Lead that one movement drops.
    pub ditchable: f64,
    /// Lead that stays on.
    pub fixed: f64,
    /// The cylinder.
    pub cylinder: CylinderSize,
    /// What is in it.
    pub mix: GasMix,
    /// Its pressure at the moment of need; full is the worst.
    pub pressure: f64,
    /// The suit.
    pub suit: Suit,
    /// The diver.
    pub body: BodySize,
    /// The water.
    pub at: WaterAt,
    /// The deepest that the dive goes.
    pub depth: f64,
}

/// Whether dropping the weights leaves the diver positive.
#[uniffi::export]
pub fn drop_lead(units: Units, question: DropQuestion) -> Result<DropOutcome, Fault> {
    let (temperature, column) = question.at.column(units)?;
    let outcome = calc::lead::drop_lead(&calc::lead::DropQuestion {
        trimmed: question.trimmed.given(units),
        trimmed_at: question.trimmed_at.given(units),
        ditchable: question.ditchable.given(units),
        fixed: question.fixed.given(units),
        cylinder: question.cylinder.given(units),
        mix: question.mix.given(units),
        pressure: question.pressure.given(units),
        temperature,
        suit: question.suit.given(units),
        body: question.body.given(units),
        column,
        depth: question.depth.given(units),
    });
    Ok(outcome.map_err(outside(units))?.told(units))
}
