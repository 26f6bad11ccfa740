//! Shortfall: figures below what a skill asks for, beside a mark that says *met*.
//!
//! A figure that suits two parts of a requirement, a hold and a time limit are both seconds,
//! may be of either: it is short where it reaches none of them.

use super::{Attempt, Mark, Measured, Refusal};
use crate::course::{Measure, Skill};

/// The measured figures that reach no part of the requirement that they may answer.
pub fn falls_short(skill: &Skill, measured: &[Measured]) -> Vec<Measured> {
    let short = |figure: &&Measured| {
        let answered = skill.requirement.measures.iter();
        let mut answered = answered.filter(|asked| suits(**figure, asked)).peekable();
        answered.peek().is_some() && answered.all(|asked| !reaches(**figure, asked))
    };
    measured.iter().filter(short).copied().collect()
}

/// Whether a figure answers a part of a requirement.
pub const fn suits(measured: Measured, measure: &Measure) -> bool {
    matches!(
        (measured, measure),
        (Measured::Count(_), Measure::Count { .. })
            | (
                Measured::Seconds(_),
                Measure::Hold { .. } | Measure::Within { .. }
            )
            | (
                Measured::Decimetres(_),
                Measure::Distance { .. } | Measure::Miss { .. }
            )
            | (Measured::Centimetres(_), Measure::DepthBand { .. })
            | (Measured::CmPerMinute(_), Measure::AscentRate { .. })
            | (Measured::Reading(_), Measure::Reading { .. })
    )
}

/// Whether a figure reaches a part of a requirement that it answers.
const fn reaches(figure: Measured, asked: &Measure) -> bool {
    let value = figure.base();
    match asked {
        Measure::Count { at_least, .. } => value >= *at_least,
        Measure::Hold { seconds } => value >= *seconds,
        Measure::Within { seconds } => value <= *seconds,
        Measure::Distance { decimetres } => value >= *decimetres,
        Measure::DepthBand { plus_minus_cm } => value <= *plus_minus_cm,
        Measure::AscentRate { cm_per_minute } => value <= *cm_per_minute,
        Measure::Miss { decimetres } => value <= *decimetres,
        Measure::Reading { at_most, .. } => value <= *at_most,
    }
}

impl Measured {
    /// The figure, in the base unit of the requirement.
    pub const fn base(self) -> u32 {
        match self {
            Self::Count(figure)
            | Self::Seconds(figure)
            | Self::Decimetres(figure)
            | Self::Centimetres(figure)
            | Self::CmPerMinute(figure)
            | Self::Reading(figure) => figure,
        }
    }
}

/// *Met* on a figure below the requirement needs its reason.
pub(super) fn reason_given(skill: &Skill, attempt: &Attempt) -> Result<(), Refusal> {
    if attempt.mark != Mark::Met || attempt.despite.is_some() {
        return Ok(());
    }
    let short = falls_short(skill, &attempt.measured).into_iter();
    let mut missed = short.filter_map(|figure| {
        let mut asked = skill.requirement.measures.iter();
        let part = asked.find(|asked| suits(figure, asked))?;
        Some((figure, part.clone()))
    });
    match missed.next() {
        Some((measured, asked)) => Err(Refusal::BelowRequirement {
            skill: skill.id.clone(),
            measured,
            asked,
        }),
        None => Ok(()),
    }
}
