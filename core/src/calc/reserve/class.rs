//! The gas of a whole class: each one's reserve and turn, who turns first, and the instructor as
//! the one who may have to give gas to two.
//!
//! Source: the rules of `minimum` and `turn`; that the instructor keeps gas for two students is a
//! house rule, common practice, no published source.

use super::minimum::{AscentPlan, MinimumReserve, minimum_reserve};
use super::turn::{Turn, TurnRule, turn_pressure};
use crate::calc::breathing::{checked_rate, stressed};
use crate::calc::caution::Caution;
use crate::calc::cylinder::{Mix, safe_litres};
use crate::calc::outside::{OutsideTable, Quantity, listed};
use crate::calc::unit::{
    Celsius, GaugeBar, Litres, LitresPerMinute, Metres, Minutes, MinutesWhole, Rounding,
};
use crate::calc::water::WaterColumn;

/// One diver of the class, with the rate and the cylinder that are this diver's own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClassDiver {
    /// What the diver breathes.
    pub rate: LitresPerMinute,
    /// The diver's cylinder.
    pub capacity: Litres,
    /// What is in it.
    pub mix: Mix,
    /// What its gauge reads.
    pub start: GaugeBar,
}

/// What one diver keeps and where this diver turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DiverReserve {
    /// The reserve, shared with the hungriest of the others.
    pub reserve: MinimumReserve,
    /// Where to turn.
    pub turn: Turn,
    /// Minutes at the planned depth until then, rounded down; 0 where there is not enough.
    pub until_turn: MinutesWhole,
}

/// The class.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassReserve {
    /// Each student, in the order that was given.
    pub students: Vec<DiverReserve>,
    /// The place in that list of the student who turns first; the earlier place on a tie.
    pub first_to_turn: Option<u32>,
    /// The instructor, whose reserve counts the two hungriest students as well.
    pub instructor: DiverReserve,
    /// Whether the instructor has to turn before every student.
    pub instructor_first: bool,
    /// What to say beside it.
    pub caution: Caution,
}

/// Each one's reserve and turn on a class dive.
///
/// A student's reserve counts the student and the hungriest of the rest of the class (the
/// instructor too), since nobody knows who will ask. Everybody is counted as stressed.
///
/// # Errors
/// No student or more than 24, or any figure outside its bounds.
///
/// ```
/// use tallywater_core::calc::reserve::{AscentPlan, ClassDiver, TurnRule, class_reserve};
/// use tallywater_core::calc::{cylinder::Mix, unit::*, water::WaterColumn};
/// let sea = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0));
/// let diver = |rate| ClassDiver { rate: LitresPerMinute(rate), capacity: Litres(12.0), mix: Mix::Air, start: GaugeBar(200.0) };
/// let class = class_reserve(&AscentPlan::usual(Metres(12.0)), TurnRule::ThereAndBack,
///     &[diver(18.0), diver(26.0), diver(21.0)], &diver(15.0), Celsius(18.0), sea)?;
/// assert_eq!(class.first_to_turn, Some(1));
/// assert!(class.instructor.reserve.pressure > class.students[0].reserve.pressure);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn class_reserve(
    plan: &AscentPlan,
    rule: TurnRule,
    students: &[ClassDiver],
    instructor: &ClassDiver,
    temperature: Celsius,
    column: WaterColumn,
) -> Result<ClassReserve, OutsideTable> {
    listed(Quantity::Divers, students, 1, 24)?;
    let dive = Dive {
        plan,
        rule,
        temperature,
        column,
    };
    let own = stressed(instructor.rate)?;
    let mut rates = Vec::with_capacity(students.len());
    for student in students {
        rates.push(stressed(student.rate)?);
    }

    let mut of_students = Vec::with_capacity(students.len());
    for (place, student) in students.iter().enumerate() {
        let others = rates
            .iter()
            .enumerate()
            .filter(|(other, _)| *other != place)
            .map(|(_, rate)| *rate);
        let hungriest = others.fold(own, |most, rate| if rate > most { rate } else { most });
        let mine = stressed(student.rate)?;
        of_students.push(dive.of(student, &[mine, hungriest])?);
    }

    let mut hungry = rates;
    hungry.sort_by(|one, other| other.0.total_cmp(&one.0));
    let sharing: Vec<LitresPerMinute> = std::iter::once(own)
        .chain(hungry.into_iter().take(2))
        .collect();
    let instructor = dive.of(instructor, &sharing)?;

    let first = of_students
        .iter()
        .enumerate()
        .min_by_key(|(_, diver)| diver.until_turn);
    let instructor_first = first.is_none_or(|(_, diver)| instructor.until_turn < diver.until_turn);
    let first_to_turn = first.and_then(|(place, _)| u32::try_from(place).ok());
    Ok(ClassReserve {
        first_to_turn,
        students: of_students,
        instructor,
        instructor_first,
        caution: Caution::GaugeFirst,
    })
}

