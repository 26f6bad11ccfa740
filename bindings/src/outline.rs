//! Outline: the skills a course follows, shown and edited.

use tallywater_core::{course, view};

use crate::cross::mirror;
use crate::{
    Block, ClearanceKind, Family, Leave, MethodsNeeded, MinuteRange, Requirement, RunBy, RunForm,
    RunPlace, SetBy, Setting, SkillCard, SkillNamed,
};

mirror! {
    /// An outline, in force or as a draft.
    shown record OutlineView = view::OutlineView {
        course: Option<String>,
        outline: Outline,
        skills: Vec<OutlineSkill>,
        blocks: Vec<OutlineBlock>,
        faults: Vec<OutlineFault>,
        entry: Option<String>,
        set: Option<SetBy>,
        shop_differs: bool,
        after: Vec<String>,
        may_set: Leave,
    }

    /// A skill of an outline.
    shown record OutlineSkill = view::OutlineSkill {
        card: SkillCard,
        demand: Demand,
        needs: Vec<SkillNamed>,
        needed_by: Vec<SkillNamed>,
        tried_by: u32,
    }

    /// A usual session of an outline.
    shown record OutlineBlock = view::OutlineBlock {
        block: Block,
        names: Vec<String>,
        slow_minutes: u32,
    }

    /// The skills of a course and the sessions that usually carry them.
    both record Outline = course::Outline {
        title: String,
        edition: u32,
        source: String,
        skills: Vec<Skill>,
        blocks: Vec<Block>,
    }

    /// One skill: what must be shown, and how to brief and judge it.
    both record Skill = course::Skill {
        id: String,
        name: String,
        family: Family,
        settings: Vec<Setting>,
        needs: Vec<String>,
        requirement: Requirement,
        methods: Vec<SkillMethod>,
        methods_needed: MethodsNeeded,
        demand: Demand,
        cues: Vec<String>,
        slips: Vec<Slip>,
        caution: Option<String>,
        hazard: bool,
        minutes: MinuteRange,
        run: SkillRun,
        required: bool,
        proves: Option<ClearanceKind>,
    }

    /// One way of doing a skill.
    both record SkillMethod = course::Method {
        id: String,
        name: String,
        cues: Vec<String>,
        required: bool,
    }

    /// How often, in how many sessions and where a skill must be met. Default: once, anywhere
    /// it may be shown.
    both record Demand = course::Demand {
        times: u8,
        sessions: u8,
        each_of: Vec<Setting>,
    }

    /// A common fault of a skill, and the correction for it.
    both record Slip = course::Slip {
        id: String,
        fault: String,
        fix: String,
    }

    /// How a skill is run in a session. What is not said is the strictest: one by one, at
    /// depth, by an instructor.
    both record SkillRun = course::SkillRun {
        form: RunForm,
        setup: Option<u16>,
        turn: Option<u16>,
        place: RunPlace,
        by: RunBy,
        ascents: u8,
        cold: bool,
        before: Vec<String>,
        closes: Option<String>,
    }

    /// Something wrong with an outline.
    shown enum OutlineFault = course::OutlineFault {
        Empty,
        TooMany { what: String, of: String, most: u32 },
        Edition,
        Text { what: String, of: String, most: u32 },
        Twice { id: String },
        Unknown { by: String, id: String },
        Ring { id: String },
        NotMeasurable { id: String },
        Figure { id: String, least: u32, most: u32 },
        NoCaution { id: String },
        Settings { id: String },
        Demand { id: String, times: u8, sessions: u8 },
        Methods { id: String },
        Minutes { id: String, quick: u16, slow: u16, most: u16 },
        WrongPlace { block: String, skill: String },
    }
}
