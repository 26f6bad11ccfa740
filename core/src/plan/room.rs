//! Room: how many students may be where, and how often staff may come up, by the course's
//! policy.

use super::next::NextAsked;
use crate::course::{AscentsOf, CapOf, Role, Rule};
use crate::standing::CourseStanding;

/// How many students may be where.
#[derive(Clone, Copy)]
pub(super) struct Room {
    pub(super) all: usize,
    pub(super) instructor: usize,
    pub(super) assistant: usize,
}

impl Room {
    /// By the course's policy; where no rule is, no limit is known here, and the ratio
    /// beside the plan says so.
    pub(super) fn of(course: &CourseStanding, asked: &NextAsked) -> Self {
        let of = |wanted: Role| {
            asked
                .staff
                .iter()
                .filter(|(_, role)| *role == wanted)
                .count()
        };
        let (instructors, assistants) = (of(Role::Instructor), of(Role::Assistant));
        let rules = course.rules();
        for rule in rules {
            if let Rule::Ratio {
                setting,
                per_instructor,
                per_assistant,
                cap,
                cap_of,
            } = rule.rule
                && setting == asked.setting
            {
                let [each, more, cap] = [per_instructor, per_assistant, cap].map(usize::from);
                let cap = match cap_of {
                    CapOf::Water => cap,
                    CapOf::Instructor => cap.saturating_mul(instructors),
                };
                let all = if instructors == 0 {
                    0
                } else {
                    instructors * each + assistants * more
                };
                return Self {
                    all: all.min(cap),
                    instructor: each,
                    assistant: more,
                };
            }
        }
        Self {
            all: usize::MAX,
            instructor: usize::MAX,
            assistant: usize::MAX,
        }
    }
}

/// The most ascents a day by the course's policy.
pub(super) fn ascents(course: &CourseStanding) -> u16 {
    let rules = course.rules();
    rules
        .filter_map(|rule| {
            if let Rule::AscentsPerDay {
                most,
                of: AscentsOf::Staff,
            } = rule.rule
            {
                Some(u16::from(most))
            } else {
                None
            }
        })
        .min()
        .unwrap_or(u16::MAX)
}
