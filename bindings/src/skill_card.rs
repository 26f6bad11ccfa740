//! Skill card: a skill as it is briefed and judged.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{Family, Figure, MethodsNeeded, Setting};

mirror! {
    /// A skill on a sheet or a briefing card.
    shown record SkillCard = view::SkillCard {
        skill: String,
        name: String,
        family: Family,
        settings: Vec<Setting>,
        required: bool,
        says: String,
        measures: Vec<MeasureCard>,
        methods: Vec<MethodCard>,
        methods_needed: MethodsNeeded,
        cues: Vec<String>,
        slips: Vec<SlipCard>,
        caution: Option<String>,
        hazard: bool,
        quick_minutes: u16,
        slow_minutes: u16,
    }

    /// One way of doing a skill.
    shown record MethodCard = view::MethodCard {
        method: String,
        name: String,
        cues: Vec<String>,
        required: bool,
    }

    /// A common fault.
    shown record SlipCard = view::SlipCard {
        slip: String,
        fault: String,
        fix: String,
    }

    /// What kind of thing is measured.
    both enum MeasureKind = view::MeasureKind {
        Count,
        Hold,
        Within,
        Distance,
        DepthBand,
        AscentRate,
        Miss,
        Reading,
    }

    /// What a measure is taken with.
    shown enum TakenWith = view::TakenWith {
        Stopwatch,
        Counter,
        Number,
    }

    /// On which side of a bound a measure is met.
    shown enum Side = view::Side {
        AtLeast,
        AtMost,
    }

    /// One measurable part of a requirement, as it is asked for.
    shown record MeasureCard = view::MeasureCard {
        kind: MeasureKind,
        taken_with: TakenWith,
        side: Side,
        bound: Figure,
        bound_base: u32,
        of: Option<String>,
    }

    /// A figure that was taken, as it is shown.
    shown record Taken = view::Taken {
        figure: Figure,
        of: Option<String>,
        reached: Option<bool>,
    }
}
