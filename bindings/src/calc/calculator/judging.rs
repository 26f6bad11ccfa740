//! Judging: who may be in the water, shares met, agreement of two judges.

use super::answers::{Answers, bare, no_figure};
use super::parts::level;
use super::sheet::{Scale, Sheet, Start};
use super::{AnswerKey, AnswerNote, FieldKey, OptionKey};
use crate::{
    AssistantCount, Calculation, CeilingPolicy, CeilingSetting, CeilingStanding, CeilingStep,
    DiveExperience, Fault, FigureOrigin, Kappa, PolicyConfirmation, StaffNow, StepReason,
    WaterConditions, WaterMotion, agreement, share_met, starter_reductions, supervision,
};

/// The figures are typed here and so confirmed by nobody: the answer is never a good one.
pub(super) fn ceiling(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    let policy = CeilingPolicy {
        // The figures that are typed count; they are those of one setting already.
        setting: CeilingSetting::OpenWater,
        per_instructor: sheet.count(FieldKey::PerInstructor, [0, 20], 8)?,
        per_assistant: sheet.count(FieldKey::PerAssistant, [0, 10], 2)?,
        cap: Some(sheet.count(FieldKey::Cap, [0, 60], 12)?),
        confirmation: PolicyConfirmation::Unconfirmed,
        origin: FigureOrigin::Typed,
    };
    let instructors = sheet.count(FieldKey::Instructors, [0, 10], 1)?;
    let assistants = sheet.count(FieldKey::Assistants, [0, 20], 1)?;
    let staff = StaffNow {
        instructors,
        assistants: (0..assistants).map(|_| AssistantCount::Counts).collect(),
    };
    let motions = [
        (OptionKey::Calm, WaterMotion::Calm),
        (OptionKey::SomeMotion, WaterMotion::Some),
        (OptionKey::StrongMotion, WaterMotion::Strong),
    ];
    let experiences = [
        (OptionKey::FirstDive, DiveExperience::FirstDive),
        (OptionKey::DivedBefore, DiveExperience::DivedBefore),
    ];
    let (seen, warm) = (Start(8.0, 25.0), Start(18.0, 65.0));
    let conditions = WaterConditions {
        visibility: Some(sheet.figure(FieldKey::Visibility, Scale::Metres, [0.0, 100.0], seen)?),
        motion: sheet.choice(FieldKey::Motion, &motions, OptionKey::Calm)?,
        temperature: Some(sheet.figure(
            FieldKey::Temperature,
            Scale::Celsius,
            [-2.0, 40.0],
            warm,
        )?),
        minors: sheet.count(FieldKey::Minors, [0, 200], 0)?,
        experience: sheet.choice(FieldKey::Experience, &experiences, OptionKey::FirstDive)?,
    };
    let in_water = sheet.count(FieldKey::InWater, [0, 200], 0)?;
    let house = starter_reductions(sheet.units)?;
    let seen = supervision(sheet.units, policy, staff, conditions, house, in_water)?;
    let note = match seen.standing {
        CeilingStanding::Over => Some(AnswerNote::OverCeiling),
        CeilingStanding::Unconfirmed => Some(AnswerNote::PolicyUnconfirmed),
        CeilingStanding::Below | CeilingStanding::AtCeiling => None,
    };
    let answers = Answers::of(Calculation::Supervision, seen.caution).main(
        AnswerKey::Ceiling,
        bare(seen.ceiling),
        note,
    );
    Ok(seen.steps.into_iter().fold(answers, step))
}

fn step(answers: Answers, step: CeilingStep) -> Answers {
    let (key, note) = match step.reason {
        StepReason::Instructors => (AnswerKey::StepInstructors, None),
        StepReason::NoInstructor => (AnswerKey::StepInstructors, Some(AnswerNote::NoInstructor)),
        StepReason::Assistant | StepReason::AssistantDoesNotCount { why: _ } => {
            (AnswerKey::StepAssistant, None)
        }
        StepReason::Cap => (AnswerKey::StepCap, None),
        StepReason::PoorVisibility | StepReason::VisibilityNotKnown => {
            (AnswerKey::StepVisibility, Some(AnswerNote::PoorVisibility))
        }
        StepReason::OneForEachStaff => {
            (AnswerKey::StepVisibility, Some(AnswerNote::OneForEachStaff))
        }
        StepReason::Motion => (AnswerKey::StepMotion, None),
        StepReason::StrongMotion => (AnswerKey::StepMotion, Some(AnswerNote::StrongMotion)),
        StepReason::Cold | StepReason::TemperatureNotKnown => {
            (AnswerKey::StepTemperature, Some(AnswerNote::Cold))
        }
        StepReason::Minors => (AnswerKey::StepMinors, None),
        StepReason::FirstDive => (AnswerKey::StepFirstDive, None),
    };
    answers.noted(key, bare(step.after), note)
}

pub(super) fn share(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    let tries = sheet.count(FieldKey::Tries, [1, 10_000], 10)?;
    let met = sheet.count(FieldKey::Met, [0, 10_000], 8)?;
    let level = level(sheet)?;
    let share = share_met(met, tries, level)?;
    Ok(Answers::of(Calculation::ShareMet, share.caution)
        .main(AnswerKey::ShareMet, share.share, None)
        .also(AnswerKey::ShareLow, share.interval.low)
        .also(AnswerKey::ShareHigh, share.interval.high))
}

pub(super) fn agreed(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    let most = [0, 10_000];
    let both = sheet.count(FieldKey::BothMet, most, 20)?;
    let first = sheet.count(FieldKey::FirstMetAlone, most, 3)?;
    let second = sheet.count(FieldKey::SecondMetAlone, most, 2)?;
    let neither = sheet.count(FieldKey::NeitherMet, most, 5)?;
    let level = level(sheet)?;
    let table = vec![vec![both, first], vec![second, neither]];
    let agreed = agreement(table, level)?;
    let answers = Answers::of(Calculation::Agreement, agreed.caution)
        .from(Calculation::ShareMet)
        .caution(agreed.share.caution);
    let answers = match agreed.kappa {
        Kappa::Of {
            kappa,
            error,
            error_by_chance: _,
            low,
            high,
        } => answers
            .main(AnswerKey::Kappa, kappa, None)
            .also(AnswerKey::KappaLow, low)
            .also(AnswerKey::KappaHigh, high)
            .also(AnswerKey::KappaError, error),
        Kappa::NoDisagreement { items: _ } => answers.main(
            AnswerKey::Kappa,
            no_figure(),
            Some(AnswerNote::KappaUndefined),
        ),
    };
    Ok(answers
        .also(AnswerKey::SameMarks, agreed.share.share)
        .also(AnswerKey::SameMarksLow, agreed.share.interval.low)
        .also(AnswerKey::SameMarksHigh, agreed.share.interval.high))
}
