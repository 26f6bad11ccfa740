//! Calculator: one door for a calculator screen.
//!
//! A screen lists the [`calculators`], draws the [`calculator_form`] of one and hands what
//! was typed and chosen to [`calculate`]. It needs to know nothing of what is worked out:
//! every field, choice, answer and note is a key to be translated, every figure comes as
//! text with its unit. The figures are those of the typed functions beside this door, which
//! it calls.
//!
//! What cannot be read comes back as [`Fault::Refused`] by the rule "not_a_number" or
//! "not_a_choice", what lies outside its bounds by "out_of_bounds", both with the field's
//! word and the bounds; where two figures do not go together, "outside_table" names the
//! quantity as the typed functions do.

mod answers;
mod dive;
mod float;
mod gas;
mod judging;
mod key;
mod lead;
mod of_student;
mod parts;
mod sheet;
mod water;

pub use key::{AnswerKey, AnswerNote, Calculator, FieldKey, OptionKey};
pub use of_student::LeadForm;

use answers::Answers;
use sheet::Sheet;

use crate::{Caution, Fault, InWaterCheck, SourceView, UnitOfMeasure, Units};

/// What a field takes.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum FieldKind {
    /// A figure, typed with a comma or a full stop.
    Figure {
        /// The unit it is typed in.
        unit: UnitOfMeasure,
        /// Lowest allowed, in that unit.
        least: String,
        /// Highest allowed.
        most: String,
        /// How many decimals it may have; none is a whole number.
        decimals: u32,
        /// What usually stands there, to begin with.
        start: String,
    },
    /// One of a few.
    Choice {
        /// What is offered, in the order to show it.
        options: Vec<OptionKey>,
        /// The place of the usual one.
        chosen: u32,
    },
}

/// One field of a form.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct CalculatorField {
    /// What it asks for.
    pub key: FieldKey,
    /// What a fault calls it.
    pub word: String,
    /// What it takes.
    pub kind: FieldKind,
}

/// The fields of a calculator, in the order to ask them.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct CalculatorForm {
    /// Of which calculator.
    pub calculator: Calculator,
    /// Its fields.
    pub fields: Vec<CalculatorField>,
}

/// What was given for a field.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum FieldValue {
    /// As it was typed.
    Text {
        /// The text.
        text: String,
    },
    /// As it was chosen.
    Choice {
        /// The option.
        option: OptionKey,
    },
}

/// One field, filled in.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FieldGiven {
    /// Which.
    pub key: FieldKey,
    /// With what.
    pub value: FieldValue,
}

/// One answer.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct CalculatorAnswer {
    /// What it is.
    pub key: AnswerKey,
    /// The figure; empty where the note says it all.
    pub text: String,
    /// Its unit.
    pub unit: UnitOfMeasure,
    /// Whether it is what was asked for; the others say how it came about.
    pub main: bool,
    /// What must be said of it.
    pub note: Option<AnswerNote>,
}

/// What a calculator answers.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct CalculatorAnswers {
    /// In the order to show them.
    pub answers: Vec<CalculatorAnswer>,
    /// What the check in the water must confirm, in its order; empty where there is none.
    pub to_confirm: Vec<InWaterCheck>,
    /// What to say beside them; never none.
    pub cautions: Vec<Caution>,
    /// What they rest on, the weightiest first.
    pub sources: Vec<SourceView>,
}

/// The calculators, in the order in which an instructor looks for them.
#[uniffi::export]
pub fn calculators() -> Vec<Calculator> {
    Calculator::ALL.to_vec()
}

/// The fields of a calculator, each with the value it usually begins with.
#[uniffi::export]
pub fn calculator_form(calculator: Calculator, units: Units) -> Result<CalculatorForm, Fault> {
    let mut sheet = Sheet::new(units, None)?;
    worked_out(calculator, &mut sheet)?;
    Ok(CalculatorForm {
        calculator,
        fields: sheet.fields,
    })
}

/// What a calculator answers to what was given: every field of its form, once.
#[uniffi::export]
pub fn calculate(
    calculator: Calculator,
    units: Units,
    given: Vec<FieldGiven>,
) -> Result<CalculatorAnswers, Fault> {
    let mut sheet = Sheet::new(units, Some(&given))?;
    let answers = worked_out(calculator, &mut sheet)?;
    sheet.all_asked()?;
    Ok(answers.done())
}

fn worked_out(calculator: Calculator, sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    match calculator {
        Calculator::NoStopLimit => dive::limit(sheet),
        Calculator::RepetitiveDive => dive::repetitive(sheet),
        Calculator::BeforeFlying => dive::flying(sheet),
        Calculator::MinimumReserve => gas::reserve(sheet),
        Calculator::TurnPressure => gas::turn(sheet),
        Calculator::SurfaceRate => gas::rate(sheet),
        Calculator::LeadStart => lead::start(sheet),
        Calculator::LeadChange => lead::change(sheet),
        Calculator::DropWeights => lead::drop_weights(sheet),
        Calculator::Supervision => judging::ceiling(sheet),
        Calculator::CylinderContents => gas::contents(sheet),
        Calculator::CylinderBuoyancy => float::cylinder(sheet),
        Calculator::SuitBuoyancy => float::suit(sheet),
        Calculator::PressureAtDepth => water::pressure(sheet),
        Calculator::DepthAtPressure => water::depth(sheet),
        Calculator::WaterDensity => water::density(sheet),
        Calculator::DensityBySalinity => water::by_salinity(sheet),
        Calculator::AirAtAltitude => water::air(sheet),
        Calculator::AltitudeByAir => water::altitude(sheet),
        Calculator::ShareMet => judging::share(sheet),
        Calculator::Agreement => judging::agreed(sheet),
    }
}
