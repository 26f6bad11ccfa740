//! From the policy to the number, one step at a time, each with its reason.
//!
//! Source: the policy and the house's own reductions; the arithmetic has none. What nobody has looked
//! at counts against the class.

use super::conditions::{Conditions, Experience, HouseReductions, WaterMotion};
use super::policy::{Assistant, CeilingPolicy, Confirmation};
use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, counted, listed, within};
use crate::calc::unit::{Celsius, Metres};

/// Why the number changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum StepReason {
    /// The instructors in the water.
    Instructors,
    /// No instructor in the water.
    NoInstructor,
    /// An assistant who counts.
    Assistant,
    /// An assistant who does not count, and why.
    AssistantDoesNotCount(Assistant),
    /// The policy's cap for the whole water.
    Cap,
    /// Poor visibility.
    PoorVisibility,
    /// Nobody has looked at the visibility.
    VisibilityNotKnown,
    /// So poor that each student needs a member of staff.
    OneForEachStaff,
    /// Some current or surf.
    Motion,
    /// Strong current or surf: no class.
    StrongMotion,
    /// Cold water.
    Cold,
    /// Nobody has measured the temperature.
    TemperatureNotKnown,
    /// Students under age.
    Minors,
    /// A first dive.
    FirstDive,
}

/// One step from the policy to the number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CeilingStep {
    /// Why.
    pub reason: StepReason,
    /// The number before it.
    pub before: u32,
    /// The number after it.
    pub after: u32,
}

/// How the water stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "CeilingStanding")
)]
pub enum Standing {
    /// Fewer than the ceiling, on a confirmed policy: the only one to be shown as good.
    Below,
    /// As many as the ceiling, on a confirmed policy: nobody more.
    AtCeiling,
    /// More than the ceiling, whoever confirmed it.
    Over,
    /// Not more than the ceiling, but nobody has confirmed the policy: never shown as good.
    Unconfirmed,
}

/// Who may be in the water now.
#[derive(Debug, Clone, PartialEq)]
pub struct Supervision {
    /// Students who may be in the water.
    pub ceiling: u32,
    /// Students who are.
    pub in_water: u32,
    /// How the number came about, step by step.
    pub steps: Vec<CeilingStep>,
    /// In one word.
    pub standing: Standing,
    /// What to say beside it.
    pub caution: Caution,
}

/// The staff in and around the water.
#[derive(Debug, Clone, PartialEq)]
pub struct StaffNow {
    /// Instructors in the water, 0 to 10.
    pub instructors: u32,
    /// Every assistant of the session, at most 20.
    pub assistants: Vec<Assistant>,
}

/// The ceiling now, why it is what it is, and how the headcount stands against it.
///
/// # Errors
/// Staff, minors, headcount, policy or reductions beyond their bounds, or a visibility or
/// temperature that is none.
///
/// ```
/// use tallywater_core::calc::supervision::*;
/// use tallywater_core::calc::unit::{Celsius, Metres};
/// let now = Conditions { visibility: Some(Metres(4.0)), motion: WaterMotion::Calm,
///     temperature: Some(Celsius(18.0)), minors: 0, experience: Experience::DivedBefore };
/// let staff = StaffNow { instructors: 1, assistants: vec![Assistant::Counts, Assistant::NotBriefed] };
/// let water = supervision(&starter_policy(Setting::OpenWater), &staff, &now, &HouseReductions::STARTER, 6)?;
/// assert_eq!((water.ceiling, water.standing), (8, Standing::Unconfirmed));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn supervision(
    policy: &CeilingPolicy,
    staff: &StaffNow,
    conditions: &Conditions,
    house: &HouseReductions,
    in_water: u32,
) -> Result<Supervision, OutsideTable> {
    counted(Quantity::Headcount, in_water, 0, 200)?;
    let mut count = Count {
        ceiling: 0,
        steps: Vec::new(),
    };
    let counting = by_policy(&mut count, policy, staff)?;
    by_conditions(&mut count, conditions, house, staff.instructors + counting)?;

    let standing = match (in_water.cmp(&count.ceiling), policy.confirmation) {
        (std::cmp::Ordering::Greater, _) => Standing::Over,
        (_, Confirmation::Unconfirmed) => Standing::Unconfirmed,
        (std::cmp::Ordering::Equal, Confirmation::Confirmed) => Standing::AtCeiling,
        (std::cmp::Ordering::Less, Confirmation::Confirmed) => Standing::Below,
    };
    Ok(Supervision {
        ceiling: count.ceiling,
        in_water,
        steps: count.steps,
        standing,
        caution: Caution::CeilingNotTarget,
    })
}

