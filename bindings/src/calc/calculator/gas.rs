//! Gas: what a cylinder holds, what a diver breathes, what is kept and where to turn.

use super::answers::{Answers, no_figure};
use super::parts::{gauge, oxygen, water_capacity, water_high};
use super::sheet::{Scale, Sheet, Start};
use super::{AnswerKey, AnswerNote, FieldKey, OptionKey};
use crate::{
    AscentPlan, BreathingDive, Calculation, Caution, Exposure, Fault, Governs, TurnPoint, TurnRule,
    cylinder_contents, minimum_reserve, surface_rate, turn_pressure,
};

pub(super) fn contents(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    let capacity = water_capacity(sheet)?;
    let pressure = gauge(sheet, FieldKey::CylinderPressure, Start(200.0, 3_000.0))?;
    let temperature = gas_temperature(sheet, FieldKey::GasTemperature)?;
    let mix = oxygen(sheet)?;
    let held = cylinder_contents(sheet.units, capacity, pressure, temperature, mix)?;
    Ok(Answers::of(Calculation::Cylinder, held.caution)
        .main(AnswerKey::GasHeld, held.real, None)
        .also(AnswerKey::GasHeldIdeal, held.ideal)
        .also(AnswerKey::GasMass, held.mass))
}

pub(super) fn rate(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    use FieldKey::{AverageDepth, DiveTime};
    let capacity = water_capacity(sheet)?;
    let mix = oxygen(sheet)?;
    let start = gauge(sheet, FieldKey::StartPressure, Start(200.0, 3_000.0))?;
    let end = gauge(sheet, FieldKey::EndPressure, Start(80.0, 1_200.0))?;
    let start_temperature = gas_temperature(sheet, FieldKey::StartTemperature)?;
    let depth = sheet.figure(AverageDepth, Scale::Metres, [0.0, 60.0], Start(12.0, 40.0))?;
    let time = sheet.figure(DiveTime, Scale::Minutes, [1.0, 300.0], Start(35.0, 35.0))?;
    let dive = BreathingDive {
        capacity,
        mix,
        start,
        end,
        start_temperature,
        at: water_high(sheet)?,
        exposure: Exposure::Average { depth, time },
    };
    let rate = surface_rate(sheet.units, dive)?;
    Ok(Answers::of(Calculation::Breathing, rate.caution)
        .from(Calculation::Cylinder)
        .main(AnswerKey::SurfaceRate, rate.real, None)
        .also(AnswerKey::SurfaceRateIdeal, rate.ideal)
        .also(AnswerKey::GasUsed, rate.used))
}

pub(super) fn reserve(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    use FieldKey::{AscentRate, Depth, ReactionTime, StopDepth, StopTime, StressedRate};
    let depth = sheet.figure(Depth, Scale::Metres, [0.0, 60.0], Start(18.0, 60.0))?;
    let divers = sheet.count(FieldKey::Divers, [1, 4], 2)?;
    let rate = sheet.figure(
        StressedRate,
        Scale::Breathing,
        [3.0, 120.0],
        Start(30.0, 1.06),
    )?;
    let capacity = water_capacity(sheet)?;
    let mix = oxygen(sheet)?;
    let plan = AscentPlan {
        depth,
        reaction: sheet.figure(ReactionTime, Scale::Minutes, [0.0, 10.0], Start(1.0, 1.0))?,
        rate: sheet.figure(AscentRate, Scale::Ascent, [3.0, 18.0], Start(9.0, 30.0))?,
        stop: sheet.figure(StopDepth, Scale::Metres, [0.0, 12.0], Start(5.0, 15.0))?,
        stop_time: sheet.figure(StopTime, Scale::Minutes, [0.0, 20.0], Start(3.0, 3.0))?,
    };
    let at = water_high(sheet)?;
    let sharing = (0..divers).map(|_| rate).collect();
    let least = minimum_reserve(sheet.units, plan, sharing, capacity, mix, at)?;
    let governs = match least.governs {
        Governs::Ascent => AnswerNote::AscentGoverns,
        Governs::Floor => AnswerNote::FloorGoverns,
    };
    Ok(Answers::of(Calculation::Reserve, least.caution)
        .from(Calculation::Cylinder)
        .main(AnswerKey::Reserve, least.pressure, Some(governs))
        .also(AnswerKey::ReserveGas, least.gas)
        .also(AnswerKey::ReserveReaction, least.parts.reaction)
        .also(AnswerKey::ReserveAscent, least.parts.ascent)
        .also(AnswerKey::ReserveStop, least.parts.stop)
        .also(AnswerKey::ReserveLast, least.parts.last))
}

pub(super) fn turn(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    let start = gauge(sheet, FieldKey::StartPressure, Start(200.0, 3_000.0))?;
    let reserve = gauge(sheet, FieldKey::Reserve, Start(60.0, 900.0))?;
    let rules = [
        (OptionKey::DirectAscent, TurnRule::DirectAscent),
        (OptionKey::ThereAndBack, TurnRule::ThereAndBack),
        (OptionKey::Thirds, TurnRule::Thirds),
    ];
    let rule = sheet.choice(FieldKey::TurnRule, &rules, OptionKey::ThereAndBack)?;
    let answers = |caution| Answers::of(Calculation::Turn, caution);
    let shared_out = match rule {
        TurnRule::DirectAscent => AnswerNote::AllAboveReserve,
        TurnRule::ThereAndBack => AnswerNote::HalfAboveReserve,
        TurnRule::Thirds => AnswerNote::ThirdAboveReserve,
    };
    Ok(match turn_pressure(sheet.units, start, reserve, rule)? {
        TurnPoint::At { pressure, caution } => {
            answers(caution).main(AnswerKey::Turn, pressure, Some(shared_out))
        }
        TurnPoint::NotEnough { start: _, reserve } => answers(Caution::GaugeFirst)
            .main(AnswerKey::Turn, no_figure(), Some(AnswerNote::NotEnoughGas))
            .also(AnswerKey::Reserve, reserve),
    })
}

/// A cylinder in the sun is warmer than any water.
fn gas_temperature(sheet: &mut Sheet<'_>, key: FieldKey) -> Result<f64, Fault> {
    sheet.figure(key, Scale::Celsius, [-2.0, 50.0], Start(20.0, 68.0))
}
