//! The gas of a whole class: each one's reserve and turn, who turns first, and a member of staff
//! as the one who may have to give gas.
//!
//! Source: the rules of `minimum` and `turn`; that an instructor keeps gas for two students, and
//! an assistant for the one they are beside, is a house rule, common practice, no published
//! source. Whoever keeps gas for more turns earlier: with equal cylinders and consumption that is
//! what a class expects and no news. News is who turns earlier than that (D56).

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

/// To how many students at once a member of staff may have to give gas.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum GivesTo {
    /// An assistant: to the student they are beside, taken as the hungriest.
    One,
    /// An instructor: to two, taken as the two hungriest.
    Two,
}

/// A member of staff who turns earlier than the class would expect.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EarlyTurn {
    /// By how many minutes.
    pub by: MinutesWhole,
    /// The smallest usual cylinder, filled alike, with which it would be no earlier; `None` where
    /// none is large enough.
    pub larger: Option<Litres>,
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
    /// Minutes at the planned depth that the rule leaves in all, the way back too, rounded down;
    /// then the ascent begins.
    pub at_depth: MinutesWhole,
}

/// The class.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassReserve {
    /// Each student, in the order that was given.
    pub students: Vec<DiverReserve>,
    /// The place in that list of the student who turns first; the earlier place on a tie.
    pub first_to_turn: Option<u32>,
    /// The member of staff, whose reserve counts those they may have to give to as well.
    pub staff: DiverReserve,
    /// Where they turn earlier than the class would expect: earlier than somebody who keeps gas
    /// for as many and has the consumption, cylinder and fill of the student who turns first.
    pub early: Option<EarlyTurn>,
    /// What to say beside it.
    pub caution: Caution,
}

/// Each one's reserve and turn on a class dive.
///
/// A student's reserve counts the student and the hungriest of the rest of the class (the member
/// of staff too), since nobody knows who will ask. Everybody is counted as stressed.
///
/// # Errors
/// No student or more than 24, or any figure outside its bounds.
///
/// ```
/// use tallywater_core::calc::reserve::{AscentPlan, ClassDiver, GivesTo, TurnRule, class_reserve};
/// use tallywater_core::calc::{cylinder::Mix, unit::*, water::WaterColumn};
/// let sea = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0));
/// let diver = |rate| ClassDiver { rate: LitresPerMinute(rate), capacity: Litres(12.0), mix: Mix::Air, start: GaugeBar(200.0) };
/// let class = class_reserve(&AscentPlan::usual(Metres(12.0)), TurnRule::ThereAndBack,
///     &[diver(18.0), diver(26.0), diver(21.0)], &diver(15.0), GivesTo::Two, Celsius(18.0), sea)?;
/// assert_eq!(class.first_to_turn, Some(1));
/// assert!(class.staff.reserve.pressure > class.students[0].reserve.pressure);
/// assert_eq!(class.early, None);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn class_reserve(
    plan: &AscentPlan,
    rule: TurnRule,
    students: &[ClassDiver],
    staff: &ClassDiver,
    gives_to: GivesTo,
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
    let own = stressed(staff.rate)?;
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
    let given = match gives_to {
        GivesTo::One => 1,
        GivesTo::Two => 2,
    };
    let sharing = |own: LitresPerMinute| -> Vec<LitresPerMinute> {
        let others = hungry.iter().copied().take(given);
        std::iter::once(own).chain(others).collect()
    };
    let of_staff = dive.of(staff, &sharing(own))?;

    let first = of_students
        .iter()
        .enumerate()
        .min_by_key(|(_, diver)| diver.until_turn)
        .map(|(place, _)| place);
    let early = match first.and_then(|place| students.get(place)) {
        None => None,
        Some(like) => {
            // A cylinder that cannot hold so much promises nothing.
            let expected = dive.of(like, &sharing(stressed(like.rate)?));
            let expected = expected.map_or(MinutesWhole(0), |like| like.until_turn);
            dive.early(staff, &of_staff, &sharing(own), expected)?
        }
    };
    Ok(ClassReserve {
        first_to_turn: first.and_then(|place| u32::try_from(place).ok()),
        students: of_students,
        staff: of_staff,
        early,
        caution: Caution::GaugeFirst,
    })
}

