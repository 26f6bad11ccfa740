//! Skill card: a skill as it is briefed and judged, its measures as things to take.

use super::figure::{self, Of};
use super::{Figure, UnitOfMeasure, Units};
use crate::course::{Family, Measure, MethodId, MethodsNeeded, Setting, Skill, SkillId, SlipId};
use crate::entry::{Measured, suits};

/// A skill on a sheet or a briefing card.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SkillCard {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// Its family.
    pub family: Family,
    /// Where it may be shown.
    pub settings: Vec<Setting>,
    /// Whether completion needs it.
    pub required: bool,
    /// What must be shown, in words.
    pub says: String,
    /// Its measurable parts.
    pub measures: Vec<MeasureCard>,
    /// Ways of doing it.
    pub methods: Vec<MethodCard>,
    /// Whether one way is enough.
    pub methods_needed: MethodsNeeded,
    /// Briefing cues.
    pub cues: Vec<String>,
    /// Common faults, each with its correction.
    pub slips: Vec<SlipCard>,
    /// What can hurt, and what the judge watches.
    pub caution: Option<String>,
    /// Whether a try can hurt.
    pub hazard: bool,
    /// Minutes of a practised try.
    pub quick_minutes: u16,
    /// Minutes of a first try.
    pub slow_minutes: u16,
}

/// One way of doing a skill.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct MethodCard {
    /// Which.
    pub method: MethodId,
    /// Its name.
    pub name: String,
    /// Its own cues.
    pub cues: Vec<String>,
    /// Whether it is asked for where all are.
    pub required: bool,
}

/// A common fault.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SlipCard {
    /// Which.
    pub slip: SlipId,
    /// What is seen.
    pub fault: String,
    /// What to say or do.
    pub fix: String,
}

/// What kind of thing is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum MeasureKind {
    /// How many.
    Count,
    /// How long it lasts, at least.
    Hold,
    /// How long it takes, at most.
    Within,
    /// How far.
    Distance,
    /// How far off in depth.
    DepthBand,
    /// How fast upwards.
    AscentRate,
    /// How far off the target.
    Miss,
    /// A figure read off.
    Reading,
}

impl MeasureKind {
    /// The kind of a measure.
    pub const fn of(measure: &Measure) -> Self {
        match measure {
            Measure::Count { .. } => Self::Count,
            Measure::Hold { .. } => Self::Hold,
            Measure::Within { .. } => Self::Within,
            Measure::Distance { .. } => Self::Distance,
            Measure::DepthBand { .. } => Self::DepthBand,
            Measure::AscentRate { .. } => Self::AscentRate,
            Measure::Miss { .. } => Self::Miss,
            Measure::Reading { .. } => Self::Reading,
        }
    }

    /// What it is taken with.
    pub const fn taken_with(self) -> TakenWith {
        match self {
            Self::Count => TakenWith::Counter,
            Self::Hold | Self::Within => TakenWith::Stopwatch,
            Self::Distance | Self::DepthBand | Self::AscentRate | Self::Miss | Self::Reading => {
                TakenWith::Number
            }
        }
    }

    /// On which side of the bound it is met.
    pub const fn side(self) -> Side {
        match self {
            Self::Count | Self::Hold | Self::Distance => Side::AtLeast,
            Self::Within | Self::DepthBand | Self::AscentRate | Self::Miss | Self::Reading => {
                Side::AtMost
            }
        }
    }
}

/// What a measure is taken with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum TakenWith {
    /// A stopwatch.
    Stopwatch,
    /// A counter.
    Counter,
    /// A number pad.
    Number,
}

/// On which side of a bound a measure is met.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Side {
    /// At the bound or above.
    AtLeast,
    /// At the bound or below.
    AtMost,
}

/// One measurable part of a requirement, as it is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct MeasureCard {
    /// What is measured.
    pub kind: MeasureKind,
    /// What it is taken with.
    pub taken_with: TakenWith,
    /// On which side of the bound it is met.
    pub side: Side,
    /// The bound, as shown.
    pub bound: Figure,
    /// The bound in base units: seconds for a stopwatch to ring at.
    pub bound_base: u32,
    /// Of what, or in which unit, in the outline's own words.
    pub of: Option<String>,
}

impl MeasureCard {
    /// A measure as it is asked for.
    pub fn of(measure: &Measure, units: Units) -> Self {
        let kind = MeasureKind::of(measure);
        let (bound_base, of) = match measure {
            Measure::Count { at_least, of } => (*at_least, Some(of.clone())),
            Measure::Hold { seconds } | Measure::Within { seconds } => (*seconds, None),
            Measure::Distance { decimetres } | Measure::Miss { decimetres } => (*decimetres, None),
            Measure::DepthBand { plus_minus_cm } => (*plus_minus_cm, None),
            Measure::AscentRate { cm_per_minute } => (*cm_per_minute, None),
            Measure::Reading { at_most, unit } => (*at_most, Some(unit.clone())),
        };
        Self {
            kind,
            taken_with: kind.taken_with(),
            side: kind.side(),
            bound: shown(kind, bound_base, units),
            bound_base,
            of,
        }
    }
}

fn shown(kind: MeasureKind, base: u32, units: Units) -> Figure {
    match quantity(kind) {
        Some(of) => of.show(base, units),
        None if kind.taken_with() == TakenWith::Stopwatch => figure::clock(base),
        None => figure::bare(base),
    }
}