struct Dive<'a> {
    plan: &'a AscentPlan,
    rule: TurnRule,
    temperature: Celsius,
    column: WaterColumn,
}

impl Dive<'_> {
    fn of(
        &self,
        diver: &ClassDiver,
        sharing: &[LitresPerMinute],
    ) -> Result<DiverReserve, OutsideTable> {
        let reserve = minimum_reserve(
            self.plan,
            sharing,
            diver.capacity,
            self.temperature,
            diver.mix,
            self.column,
        )?;
        let turn = turn_pressure(diver.start, reserve.pressure, self.rule)?;
        let until_turn = match turn {
            Turn::NotEnough { .. } => MinutesWhole(0),
            Turn::At { pressure, .. } => self.minutes(diver, pressure)?,
        };
        Ok(DiverReserve {
            reserve,
            turn,
            until_turn,
        })
    }

    /// Minutes from the gauge now to the turn, by whichever of real gas and rule of thumb is less.
    fn minutes(&self, diver: &ClassDiver, turn: GaugeBar) -> Result<MinutesWhole, OutsideTable> {
        let held = |pressure| safe_litres(diver.capacity, pressure, self.temperature, diver.mix);
        let ideal = diver.capacity.0 * (diver.start.0 - turn.0);
        let gas = (held(diver.start)? - held(turn)?).min(ideal);
        let bar = self.column.pressure_at(Metres(self.plan.depth.0))?.0;
        let minutes = Minutes(gas / (checked_rate(diver.rate)? * bar));
        Ok(MinutesWhole::of(minutes, Rounding::Down).unwrap_or(MinutesWhole(0)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::unit::KilogramsPerCubicMetre;

    const SEA: WaterColumn = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0));

    fn diver(rate: f64, litres: f64, bar: f64) -> ClassDiver {
        ClassDiver {
            rate: LitresPerMinute(rate),
            capacity: Litres(litres),
            mix: Mix::Air,
            start: GaugeBar(bar),
        }
    }

    fn class(students: &[ClassDiver], instructor: &ClassDiver) -> ClassReserve {
        let plan = AscentPlan::usual(Metres(18.0));
        class_reserve(
            &plan,
            TurnRule::ThereAndBack,
            students,
            instructor,
            Celsius(18.0),
            SEA,
        )
        .unwrap()
    }

    #[test]
    fn a_calm_diver_with_a_small_cylinder_can_be_the_first_to_turn() {
        let seen = class(
            &[diver(25.0, 15.0, 200.0), diver(16.0, 7.0, 200.0)],
            &diver(14.0, 12.0, 220.0),
        );
        assert_eq!(seen.first_to_turn, Some(1));
        assert!(!seen.instructor_first);
    }

    #[test]
    fn everyone_keeps_gas_for_the_hungriest_of_the_others() {
        let seen = class(
            &[diver(40.0, 12.0, 200.0), diver(15.0, 12.0, 200.0)],
            &diver(14.0, 12.0, 200.0),
        );
        // Stressed: 60, 30 and 30 L/min. The first shares with 30, the second with 60.
        assert_eq!(
            seen.students[0].reserve.litres,
            seen.students[1].reserve.litres
        );
        assert!(seen.instructor.reserve.litres > seen.students[0].reserve.litres);
    }

    #[test]
    fn a_half_empty_cylinder_is_no_dive_and_turns_at_once() {
        let seen = class(
            &[diver(20.0, 12.0, 55.0), diver(20.0, 12.0, 200.0)],
            &diver(14.0, 12.0, 200.0),
        );
        assert!(matches!(seen.students[0].turn, Turn::NotEnough { .. }));
        assert_eq!(
            (seen.first_to_turn, seen.students[0].until_turn),
            (Some(0), MinutesWhole(0))
        );
    }

    #[test]
    fn an_instructor_on_a_nearly_empty_cylinder_is_first() {
        let seen = class(&[diver(20.0, 12.0, 200.0)], &diver(14.0, 12.0, 90.0));
        assert!(seen.instructor_first);
    }
}
