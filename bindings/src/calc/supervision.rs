//! Supervision: who may be in the water now.

use tallywater_core::calc;
use tallywater_core::view;

use crate::calc::reckon::{Given as _, Told as _, outside, reckon};
use crate::cross::Asked as _;
use crate::{Caution, Fault, FigureOrigin, Units};

reckon! {
    /// Where a session is held.
    word CeilingSetting = calc::supervision::Setting {
        ConfinedWater,
        OpenWater,
    }

    /// Whether a person has confirmed the policy against the standards that bind the school.
    word PolicyConfirmation = calc::supervision::Confirmation {
        Confirmed,
        Unconfirmed,
    }

    /// How many students a policy allows in the water.
    both record CeilingPolicy = calc::supervision::CeilingPolicy {
        setting: CeilingSetting,
        per_instructor: u32,
        per_assistant: u32,
        cap: Option<u32>,
        confirmation: PolicyConfirmation,
        origin: FigureOrigin,
    }

    /// One assistant, as far as counting goes.
    word AssistantCount = calc::supervision::Assistant {
        Counts,
        NotCurrent,
        NotBriefed,
        OutOfWater,
    }

    /// How the water moves.
    word WaterMotion = calc::supervision::WaterMotion {
        Calm,
        Some,
        Strong,
    }

    /// Whether this is the class's first dive in this setting.
    word DiveExperience = calc::supervision::Experience {
        FirstDive,
        DivedBefore,
    }

    /// The day as it is.
    given record WaterConditions = calc::supervision::Conditions {
        visibility: Option<f64>,
        motion: WaterMotion,
        temperature: Option<f64>,
        minors: u32,
        experience: DiveExperience,
    }

    /// What the house takes off, and from where on. Every number is the school's to edit.
    both record HouseReductions = calc::supervision::HouseReductions {
        poor_below: f64,
        poor: u32,
        one_each_below: f64,
        motion: u32,
        cold_below: f64,
        cold: u32,
        minors: u32,
        first_dive: u32,
    }

    /// Why the number changed.
    told enum StepReason = calc::supervision::StepReason {
        Instructors,
        NoInstructor,
        Assistant,
        AssistantDoesNotCount(why: AssistantCount),
        Cap,
        PoorVisibility,
        VisibilityNotKnown,
        OneForEachStaff,
        Motion,
        StrongMotion,
        Cold,
        TemperatureNotKnown,
        Minors,
        FirstDive,
    }

    /// One step from the policy to the number.
    told record CeilingStep = calc::supervision::CeilingStep {
        reason: StepReason,
        before: u32,
        after: u32,
    }

    /// How the water stands.
    word CeilingStanding = calc::supervision::Standing {
        Below,
        AtCeiling,
        Over,
        Unconfirmed,
    }

    /// Who may be in the water now.
    told record Supervision = calc::supervision::Supervision {
        ceiling: u32,
        in_water: u32,
        steps: Vec<CeilingStep>,
        standing: CeilingStanding,
        caution: Caution,
    }

    /// The staff in and around the water.
    given record StaffNow = calc::supervision::StaffNow {
        instructors: u32,
        assistants: Vec<AssistantCount>,
    }
}

/// Figures to begin with for a setting, confirmed by nobody.
#[uniffi::export]
pub fn starter_ceiling(setting: CeilingSetting) -> CeilingPolicy {
    let units = view::Units::Metric;
    calc::supervision::starter_policy(setting.given(units)).told(units)
}

/// What a careful house takes off, to begin with.
#[uniffi::export]
pub fn starter_reductions(units: Units) -> Result<HouseReductions, Fault> {
    Ok(calc::supervision::HouseReductions::STARTER.told(units.asked()?))
}

/// Who may be in the water now, step by step from the policy.
#[uniffi::export]
pub fn supervision(
    units: Units,
    policy: CeilingPolicy,
    staff: StaffNow,
    conditions: WaterConditions,
    house: HouseReductions,
    in_water: u32,
) -> Result<Supervision, Fault> {
    let units = units.asked()?;
    let answer = calc::supervision::supervision(
        &policy.given(units),
        &staff.given(units),
        &conditions.given(units),
        &house.given(units),
        in_water,
    );
    Ok(answer.map_err(outside(units))?.told(units))
}
