//! What floats: a cylinder, a suit.

use super::answers::Answers;
use super::parts::{body, gauge, oxygen, suit as worn, water_at, water_capacity};
use super::sheet::{Scale, Sheet, Start};
use super::{AnswerKey, FieldKey, OptionKey};
use crate::{
    Calculation, CylinderMetal, CylinderSize, Fault, FigureOrigin, cylinder_buoyancy, suit_buoyancy,
};

pub(super) fn cylinder(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    use FieldKey::{EmptyMass, ValveMass, WorkingPressure};
    let metals = [
        (OptionKey::Steel, CylinderMetal::Steel),
        (OptionKey::Aluminium, CylinderMetal::Aluminium),
    ];
    let filled = Start(232.0, 3_360.0);
    let size = CylinderSize {
        metal: sheet.choice(FieldKey::CylinderMetal, &metals, OptionKey::Steel)?,
        capacity: water_capacity(sheet)?,
        working_pressure: sheet.figure(WorkingPressure, Scale::Gauge, [50.0, 315.0], filled)?,
        empty_mass: sheet.figure(EmptyMass, Scale::Kilograms, [0.5, 60.0], Start(14.4, 31.7))?,
        valve_mass: sheet.figure(ValveMass, Scale::Kilograms, [0.0, 3.0], Start(0.8, 1.7))?,
        origin: FigureOrigin::Typed,
    };
    let reserve = gauge(sheet, FieldKey::Reserve, Start(50.0, 730.0))?;
    let mix = oxygen(sheet)?;
    let at = water_at(sheet)?;
    let floats = cylinder_buoyancy(sheet.units, size, reserve, mix, at)?;
    Ok(Answers::of(Calculation::CylinderBuoyancy, floats.caution)
        .main(AnswerKey::CylinderAtReserve, floats.reserve, None)
        .also(AnswerKey::CylinderFull, floats.full)
        .also(AnswerKey::CylinderEmpty, floats.empty))
}

pub(super) fn suit(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    let suit = worn(sheet)?;
    let body = body(sheet)?;
    let usual = Start(18.0, 60.0);
    let depth = sheet.figure(FieldKey::Depth, Scale::Metres, [0.0, 60.0], usual)?;
    let at = water_at(sheet)?;
    let floats = suit_buoyancy(sheet.units, suit, body, at, depth)?;
    Ok(Answers::of(Calculation::Suit, floats.caution)
        .main(AnswerKey::SuitAtSurface, floats.surface.likely, None)
        .also(AnswerKey::SuitAtSurfaceLow, floats.surface.low)
        .also(AnswerKey::SuitAtSurfaceHigh, floats.surface.high)
        .main(AnswerKey::SuitAtDepth, floats.at_depth.likely, None)
        .also(AnswerKey::SuitAtDepthLow, floats.at_depth.low)
        .also(AnswerKey::SuitAtDepthHigh, floats.at_depth.high)
        .also(AnswerKey::SuitKept, floats.kept.likely))
}
