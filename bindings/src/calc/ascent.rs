//! Ascents: how fast, and how many.

use tallywater_core::calc;

use crate::calc::reckon::{Given as _, Told as _, outside, reckon};
use crate::{
    AscentStanding, AscentVerdict, Caution, Fault, Figure, FigureOrigin, ProfileSample, Units,
};

reckon! {
    /// How finely the computer wrote its samples.
    given record SampleStep = calc::ascent::Resolution {
        depth: f64,
        time: f64,
    }

    /// What a sampled dive says about its ascent.
    told record AscentReport = calc::ascent::AscentReport {
        fastest: Figure,
        sustained: Figure,
        last_metres: Option<Figure>,
        stop: Option<StopHeld>,
        too_fast: Vec<TooFast>,
        verdict: AscentVerdict,
        caution: Caution,
    }

    /// Time spent between 3 and 6 m after the deepest point.
    told record StopHeld = calc::ascent::Stop {
        from: Figure,
        depth: Figure,
        time: Figure,
    }

    /// A stretch that was too fast.
    told record TooFast = calc::ascent::TooFast {
        from: Figure,
        until: Figure,
        fastest: Figure,
        depth: Figure,
    }

    /// Some vertical ascents of one member of staff, in the order of the day.
    both record AscentBatch = calc::ascent::AscentBatch {
        ascents: u32,
        depth: f64,
    }

    /// The ascents of one member of staff on one day.
    told record AscentDay = calc::ascent::AscentDay {
        ascents: u32,
        left: u32,
        standing: AscentStanding,
        deeper_later: bool,
        deepest: Figure,
        origin: FigureOrigin,
        caution: Caution,
    }
}

/// What a sampled dive says about its ascent, against a rate.
#[uniffi::export]
pub fn ascent_report(
    units: Units,
    samples: Vec<ProfileSample>,
    limit: f64,
    step: SampleStep,
) -> Result<AscentReport, Fault> {
    let samples: Vec<calc::profile::Sample> = samples.given(units);
    let report = calc::ascent::ascent_report(&samples, limit.given(units), step.given(units));
    Ok(report.map_err(outside(units))?.told(units))
}

/// The rate that ascents are usually held against.
#[uniffi::export]
pub fn usual_ascent_rate(units: Units) -> Result<f64, Fault> {
    Ok(calc::ascent::NAVY_RATE.told(units))
}

/// The ascents of one member of staff on one day, against the house's limit.
#[uniffi::export]
pub fn ascent_day(
    units: Units,
    batches: Vec<AscentBatch>,
    limit: Option<u32>,
) -> Result<AscentDay, Fault> {
    let batches: Vec<calc::ascent::AscentBatch> = batches.given(units);
    let day = calc::ascent::ascent_day(&batches, limit.unwrap_or(calc::ascent::HOUSE_LIMIT));
    Ok(day.map_err(outside(units))?.told(units))
}

/// The vertical ascents in a sampled dive, from at least this deep.
#[uniffi::export]
pub fn count_ascents(
    units: Units,
    samples: Vec<ProfileSample>,
    from: f64,
) -> Result<Vec<AscentBatch>, Fault> {
    let samples: Vec<calc::profile::Sample> = samples.given(units);
    let batches = calc::ascent::count_ascents(&samples, from.given(units));
    Ok(batches.map_err(outside(units))?.told(units))
}
