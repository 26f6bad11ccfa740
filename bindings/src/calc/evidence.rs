//! Evidence: tries until met, shares, agreement between two judges.

use tallywater_core::calc;
use tallywater_core::calc::unit::Coefficient;
use tallywater_core::view;

use crate::calc::reckon::{Given as _, Told, outside, reckon};
use crate::{AttemptEnd, Caution, EvidenceLevel, Fault, Figure, UnitOfMeasure};

reckon! {
    /// A two-sided interval of a share.
    told record ShareInterval = calc::evidence::Interval {
        low: Figure,
        high: Figure,
    }

    /// A student's tries of one skill.
    given record StudentTries = calc::evidence::Tries {
        attempts: u32,
        end: AttemptEnd,
    }

    /// The curve at a try at which somebody met the skill.
    told record AttemptStep = calc::evidence::AttemptStep {
        attempt: u32,
        trying: u32,
        met: u32,
        not_yet: Figure,
        error: Option<Figure>,
        interval: Option<ShareInterval>,
    }

    /// How many tries until a skill is met.
    told record AttemptCurve = calc::evidence::AttemptCurve {
        students: u32,
        met: u32,
        steps: Vec<AttemptStep>,
        median: Option<u32>,
        median_low: Option<u32>,
        median_high: Option<u32>,
        caution: Caution,
    }

    /// What is believed after the tries.
    told record Posterior = calc::evidence::Posterior {
        mean: Figure,
        interval: ShareInterval,
        above: Figure,
        caution: Caution,
    }

    /// The share met.
    told record ShareMet = calc::evidence::ShareMet {
        met: u32,
        tries: u32,
        share: Figure,
        interval: ShareInterval,
        caution: Caution,
    }

    /// How far two judges agree.
    told record Agreement = calc::evidence::Agreement {
        items: u32,
        same: u32,
        share: ShareMet,
        kappa: Kappa,
        caution: Caution,
    }
}

/// Agreement beyond chance.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum Kappa {
    /// It can be computed.
    Of {
        /// Kappa, -1 to 1.
        kappa: Figure,
        /// Its standard error.
        error: Figure,
        /// The standard error that holds if they agree by chance alone.
        error_by_chance: Figure,
        /// Lower end of its interval.
        low: Figure,
        /// Upper end.
        high: Figure,
    },
    /// Both gave one and the same mark throughout: no disagreement in so many items.
    NoDisagreement {
        /// How many.
        items: u32,
    },
}

impl Told<Kappa> for calc::evidence::Kappa {
    fn told(self, _: view::Units) -> Kappa {
        match self {
            Self::Of {
                kappa,
                error,
                error_by_chance,
                low,
                high,
            } => Kappa::Of {
                kappa: number(kappa),
                error: number(error),
                error_by_chance: number(error_by_chance),
                low: number(low),
                high: number(high),
            },
            Self::NoDisagreement { items } => Kappa::NoDisagreement { items },
        }
    }
}

/// Kappa is a bare number, written with two decimals.
fn number(share: Coefficient) -> Figure {
    Figure {
        text: format!("{:.2}", share.0 + 0.0),
        unit: UnitOfMeasure::One,
    }
}

/// How many tries until a skill is met, with those who have not met it yet.
#[uniffi::export]
pub fn attempt_curve(
    tries: Vec<StudentTries>,
    level: EvidenceLevel,
) -> Result<AttemptCurve, Fault> {
    let units = view::Units::Metric;
    let tries: Vec<calc::evidence::Tries> = tries.given(units);
    let curve = calc::evidence::attempt_curve(&tries, level);
    Ok(curve.map_err(outside(units))?.told(units))
}

/// A share met, with its interval.
#[uniffi::export]
pub fn share_met(met: u32, tries: u32, level: EvidenceLevel) -> Result<ShareMet, Fault> {
    let units = view::Units::Metric;
    let share = calc::evidence::share_met(met, tries, level);
    Ok(share.map_err(outside(units))?.told(units))
}

/// What is believed of a share after these tries, against a mark in per cent.
#[uniffi::export]
pub fn posterior(
    met: u32,
    tries: u32,
    mark: f64,
    level: EvidenceLevel,
) -> Result<Posterior, Fault> {
    let units = view::Units::Metric;
    let believed = calc::evidence::posterior(met, tries, mark.given(units), level);
    Ok(believed.map_err(outside(units))?.told(units))
}

/// How two judges agree: so many items for each pair of marks, a row for the first one's.
#[uniffi::export]
pub fn agreement(table: Vec<Vec<u32>>, level: EvidenceLevel) -> Result<Agreement, Fault> {
    let units = view::Units::Metric;
    let agreed = calc::evidence::agreement(&table, level);
    Ok(agreed.map_err(outside(units))?.told(units))
}
