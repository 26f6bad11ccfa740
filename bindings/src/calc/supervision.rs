//! Supervision: who may be in the water now.

use tallywater_core::calc;

use crate::calc::reckon::{Given as _, Told as _, outside, reckon};
use crate::{
    AssistantCount, Caution, CeilingSetting, CeilingStanding, DiveExperience, Fault, FigureOrigin,
    PolicyConfirmation, Units, WaterMotion,
};

reckon! {
    /// How many students a policy allows in the water.
    both record CeilingPolicy = calc::supervision::CeilingPolicy {
        setting: CeilingSetting,
        per_instructor: u32,
        per_assistant: u32,
        cap: Option<u32>,
        confirmation: PolicyConfirmation,
        origin: FigureOrigin,
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
    let units = Units::Metric;
    calc::supervision::starter_policy(setting).told(units)
}

/// What a careful house takes off, to begin with.
#[uniffi::export]
pub fn starter_reductions(units: Units) -> Result<HouseReductions, Fault> {
    Ok(calc::supervision::HouseReductions::STARTER.told(units))
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
    let answer = calc::supervision::supervision(
        &policy.given(units),
        &staff.given(units),
        &conditions.given(units),
        &house.given(units),
        in_water,
    );
    Ok(answer.map_err(outside(units))?.told(units))
}
