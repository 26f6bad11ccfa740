//! Weight: a start from an estimate, a start from the student's own check, and the drop.

use super::answers::{Answers, no_figure};
use super::parts::{adult, body, checked_suit, cylinder, gauge, oxygen, suit, water_at, water_by};
use super::sheet::{Scale, Sheet, Start};
use super::{AnswerKey, AnswerNote, FieldKey};
use crate::{
    Calculation, DropQuestion, DropVerdict, Fault, GasMix, LeadCause, LeadNote, LeadQuestion,
    LeadSource, LeadStart, OwnCheck, WornLead, drop_lead, judge_worn_lead, lead_start,
};

const LEAD: [f64; 2] = [0.0, 40.0];

pub(super) fn start(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    let (body, age) = adult(sheet)?;
    let question = LeadQuestion {
        body,
        age,
        suit: suit(sheet)?,
        at: water_at(sheet)?,
        cylinder: cylinder(sheet, FieldKey::Cylinder)?,
        mix: oxygen(sheet)?,
        reserve: gauge(sheet, FieldKey::Reserve, Start(50.0, 730.0))?,
        kit: sheet.figure(
            FieldKey::KitBuoyancy,
            Scale::Kilograms,
            [-10.0, 10.0],
            Start(0.0, 0.0),
        )?,
    };
    weighed(sheet, question, None)
}

/// Between suits, waters and cylinders, on air. A child's own check carries over as well as an
/// adult's: lungs and tissue are in it.
pub(super) fn change(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    use FieldKey::{CheckedCylinder, CheckedLead, CheckedPressure, CheckedTemperature};
    use FieldKey::{CheckedWater, Cylinder, KitMass, Reserve};
    let lead = sheet.figure(CheckedLead, Scale::Kilograms, LEAD, Start(6.0, 13.0))?;
    let checked_at = water_by(sheet, CheckedWater, CheckedTemperature)?;
    let checked_cylinder = cylinder(sheet, CheckedCylinder)?;
    let pressure = gauge(sheet, CheckedPressure, Start(50.0, 730.0))?;
    let checked_suit = checked_suit(sheet)?;
    let at = water_at(sheet)?;
    let cylinder = cylinder(sheet, Cylinder)?;
    let reserve = gauge(sheet, Reserve, Start(50.0, 730.0))?;
    let suit = suit(sheet)?;
    let body = body(sheet)?;
    let kit = Start(8.0, 18.0);
    let kit_mass = sheet.figure(KitMass, Scale::Kilograms, [0.0, 40.0], kit)?;
    let check = OwnCheck {
        lead,
        at: checked_at,
        cylinder: checked_cylinder,
        mix: GasMix::Air,
        pressure,
        suit: checked_suit,
        kit_mass,
    };
    let question = LeadQuestion {
        body,
        // Of an own check nobody's age is asked.
        age: 0,
        suit,
        at,
        cylinder,
        mix: GasMix::Air,
        reserve,
        kit: 0.0,
    };
    weighed(sheet, question, Some(check))
}

/// Where to begin and, once it is said what is worn, how that stands to it.
fn weighed(
    sheet: &mut Sheet<'_>,
    question: LeadQuestion,
    last: Option<OwnCheck>,
) -> Result<Answers, Fault> {
    let worn = sheet.maybe(FieldKey::WornLead, Scale::Kilograms, LEAD)?;
    let units = sheet.units;
    let worn = worn
        .map(|worn| judge_worn_lead(units, worn, question.clone(), last.clone()))
        .transpose()?;
    Ok(answered(lead_start(units, question, last)?, worn))
}

pub(super) fn drop_weights(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    use FieldKey::{CylinderPressure, Depth, DitchableLead, FixedLead, TrimmedAt, TrimmedLead};
    let question = DropQuestion {
        trimmed: sheet.figure(TrimmedLead, Scale::Kilograms, LEAD, Start(6.0, 13.0))?,
        trimmed_at: gauge(sheet, TrimmedAt, Start(50.0, 730.0))?,
        ditchable: sheet.figure(DitchableLead, Scale::Kilograms, LEAD, Start(6.0, 13.0))?,
        fixed: sheet.figure(FixedLead, Scale::Kilograms, LEAD, Start(0.0, 0.0))?,
        cylinder: cylinder(sheet, FieldKey::Cylinder)?,
        mix: oxygen(sheet)?,
        pressure: gauge(sheet, CylinderPressure, Start(200.0, 3_000.0))?,
        suit: suit(sheet)?,
        body: body(sheet)?,
        depth: sheet.figure(Depth, Scale::Metres, [0.0, 60.0], Start(18.0, 60.0))?,
        at: water_at(sheet)?,
    };
    let outcome = drop_lead(sheet.units, question)?;
    let verdict = match outcome.verdict {
        DropVerdict::PositiveAtDepth => AnswerNote::PositiveAtDepth,
        DropVerdict::PositiveAtSurfaceOnly => AnswerNote::PositiveAtSurfaceOnly,
        DropVerdict::NotPositive => AnswerNote::NotPositive,
    };
    Ok(Answers::of(Calculation::LeadDrop, outcome.caution)
        .main(AnswerKey::AfterDropAtDepth, outcome.at_depth, Some(verdict))
        .also(AnswerKey::AfterDropAtSurface, outcome.at_surface))
}

fn answered(start: LeadStart, worn: Option<WornLead>) -> Answers {
    let source = match start.source {
        LeadSource::OwnCheck => AnswerNote::FromOwnCheck,
        LeadSource::Estimate => AnswerNote::FromEstimate,
    };
    let wide = start.notes.contains(&LeadNote::WideRange);
    let mut answers = Answers::of(Calculation::Lead, start.caution)
        .main(AnswerKey::Lead, start.lead.likely, Some(source))
        .also(AnswerKey::LeadLow, start.lead.low)
        .noted(
            AnswerKey::LeadHigh,
            start.lead.high,
            wide.then_some(AnswerNote::WideRange),
        );
    answers = match worn {
        None => answers,
        Some(WornLead::Within { caution }) => answers
            .noted(AnswerKey::Worn, no_figure(), Some(AnswerNote::WornWithin))
            .caution(caution),
        Some(WornLead::Under { by, caution }) => answers
            .noted(AnswerKey::WornTooLittle, by, Some(AnswerNote::WornUnder))
            .caution(caution),
        Some(WornLead::Over {
            by,
            jacket,
            caution,
        }) => answers
            .noted(AnswerKey::WornTooMuch, by, Some(AnswerNote::WornOver))
            .also(AnswerKey::WornJacket, jacket)
            .caution(caution),
    };
    for note in start.notes {
        if let LeadNote::SinksWithoutLead { by } = note {
            answers = answers.also(AnswerKey::SinksWithoutLead, by);
        }
    }
    for reason in start.reasons {
        let key = match reason.cause {
            LeadCause::Body => AnswerKey::LiftBody,
            LeadCause::Lungs => AnswerKey::LiftLungs,
            LeadCause::Suit => AnswerKey::LiftSuit,
            LeadCause::Cylinder => AnswerKey::LiftCylinder,
            LeadCause::Kit => AnswerKey::LiftKit,
            LeadCause::CheckedFigure => AnswerKey::LiftCheckedFigure,
            LeadCause::OtherWater => AnswerKey::LiftOtherWater,
            LeadCause::OtherCylinder => AnswerKey::LiftOtherCylinder,
            LeadCause::OtherSuit => AnswerKey::LiftOtherSuit,
        };
        answers = answers.also(key, reason.lift.likely);
    }
    answers.confirm(start.to_confirm)
}