struct Count {
    ceiling: u32,
    steps: Vec<CeilingStep>,
}

impl Count {
    fn step(&mut self, reason: StepReason, after: u32) {
        self.steps.push(CeilingStep {
            reason,
            before: self.ceiling,
            after,
        });
        self.ceiling = after;
    }

    fn less(&mut self, reason: StepReason, by: u32) {
        self.step(reason, self.ceiling.saturating_sub(by));
    }
}

/// What the policy allows; answers with the number of assistants who count.
fn by_policy(
    count: &mut Count,
    policy: &CeilingPolicy,
    staff: &StaffNow,
) -> Result<u32, OutsideTable> {
    let instructors = counted(Quantity::Instructors, staff.instructors, 0, 10)?;
    let base = counted(Quantity::Headcount, policy.per_instructor, 0, 20)?;
    let more = counted(Quantity::Headcount, policy.per_assistant, 0, 10)?;
    listed(Quantity::Instructors, &staff.assistants, 0, 20)?;
    if instructors == 0 {
        count.step(StepReason::NoInstructor, 0);
        return Ok(0);
    }
    count.step(StepReason::Instructors, base * instructors);
    let mut counting = 0;
    for assistant in &staff.assistants {
        match assistant {
            Assistant::Counts => {
                counting += 1;
                count.step(StepReason::Assistant, count.ceiling + more);
            }
            Assistant::NotCurrent | Assistant::NotBriefed | Assistant::OutOfWater => {
                count.step(StepReason::AssistantDoesNotCount(*assistant), count.ceiling);
            }
        }
    }
    if let Some(cap) = policy.cap {
        counted(Quantity::Headcount, cap, 0, 60)?;
    }
    let allowed = policy.ceiling(instructors, counting);
    if count.ceiling > allowed {
        count.step(StepReason::Cap, allowed);
    }
    Ok(counting)
}

