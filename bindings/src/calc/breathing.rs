//! Breathing: how much a diver uses.

use tallywater_core::calc;
use tallywater_core::calc::unit::LitresPerMinute;

use crate::calc::reckon::{Given as _, Told as _, outside, reckon};
use crate::{Caution, Fault, Figure, FigureOrigin, GasMix, Units, WaterAt};

reckon! {
    /// How deep the diver was.
    given enum Exposure = calc::breathing::Exposure {
        Average { depth: f64, time: f64 },
        Profile(samples: Vec<ProfileSample>),
    }

    /// One sample.
    given record ProfileSample = calc::profile::Sample {
        time: f64,
        depth: f64,
    }

    /// What a diver breathed on one dive.
    told record BreathingRate = calc::breathing::BreathingRate {
        real: Figure,
        ideal: Figure,
        used: Figure,
        caution: Caution,
    }

    /// What a student's dives so far say.
    told record RateHistory = calc::breathing::RateHistory {
        dives: u32,
        mean: Figure,
        deviation: Option<Figure>,
        lowest: Figure,
        highest: Figure,
        plan_with: Figure,
        origin: FigureOrigin,
        caution: Caution,
    }
}

/// A dive as far as its breathing goes.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct BreathingDive {
    /// Water capacity of the cylinder, in litres.
    pub capacity: f64,
    /// What was in it.
    pub mix: GasMix,
    /// The gauge at the beginning.
    pub start: f64,
    /// The gauge at the end.
    pub end: f64,
    /// Temperature of the gas at the beginning: a cylinder warm from the filling holds less
    /// than its gauge says.
    pub start_temperature: f64,
    /// The water; the gas has its temperature at the end.
    pub at: WaterAt,
    /// How deep.
    pub exposure: Exposure,
}

/// What a diver breathed on a dive, as a rate at the surface.
#[uniffi::export]
pub fn surface_rate(units: Units, dive: BreathingDive) -> Result<BreathingRate, Fault> {
    let (end_temperature, column) = dive.at.column(units)?;
    let rate = calc::breathing::surface_rate(&calc::breathing::BreathingDive {
        capacity: dive.capacity.given(units),
        mix: dive.mix.given(units),
        start: dive.start.given(units),
        end: dive.end.given(units),
        start_temperature: dive.start_temperature.given(units),
        end_temperature,
        column,
        exposure: dive.exposure.given(units),
    });
    Ok(rate.map_err(outside(units))?.told(units))
}

/// What a student's dives so far say, and what to plan with.
#[uniffi::export]
pub fn rate_history(units: Units, rates: Vec<f64>) -> Result<RateHistory, Fault> {
    let rates: Vec<LitresPerMinute> = rates.given(units);
    let history = calc::breathing::rate_history(&rates);
    Ok(history.map_err(outside(units))?.told(units))
}

/// What to plan with for a student whose rate nobody knows.
#[uniffi::export]
pub fn planning_rate(units: Units) -> Result<f64, Fault> {
    Ok(calc::breathing::PLANNING_DEFAULT.told(units))
}

/// What a diver of this rate may breathe in trouble.
#[uniffi::export]
pub fn stressed_rate(units: Units, own: f64) -> Result<Figure, Fault> {
    let rate = calc::breathing::stressed(own.given(units));
    Ok(rate.map_err(outside(units))?.told(units))
}
