//! Water and air: density, pressure at depth, depth at pressure, altitude.

use super::answers::{Answers, bare};
use super::parts::{temperature, water, water_high};
use super::sheet::{Scale, Sheet, Start};
use super::{AnswerKey, FieldKey};
use crate::{
    Calculation, Caution, Fault, WaterChoice, altitude_of, arrival_group, depth_at, pressure_at,
    surface_pressure, typical_salinity, water_density,
};

pub(super) fn density(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    let choice = water(sheet, FieldKey::Water)?;
    let temperature = temperature(sheet, FieldKey::Temperature)?;
    let density = water_density(sheet.units, choice.clone(), temperature)?;
    let answers = Answers::of(Calculation::Water, Caution::PlanningAid).main(
        AnswerKey::Density,
        density,
        None,
    );
    Ok(match choice {
        WaterChoice::Named { sea } => {
            let usual = typical_salinity(sea);
            answers
                .also(AnswerKey::SalinityUsual, usual.typical)
                .also(AnswerKey::SalinityLowest, usual.lowest)
                .also(AnswerKey::SalinityHighest, usual.highest)
        }
        WaterChoice::Fresh
        | WaterChoice::Brackish
        | WaterChoice::OpenSea
        | WaterChoice::Salinity { .. }
        | WaterChoice::Density { .. } => answers,
    })
}

pub(super) fn by_salinity(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    let usual = Start(35.0, 35.0);
    let salinity = sheet.figure(FieldKey::Salinity, Scale::Salinity, [0.0, 42.0], usual)?;
    let temperature = temperature(sheet, FieldKey::Temperature)?;
    let water = WaterChoice::Salinity { salinity };
    let density = water_density(sheet.units, water, temperature)?;
    Ok(Answers::of(Calculation::Water, Caution::PlanningAid).main(
        AnswerKey::Density,
        density,
        None,
    ))
}

pub(super) fn pressure(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    let usual = Start(18.0, 60.0);
    let depth = sheet.figure(FieldKey::Depth, Scale::Metres, [0.0, 200.0], usual)?;
    let at = water_high(sheet)?;
    let units = &sheet.units;
    Ok(Answers::of(Calculation::Column, Caution::PlanningAid)
        .from(Calculation::Water)
        .from(Calculation::Altitude)
        .main(
            AnswerKey::AmbientPressure,
            pressure_at(*units, at.clone(), depth)?,
            None,
        )
        .also(
            AnswerKey::SurfacePressure,
            surface_pressure(*units, at.altitude)?,
        )
        .also(
            AnswerKey::Density,
            water_density(*units, at.water, at.temperature)?,
        ))
}

pub(super) fn depth(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    // From thin air to 200 m of the densest sea; what this surface allows is asked below.
    let (bounds, usual) = ([0.45, 22.0], Start(2.8, 41.0));
    let pressure = sheet.figure(FieldKey::AmbientPressure, Scale::Absolute, bounds, usual)?;
    let at = water_high(sheet)?;
    let units = &sheet.units;
    Ok(Answers::of(Calculation::Column, Caution::PlanningAid)
        .from(Calculation::Water)
        .from(Calculation::Altitude)
        .main(
            AnswerKey::Depth,
            depth_at(*units, at.clone(), pressure)?,
            None,
        )
        .also(
            AnswerKey::SurfacePressure,
            surface_pressure(*units, at.altitude)?,
        ))
}

pub(super) fn air(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    let (bounds, usual) = ([0.0, 3_048.0], Start(1_000.0, 3_000.0));
    let altitude = sheet.figure(FieldKey::Altitude, Scale::Metres, bounds, usual)?;
    let units = &sheet.units;
    let answers = Answers::of(Calculation::Altitude, Caution::TableAndComputerFirst)
        .from(Calculation::NoStop)
        .main(
            AnswerKey::SurfacePressure,
            surface_pressure(*units, altitude)?,
            None,
        );
    Ok(match arrival_group(*units, altitude)? {
        None => answers,
        Some(group) => answers.also(AnswerKey::ArrivalGroup, bare(format!("{group:?}"))),
    })
}

pub(super) fn altitude(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    // What the standard atmosphere has from 6,000 m down to 500 m below the sea.
    let (bounds, usual) = ([0.473, 1.074], Start(0.9, 13.0));
    let pressure = sheet.figure(FieldKey::AirPressure, Scale::Absolute, bounds, usual)?;
    let altitude = altitude_of(sheet.units, pressure)?;
    Ok(
        Answers::of(Calculation::Altitude, Caution::PlanningAid).main(
            AnswerKey::Altitude,
            altitude,
            None,
        ),
    )
}