/// What the day takes away.
fn by_conditions(
    count: &mut Count,
    now: &Conditions,
    house: &HouseReductions,
    staff: u32,
) -> Result<(), OutsideTable> {
    let reduction = |students| counted(Quantity::Headcount, students, 0, 20);
    let poor_below = within(
        Quantity::Visibility,
        house.poor_below,
        Metres(0.0),
        Metres(50.0),
    )?;
    let one_below = within(
        Quantity::Visibility,
        house.one_each_below,
        Metres(0.0),
        house.poor_below,
    )?;
    let cold_below = within(
        Quantity::Temperature,
        house.cold_below,
        Celsius(-2.0),
        Celsius(40.0),
    )?;
    let minors = counted(Quantity::Headcount, now.minors, 0, 200)?;
    let (poor, motion, cold) = (
        reduction(house.poor)?,
        reduction(house.motion)?,
        reduction(house.cold)?,
    );
    let (pair, first) = (reduction(house.minors)?, reduction(house.first_dive)?);

    match now.visibility {
        None => count.less(StepReason::VisibilityNotKnown, poor),
        Some(visibility) => {
            let metres = within(Quantity::Visibility, visibility, Metres(0.0), Metres(100.0))?;
            if metres < poor_below {
                count.less(StepReason::PoorVisibility, poor);
            }
            if metres < one_below && count.ceiling > staff {
                count.step(StepReason::OneForEachStaff, staff);
            }
        }
    }
    match now.motion {
        WaterMotion::Calm => {}
        WaterMotion::Some => count.less(StepReason::Motion, motion),
        WaterMotion::Strong => count.step(StepReason::StrongMotion, 0),
    }
    match now.temperature {
        None => count.less(StepReason::TemperatureNotKnown, cold),
        Some(temperature) => {
            let celsius = within(
                Quantity::Temperature,
                temperature,
                Celsius(-2.0),
                Celsius(40.0),
            )?;
            if celsius < cold_below {
                count.less(StepReason::Cold, cold);
            }
        }
    }
    if minors > 0 {
        count.less(StepReason::Minors, pair * minors.div_ceil(2));
    }
    match now.experience {
        Experience::DivedBefore => {}
        Experience::FirstDive => count.less(StepReason::FirstDive, first),
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::supervision::{Setting, starter_policy};

    const FINE: Conditions = Conditions {
        visibility: Some(Metres(15.0)),
        motion: WaterMotion::Calm,
        temperature: Some(Celsius(24.0)),
        minors: 0,
        experience: Experience::DivedBefore,
    };

    fn confirmed() -> CeilingPolicy {
        CeilingPolicy {
            confirmation: Confirmation::Confirmed,
            ..starter_policy(Setting::OpenWater)
        }
    }

    fn staff(assistants: &[Assistant]) -> StaffNow {
        StaffNow {
            instructors: 1,
            assistants: assistants.to_vec(),
        }
    }

    fn now(
        policy: &CeilingPolicy,
        staff: &StaffNow,
        conditions: &Conditions,
        in_water: u32,
    ) -> Supervision {
        supervision(
            policy,
            staff,
            conditions,
            &HouseReductions::STARTER,
            in_water,
        )
        .unwrap()
    }

    #[test]
    fn an_unconfirmed_policy_is_never_good_and_can_still_be_exceeded() {
        let policy = starter_policy(Setting::OpenWater);
        for in_water in 0..=8 {
            assert_eq!(
                now(&policy, &staff(&[]), &FINE, in_water).standing,
                Standing::Unconfirmed
            );
        }
        assert_eq!(now(&policy, &staff(&[]), &FINE, 9).standing, Standing::Over);
    }

    #[test]
    fn the_headcount_stands_against_the_ceiling() {
        let at = |in_water| now(&confirmed(), &staff(&[]), &FINE, in_water).standing;
        assert_eq!(
            (at(7), at(8), at(9)),
            (Standing::Below, Standing::AtCeiling, Standing::Over)
        );
    }

    #[test]
    fn an_assistant_counts_only_briefed_current_and_in_the_water() {
        let ceiling = |assistant| now(&confirmed(), &staff(&[assistant]), &FINE, 0).ceiling;
        assert_eq!(ceiling(Assistant::Counts), 10);
        for other in [
            Assistant::NotCurrent,
            Assistant::NotBriefed,
            Assistant::OutOfWater,
        ] {
            assert_eq!(ceiling(other), 8, "{other:?}");
        }
        assert_eq!(
            now(&confirmed(), &staff(&[Assistant::Counts; 5]), &FINE, 0).ceiling,
            12,
            "capped"
        );
    }

    #[test]
    fn a_second_instructor_does_not_raise_the_cap() {
        let two = StaffNow {
            instructors: 2,
            assistants: vec![Assistant::Counts; 2],
        };
        let seen = now(&confirmed(), &two, &FINE, 12);
        assert_eq!((seen.ceiling, seen.standing), (12, Standing::AtCeiling));
        assert_eq!(
            seen.steps.last().map(|step| (step.reason, step.before)),
            Some((StepReason::Cap, 20))
        );
    }

    #[test]
    fn every_step_follows_from_the_one_before_and_has_its_reason() {
        let day = Conditions {
            visibility: Some(Metres(4.0)),
            motion: WaterMotion::Some,
            temperature: Some(Celsius(10.0)),
            minors: 3,
            experience: Experience::FirstDive,
        };
        let seen = now(&confirmed(), &staff(&[Assistant::Counts; 3]), &day, 0);
        let mut before = 0;
        for step in &seen.steps {
            assert_eq!(step.before, before, "{step:?}");
            before = step.after;
        }
        assert_eq!(before, seen.ceiling);
        // 8 + 2 + 2 + 2 = 14, cap 12, less 2, 2, 1, 2 and 2.
        assert_eq!((seen.ceiling, seen.steps.len()), (3, 10));
    }

    #[test]
    fn strong_current_no_instructor_and_black_water_leave_next_to_nobody() {
        let strong = Conditions {
            motion: WaterMotion::Strong,
            ..FINE
        };
        assert_eq!(now(&confirmed(), &staff(&[]), &strong, 0).ceiling, 0);
        let alone = StaffNow {
            instructors: 0,
            assistants: vec![Assistant::Counts],
        };
        assert_eq!(now(&confirmed(), &alone, &FINE, 1).standing, Standing::Over);
        let black = Conditions {
            visibility: Some(Metres(1.0)),
            ..FINE
        };
        assert_eq!(
            now(&confirmed(), &staff(&[Assistant::Counts]), &black, 0).ceiling,
            2
        );
    }

    #[test]
    fn what_nobody_has_looked_at_counts_against_the_class() {
        let blind = Conditions {
            visibility: None,
            temperature: None,
            ..FINE
        };
        assert_eq!(now(&confirmed(), &staff(&[]), &blind, 0).ceiling, 5);
        let wrong = Conditions {
            visibility: Some(Metres(f64::NAN)),
            ..FINE
        };
        let refused = supervision(
            &confirmed(),
            &staff(&[]),
            &wrong,
            &HouseReductions::STARTER,
            0,
        )
        .unwrap_err();
        assert_eq!(refused.what, Quantity::Visibility);
    }
}
