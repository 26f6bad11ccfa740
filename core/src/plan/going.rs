//! Going: what a student is about to go into, and the skills that the policy asks for first.
//!
//! A skill stands as far as it can be shown without the water it is asked for: one that has
//! to be met in the pool and in the lake stands before the lake once it was met in the pool.
//! A skill that slipped since, that two people saw differently, or that waits for an
//! instructor does not stand.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::counting::counting_dives;
use super::gap::{Gap, Missing};
use crate::course::{
    Before, Condition, Rule, SessionId, SessionPlan, Setting, Skill, SkillId, StudentId,
};
use crate::entry::{Kind, Who};
use crate::standing::{Cell, CellState, CourseStanding, PolicyNow};

/// What a student is about to go into.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Going {
    /// Where.
    pub setting: Setting,
    /// On which day.
    pub on: NaiveDate,
    /// How deep, where that is planned.
    pub depth_cm: Option<u32>,
    /// Into which session, where it is one: what an instructor overrode for it holds.
    pub session: Option<SessionId>,
    /// What it is besides: at night, under ice.
    pub conditions: BTreeSet<Condition>,
}

impl Going {
    /// Into a session as it is planned.
    pub fn of(plan: &SessionPlan, session: Option<SessionId>) -> Self {
        Self {
            setting: plan.setting,
            on: plan.starts.date_naive(),
            depth_cm: plan.water.max_depth_cm,
            session,
            conditions: plan.conditions(),
        }
    }

    /// Into some session in this setting, of which nothing more is known.
    pub const fn somewhere(setting: Setting, on: NaiveDate) -> Self {
        Self {
            setting,
            on,
            depth_cm: None,
            session: None,
            conditions: BTreeSet::new(),
        }
    }
}

/// The gaps of the rules on skills that must stand first, and the rules they rest on.
pub(super) fn skills_first(
    gaps: &mut Vec<Gap>,
    course: &CourseStanding,
    policy: &PolicyNow,
    student: &StudentId,
    going: &Going,
) {
    let mut asked: BTreeSet<(&SkillId, Setting)> = BTreeSet::new();
    for rule in &policy.policy.rules {
        let Rule::SkillsFirst { skills, before } = &rule.rule else {
            continue;
        };
        let Some(without) = applies(course, student, going, *before) else {
            continue;
        };
        super::gap::rests_on(gaps, policy, &rule.id);
        asked.extend(skills.iter().map(|skill| (skill, without)));
    }
    let overridden: BTreeSet<&SkillId> = going
        .session
        .iter()
        .flat_map(|session| course.overrides(session, student))
        .flat_map(|(_, one)| &one.skills)
        .collect();
    let missing = asked
        .into_iter()
        .filter(|(skill, _)| !overridden.contains(skill))
        .filter_map(|(skill, without)| missing(course, student, skill, without));
    gaps.extend(missing);
}

/// The shallowest setting that a rule's skills are asked for before; `None` where the rule
/// does not ask for them now.
fn applies(
    course: &CourseStanding,
    student: &StudentId,
    going: &Going,
    before: Before,
) -> Option<Setting> {
    match before {
        Before::Setting { setting } => (going.setting >= setting).then_some(setting),
        Before::OpenDive { dive } => {
            let next = counting_dives(course, &Who::Student(*student)).len() + 1;
            (going.setting == Setting::Open && next >= usize::from(dive)).then_some(Setting::Open)
        }
        Before::Deeper { than_cm } => {
            let deeper = going.depth_cm.is_none_or(|planned| planned > than_cm);
            let in_water = matches!(going.setting, Setting::Confined | Setting::Open);
            (in_water && deeper).then_some(Setting::Open)
        }
    }
}

fn missing(
    course: &CourseStanding,
    student: &StudentId,
    id: &SkillId,
    without: Setting,
) -> Option<Gap> {
    let Some(skill) = course.outline().and_then(|outline| outline.skill(id)) else {
        return Some(Gap {
            what: Missing::SkillNotThere(id.clone()),
            closes_with: Kind::PolicySet,
        });
    };
    let asked = shallower(skill, without);
    of_cell(id, &course.cell_under(student, &asked))
}

/// The skill as it is asked for by someone who has not been in this setting or deeper.
fn shallower(skill: &Skill, without: Setting) -> Skill {
    let mut asked = skill.clone();
    let demand = &mut asked.demand;
    let all = demand.each_of.len();
    demand.each_of.retain(|setting| *setting < without);
    let dropped = u8::try_from(all - demand.each_of.len()).unwrap_or(u8::MAX);
    demand.times = demand.times.saturating_sub(dropped).max(1);
    demand.sessions = demand.sessions.saturating_sub(dropped).max(1);
    asked
}

/// The gap of a skill that must stand, if there is one.
pub(super) fn of_cell(id: &SkillId, cell: &Cell) -> Option<Gap> {
    let closes_with = match cell.state {
        CellState::Exempt => return None,
        CellState::Met if cell.slipped_since => {
            return Some(Gap {
                what: Missing::SlippedSince(id.clone()),
                closes_with: Kind::Resolution,
            });
        }
        CellState::Met => return None,
        CellState::Shown => Kind::Confirmation,
        CellState::TwoViews => Kind::Resolution,
        CellState::Open | CellState::Trying => Kind::Attempt,
    };
    Some(Gap {
        what: Missing::Skill {
            skill: id.clone(),
            state: cell.state,
            met: cell.met,
            of: cell.of,
        },
        closes_with,
    })
}
