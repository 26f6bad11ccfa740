//! Ratio: how many students may be in the water with these staff, by the course's policy.
//!
//! A ceiling, before anything the day itself asks for: water, cold, age and who is new all
//! lower it, and only a person at the edge can say by how much. Never within on a rule
//! that nobody has confirmed.

use super::reader::count;
use super::water::Limit;
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
    /// Never more than this.
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
        let sum = instructors
            .saturating_mul(u32::from(per_instructor))
            .saturating_add(assistants.saturating_mul(u32::from(per_assistant)));
        let ceiling = if instructors == 0 {
            view.reasons.push(RatioReason::NoInstructor);
            0
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
            if sum > u32::from(cap) {
                view.reasons.push(RatioReason::Cap(cap));
            }
            sum.min(u32::from(cap))
        };
        view.ceiling = Some(ceiling);
        view.limit = super::water::against(course, &rule.id, students <= ceiling);
        view.rule = Some(rule.id.clone());
        break;
    }
    Some(view)
}