const fn quantity(kind: MeasureKind) -> Option<Of> {
    match kind {
        MeasureKind::Distance | MeasureKind::Miss => Some(Of::Way),
        MeasureKind::DepthBand => Some(Of::Band),
        MeasureKind::AscentRate => Some(Of::Rate),
        MeasureKind::Count | MeasureKind::Hold | MeasureKind::Within | MeasureKind::Reading => None,
    }
}

/// A figure that was taken, as it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Taken {
    /// The figure.
    pub figure: Figure,
    /// Of what, or in which unit, in the outline's own words.
    pub of: Option<String>,
    /// Whether it reaches what was asked; `None` when the outline no longer asks for it.
    pub reached: Option<bool>,
}

impl Taken {
    /// A figure that was taken for a skill.
    pub(super) fn of(measured: Measured, skill: Option<&Skill>, units: Units) -> Self {
        let (kind, base) = match measured {
            Measured::Count(base) => (MeasureKind::Count, base),
            Measured::Seconds(base) => (MeasureKind::Hold, base),
            Measured::Decimetres(base) => (MeasureKind::Distance, base),
            Measured::Centimetres(base) => (MeasureKind::DepthBand, base),
            Measured::CmPerMinute(base) => (MeasureKind::AscentRate, base),
            Measured::Reading(base) => (MeasureKind::Reading, base),
        };
        let asked: Vec<MeasureCard> = skill
            .into_iter()
            .flat_map(|skill| &skill.requirement.measures)
            .filter(|measure| suits(measured, measure))
            .map(|measure| MeasureCard::of(measure, units))
            .collect();
        let reaches = |card: &MeasureCard| match card.side {
            Side::AtLeast => base >= card.bound_base,
            Side::AtMost => base <= card.bound_base,
        };
        // A hold and a time limit are both seconds: a figure that suits two parts says
        // nothing about either.
        let only = match asked.as_slice() {
            [only] => Some(only),
            _ => None,
        };
        Self {
            figure: shown(kind, base, units),
            of: only.and_then(|card| card.of.clone()),
            reached: only.map(reaches),
        }
    }
}

/// Why a typed figure cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BadFigure {
    /// It is not a number of the form that is asked for.
    NotANumber,
    /// It is below nought or larger than can be kept.
    OutOfBounds,
}

/// The figure behind what was typed, or read off a stopwatch, for one part of a
/// requirement, in the reader's units.
///
/// # Errors
/// [`BadFigure`].
pub fn read_measure(kind: MeasureKind, typed: &str, units: Units) -> Result<Measured, BadFigure> {
    let base = match quantity(kind) {
        Some(of) => of.read(typed, units),
        None if kind.taken_with() == TakenWith::Stopwatch => {
            figure::read_clock(typed).map(i64::from)
        }
        None => {
            let plain =
                !typed.trim().is_empty() && typed.trim().bytes().all(|b| b.is_ascii_digit());
            plain.then(|| typed.trim().parse().unwrap_or(i64::MAX))
        }
    };
    let base = base.ok_or(BadFigure::NotANumber)?;
    let base = u32::try_from(base).map_err(|_| BadFigure::OutOfBounds)?;
    Ok(match kind {
        MeasureKind::Count => Measured::Count(base),
        MeasureKind::Hold | MeasureKind::Within => Measured::Seconds(base),
        MeasureKind::Distance | MeasureKind::Miss => Measured::Decimetres(base),
        MeasureKind::DepthBand => Measured::Centimetres(base),
        MeasureKind::AscentRate => Measured::CmPerMinute(base),
        MeasureKind::Reading => Measured::Reading(base),
    })
}

/// The unit that a part of a requirement is typed in.
pub const fn unit_of(kind: MeasureKind, units: Units) -> UnitOfMeasure {
    match quantity(kind) {
        Some(of) => figure::unit(of, units),
        None => match kind.taken_with() {
            TakenWith::Stopwatch => UnitOfMeasure::Clock,
            TakenWith::Counter | TakenWith::Number => UnitOfMeasure::One,
        },
    }
}

impl SkillCard {
    /// A skill as it is briefed and judged.
    pub fn of(skill: &Skill, units: Units) -> Self {
        Self {
            skill: skill.id.clone(),
            name: skill.name.clone(),
            family: skill.family,
            settings: skill.settings.iter().copied().collect(),
            required: skill.required,
            says: skill.requirement.says.clone(),
            measures: skill
                .requirement
                .measures
                .iter()
                .map(|measure| MeasureCard::of(measure, units))
                .collect(),
            methods: skill
                .methods
                .iter()
                .map(|method| MethodCard {
                    method: method.id.clone(),
                    name: method.name.clone(),
                    cues: method.cues.clone(),
                    required: method.required,
                })
                .collect(),
            methods_needed: skill.methods_needed,
            cues: skill.cues.clone(),
            slips: skill
                .slips
                .iter()
                .map(|slip| SlipCard {
                    slip: slip.id.clone(),
                    fault: slip.fault.clone(),
                    fix: slip.fix.clone(),
                })
                .collect(),
            caution: skill.caution.clone(),
            hazard: skill.hazard,
            quick_minutes: skill.minutes.quick,
            slow_minutes: skill.minutes.slow,
        }
    }
}