/// What cylinders are usually to be had, L. Common practice, no published source.
const CYLINDERS: [Litres; 7] = [
    Litres(7.0),
    Litres(8.0),
    Litres(10.0),
    Litres(12.0),
    Litres(15.0),
    Litres(18.0),
    Litres(20.0),
];

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
        let (until_turn, at_depth) = match turn {
            Turn::NotEnough { .. } => (MinutesWhole(0), MinutesWhole(0)),
            Turn::At { pressure, .. } => {
                let last = self.rule.swum_down_to(diver.start, reserve.pressure);
                (self.minutes(diver, pressure)?, self.minutes(diver, last)?)
            }
        };
        Ok(DiverReserve {
            reserve,
            turn,
            until_turn,
            at_depth,
        })
    }

    /// How much earlier than expected a member of staff turns, and with which cylinder not.
    fn early(
        &self,
        staff: &ClassDiver,
        seen: &DiverReserve,
        sharing: &[LitresPerMinute],
        expected: MinutesWhole,
    ) -> Result<Option<EarlyTurn>, OutsideTable> {
        let by = MinutesWhole(expected.0.saturating_sub(seen.until_turn.0));
        if by.0 == 0 {
            return Ok(None);
        }
        let mut larger = None;
        for capacity in CYLINDERS.into_iter().filter(|one| *one > staff.capacity) {
            let with = ClassDiver { capacity, ..*staff };
            if self.of(&with, sharing)?.until_turn >= expected {
                larger = Some(capacity);
                break;
            }
        }
        Ok(Some(EarlyTurn { by, larger }))
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
            GivesTo::Two,
            Celsius(18.0),
            SEA,
        )
        .unwrap()
    }

    #[test]
    fn equal_cylinders_and_consumption_are_no_warning_and_a_smaller_cylinder_is() {
        let equal = diver(20.0, 12.0, 200.0);
        let seen = class(&[equal; 4], &equal);
        // Whoever keeps gas for three turns before those who keep it for two: nothing to warn of.
        assert!(seen.staff.until_turn < seen.students[0].until_turn);
        assert_eq!(seen.early, None);

        let small = class(&[equal; 4], &diver(20.0, 8.0, 200.0));
        let early = small.early.unwrap();
        let expected = seen.staff.until_turn.0 - small.staff.until_turn.0;
        assert_eq!(
            (early.by, early.larger),
            (MinutesWhole(expected), Some(Litres(12.0)))
        );

        // Somebody who breathes twice as much has no cylinder large enough.
        let hungry = class(&[equal; 4], &diver(45.0, 12.0, 120.0));
        assert_eq!(hungry.early.unwrap().larger, None);
    }

    #[test]
    fn an_assistant_keeps_gas_for_the_one_student_they_are_beside() {
        let equal = diver(20.0, 12.0, 200.0);
        let plan = AscentPlan::usual(Metres(18.0));
        let rule = TurnRule::ThereAndBack;
        let with = |gives_to| {
            class_reserve(
                &plan,
                rule,
                &[equal; 4],
                &equal,
                gives_to,
                Celsius(18.0),
                SEA,
            )
            .unwrap()
        };
        let (one, two) = (with(GivesTo::One), with(GivesTo::Two));
        // Shares with one: what a student keeps.
        assert_eq!(one.staff.reserve, one.students[0].reserve);
        assert!(two.staff.reserve.litres > one.staff.reserve.litres);
        assert_eq!(one.early, None);
    }

    #[test]
    fn minutes_at_depth_are_the_gas_above_the_reserve_over_what_is_breathed() {
        let seen = class(&[diver(20.0, 12.0, 200.0)], &diver(20.0, 12.0, 200.0));
        let student = seen.students[0];
        // By hand, as an ideal gas: (200 - reserve) bar times 12 L over 20 L/min at 2.823 bar;
        // 18 m of sea at 1,025 kg/m3 are 1.8093 bar over 1.01325. Air at 200 bar is less than
        // ideal by its compressibility, so the figure is at most that and at least 92 % of it.
        let ideal = (200.0 - student.reserve.pressure.0) * 12.0 / (20.0 * 2.8226);
        let minutes = f64::from(student.at_depth.0);
        assert!(
            minutes <= ideal && minutes >= ideal * 0.92 - 1.0,
            "{minutes} of {ideal}"
        );
        assert!(student.at_depth > student.until_turn);
    }

    #[test]
    fn a_calm_diver_with_a_small_cylinder_can_be_the_first_to_turn() {
        let seen = class(
            &[diver(25.0, 15.0, 200.0), diver(16.0, 7.0, 200.0)],
            &diver(14.0, 12.0, 220.0),
        );
        assert_eq!(seen.first_to_turn, Some(1));
        assert_eq!(seen.early, None);
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
        assert!(seen.staff.reserve.litres > seen.students[0].reserve.litres);
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
        assert!(seen.early.is_some());
    }
}
