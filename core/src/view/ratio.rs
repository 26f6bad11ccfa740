//! Ratio: how many students may be in the water with these staff, by the course's policy.
//!
//! A ceiling, before anything the day itself asks for: water, cold, age and who is new all
//! lower it, and only a person at the edge can say by how much. Never within on a rule
//! that nobody has confirmed. The sum is that of [`CeilingPolicy::ceiling`]: one rule.

use super::reader::count;
use super::water::Limit;
use crate::calc::caution::Origin;
use crate::calc::supervision::{self, CeilingPolicy, Confirmation};
use crate::course::{Rule, RuleId, Setting};
use crate::standing::CourseStanding;

/// Students against the ceiling.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RatioView {
    /// Students counted.
    pub students: u32,
    /// Instructors counted.
    pub instructors: u32,
    /// Assistants counted.
    pub assistants: u32,
    /// How many students may be in the water at most; `None` without a rule.
    pub ceiling: Option<u32>,
    /// How the students stand to it.
    pub limit: Limit,
    /// The rule it rests on.
    pub rule: Option<RuleId>,
    /// What makes the ceiling, in order.
    pub reasons: Vec<RatioReason>,
    /// What a person should lower it for.
    pub consider: Vec<Consider>,
}

/// A part of the sum behind a ceiling.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RatioReason {
    /// So many for each instructor.
    Instructors {
        /// How many instructors.
        count: u32,
        /// For each.
        each: u8,
    },
    /// So many more for each assistant.
    Assistants {
        /// How many assistants.
        count: u32,
        /// For each.
        each: u8,
    },
    /// Never more than this in the whole water.
    Cap(u8),
    /// Without an instructor nobody goes in.
    NoInstructor,
}

/// What a ceiling should be lowered for; how far, no policy can say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Consider {
    /// Current or surf.
    MovingWater,
    /// So many students are minors.
    Minors(u32),
    /// So many students' ages are not known here.
    AgeUnknown(u32),
    /// Nobody to help the instructor.
    Alone,
    /// How far one can see is not known.
    VisibilityUnknown,
}

/// What the ratio is asked of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RatioOf {
    /// Where.
    pub setting: Setting,
    /// Students in the water, or planned to be.
    pub students: usize,
    /// Instructors with them.
    pub instructors: usize,
    /// Assistants with them.
    pub assistants: usize,
}

/// Students against the policy's ceiling; `None` on land, where no ratio is asked.
pub fn ratio(course: &CourseStanding, of: RatioOf, consider: Vec<Consider>) -> Option<RatioView> {
    if !of.setting.is_wet() {
        return None;
    }
    let [students, instructors, assistants] =
        [of.students, of.instructors, of.assistants].map(count);
    let mut view = RatioView {
        students,
        instructors,
        assistants,
        ceiling: None,
        limit: Limit::NoRule,
        rule: None,
        reasons: Vec::new(),
        consider,
    };
    let rules = course
        .policy()
        .into_iter()
        .flat_map(|one| &one.policy.rules);
    for rule in rules {
        let Rule::Ratio {
            setting,
            per_instructor,
            per_assistant,
            cap,
        } = rule.rule
        else {
            continue;
        };
        if setting != of.setting {
            continue;
        }
        let [per_one, per_more, at_most] = [per_instructor, per_assistant, cap].map(u32::from);
        let policy = |cap| CeilingPolicy {
            setting: match setting {
                Setting::Open | Setting::Surface => supervision::Setting::OpenWater,
                Setting::Confined | Setting::Classroom => supervision::Setting::ConfinedWater,
            },
            per_instructor: per_one,
            per_assistant: per_more,
            cap,
            // Whether it is confirmed is asked of the course below.
            confirmation: Confirmation::Unconfirmed,
            origin: Origin::Typed,
        };
        let ceiling = policy(Some(at_most)).ceiling(instructors, assistants);
        if instructors == 0 {
            view.reasons.push(RatioReason::NoInstructor);
        } else {
            view.reasons.push(RatioReason::Instructors {
                count: instructors,
                each: per_instructor,
            });
            if assistants > 0 {
                view.reasons.push(RatioReason::Assistants {
                    count: assistants,
                    each: per_assistant,
                });
            }
            if policy(None).ceiling(instructors, assistants) > ceiling {
                view.reasons.push(RatioReason::Cap(cap));
            }
        }
        view.ceiling = Some(ceiling);
        view.limit = super::water::against(course, &rule.id, students <= ceiling);
        view.rule = Some(rule.id.clone());
        break;
    }
    Some(view)
}
