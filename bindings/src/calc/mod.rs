//! The calculations across the border, each with the units it was asked in.
//!
//! Numbers go in, as a person of that system reads them off a gauge or a tape; figures come
//! out, each with its unit, a caution where it can hurt, and [`sources`] beside it. What a
//! calculation does not cover comes back as [`Fault::Refused`](crate::Fault) by the rule
//! "outside_table", with the quantity, what was given, and the bounds. None of it is
//! permission to dive.

mod ascent;
mod breathing;
mod calculator;
mod common;
mod cylinder;
mod evidence;
mod lead;
mod no_stop;
mod of_course;
pub(crate) mod reckon;
mod reserve;
mod suit;
mod supervision;
mod water;

pub use ascent::{
    AscentBatch, AscentDay, AscentReport, SampleStep, StopHeld, TooFast, ascent_day, ascent_report,
    count_ascents, usual_ascent_rate,
};
pub use breathing::{
    BreathingDive, BreathingRate, Exposure, ProfileSample, RateHistory, planning_rate,
    rate_history, stressed_rate, surface_rate,
};
pub use calculator::{
    AnswerKey, AnswerNote, Calculator, CalculatorAnswer, CalculatorAnswers, CalculatorField,
    CalculatorForm, FieldGiven, FieldKey, FieldKind, FieldValue, LeadForm, OptionKey, calculate,
    calculator_form, calculators,
};
pub use common::{CheckView, FigureSources, SourceView, figure_sources, sources};
pub use cylinder::{
    CylinderBuoyancy, CylinderContents, CylinderSize, GasMix, compressibility, cylinder_buoyancy,
    cylinder_contents, gas_density, pressure_holding, starter_cylinders,
};
pub use evidence::{
    Agreement, AttemptCurve, AttemptStep, Kappa, Posterior, ShareInterval, ShareMet, StudentTries,
    agreement, attempt_curve, posterior, share_met,
};
pub use lead::{
    DropOutcome, DropQuestion, LeadNote, LeadQuestion, LeadReason, LeadStart, OwnCheck, WornLead,
    drop_lead, judge_worn_lead, lead_start,
};
pub use no_stop::{
    AfterInterval, BeyondLimit, ClassLimit, DayLine, DayPlan, DiveEnd, FlyingWait, GradientFactors,
    ModelLimit, NoStop, NoStopLimit, NoStopSite, PersonDay, PlannedDive, PublishedWait,
    ResidualTime, SecondOpinion, after_interval, arrival_group, class_limit, day_plan, flying_wait,
    no_stop, no_stop_end, second_opinion,
};
pub use of_course::{
    EarliestView, Ends, ExposureRow, ExposureView, FlyFrom, GasRow, GasView, JudgesAgree,
    JudgingView, SkillJudged,
};
pub use reckon::FigureSpread;
pub use reserve::{
    AscentPlan, ClassDiver, ClassReserve, DiverReserve, EarlyTurn, MinimumReserve, ReserveParts,
    TurnPoint, class_reserve, minimum_reserve, turn_pressure, usual_ascent,
};
pub use suit::{BodySize, Suit, SuitBuoyancy, suit_buoyancy};
pub use supervision::{
    CeilingPolicy, CeilingStep, HouseReductions, StaffNow, StepReason, Supervision,
    WaterConditions, starter_ceiling, starter_reductions, supervision,
};
pub use water::{
    TypicalSalinity, WaterAt, WaterChoice, altitude_of, depth_at, pressure_at, surface_pressure,
    typical_salinity, water_density,
};
