//! Ratio: how many students may be in the water with these staff, by the course's policy.
//!
//! A ceiling, before anything the day itself asks for: water, cold, age and who is new all
//! lower it, and only a person at the edge can say by how much. Never within on a rule
//! that nobody has confirmed. The sum is that of [`CeilingPolicy::ceiling`]: one rule.

use chrono::NaiveDate;

use super::reader::count;
use super::water::Limit;
use crate::calc::caution::Origin;
use crate::calc::supervision::{self, CeilingPolicy, Confirmation};
use crate::course::{AgeKnown, CapOf, Rule, RuleId, Setting};
use crate::standing::CourseStanding;

/// Students against the ceiling.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
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
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
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
    Cap(#[cfg_attr(feature = "border", uniffi(name = "most"))] u8),
    /// Never more than this for each instructor.
    CapEach(#[cfg_attr(feature = "border", uniffi(name = "most"))] u8),
    /// While somebody so young is in the water, so many for each instructor.
    Young {
        /// Under this age.
        under: u8,
        /// For each instructor.
        each: u8,
    },
    /// Without an instructor nobody goes in.
    NoInstructor,
    /// So many of the students are in the same water with another course and the same staff.
    OtherCourses(#[cfg_attr(feature = "border", uniffi(name = "count"))] u32),
}

/// What a ceiling should be lowered for; how far, no policy can say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Consider {
    /// Current or surf.
    MovingWater,
    /// So many students are minors.
    Minors(#[cfg_attr(feature = "border", uniffi(name = "count"))] u32),
    /// So many students' ages are not known here.
    AgeUnknown(#[cfg_attr(feature = "border", uniffi(name = "count"))] u32),
    /// Nobody to help the instructor.
    Alone,
    /// How far one can see is not known.
    VisibilityUnknown,
}

/// What the ratio is asked of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RatioOf<'a> {
    /// Where.
    pub setting: Setting,
    /// On which day.
    pub on: NaiveDate,
    /// Students in the water, or planned to be, each by what is known of the age.
    pub students: &'a [AgeKnown],
    /// Instructors with them.
    pub instructors: usize,
    /// Assistants with them.
    pub assistants: usize,
}

/// Students against the policy's ceiling; `None` on land, where no ratio is asked.
pub fn ratio(
    course: &CourseStanding,
    of: RatioOf<'_>,
    consider: Vec<Consider>,
) -> Option<RatioView> {
    if !of.setting.is_wet() {
        return None;
    }
    let [students, instructors, assistants] =
        [of.students.len(), of.instructors, of.assistants].map(count);
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
    let rules = course.rules();
    for rule in rules {
        let Rule::Ratio {
            setting,
            per_instructor,
            per_assistant,
            cap,
            cap_of,
        } = rule.rule
        else {
            continue;
        };
        if setting != of.setting {
            continue;
        }
        let ceiling = ceiling(
            setting,
            [per_instructor, per_assistant, cap],
            cap_of,
            (instructors, assistants),
        );
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
            let uncapped = u32::from(per_instructor)
                .saturating_mul(instructors)
                .saturating_add(u32::from(per_assistant).saturating_mul(assistants));
            if uncapped > ceiling {
                view.reasons.push(match cap_of {
                    CapOf::Water => RatioReason::Cap(cap),
                    CapOf::Instructor => RatioReason::CapEach(cap),
                });
            }
        }
        view.ceiling = Some(ceiling);
        view.limit = super::water::against(course, &rule.id, students <= ceiling);
        view.rule = Some(rule.id.clone());
        break;
    }
    lower_for_the_young(course, of, &mut view);
    Some(view)
}

/// What a rule allows these staff: the one sum, for the plan and for the example beside a rule
/// that is being confirmed.
pub(super) fn ceiling(
    setting: Setting,
    [per_instructor, per_assistant, cap]: [u8; 3],
    cap_of: CapOf,
    (instructors, assistants): (u32, u32),
) -> u32 {
    let cap = match cap_of {
        CapOf::Water => u32::from(cap),
        CapOf::Instructor => u32::from(cap).saturating_mul(instructors),
    };
    CeilingPolicy {
        setting: match setting {
            Setting::Open | Setting::Surface => supervision::Setting::OpenWater,
            Setting::Confined | Setting::Classroom => supervision::Setting::ConfinedWater,
        },
        per_instructor: u32::from(per_instructor),
        per_assistant: u32::from(per_assistant),
        cap: Some(cap),
        // Whether it is confirmed is asked of the course.
        confirmation: Confirmation::Unconfirmed,
        origin: Origin::Typed,
    }
    .ceiling(instructors, assistants)
}

/// Lowers the ceiling for every rule on the young that somebody in the water is under. Where
/// only somebody's unknown age could lower it, it is not called kept.
fn lower_for_the_young(course: &CourseStanding, of: RatioOf<'_>, view: &mut RatioView) {
    let rules = course.rules();
    for rule in rules {
        let Rule::RatioByAge {
            under,
            per_instructor,
        } = rule.rule
        else {
            continue;
        };
        let most = u32::from(per_instructor).saturating_mul(view.instructors);
        let under_age = |is| {
            let mut ages = of.students.iter();
            ages.any(|age| age.under(under, of.on) == is)
        };
        let limit = if under_age(Some(true)) {
            if view.ceiling.is_none_or(|ceiling| most < ceiling) {
                view.ceiling = Some(most);
                view.rule = Some(rule.id.clone());
                if view.instructors > 0 {
                    let each = per_instructor;
                    view.reasons.push(RatioReason::Young { under, each });
                }
            }
            super::water::against(course, &rule.id, view.students <= most)
        } else if under_age(None) && view.students > most {
            Limit::Unknown
        } else {
            continue;
        };
        if limit.weight() > view.limit.weight() {
            view.limit = limit;
        }
    }
}
