//! Gaps: what is still missing before water, or before completion, and what would close it.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use crate::course::{ClearanceKind, Gate, Rule, RuleId, Setting, SkillId, StudentId, age_on};
use crate::entry::{Body, ClearanceResult, Kind, Who};
use crate::standing::{CellState, Counted, CourseStanding};

/// One thing that is missing.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Gap {
    /// What.
    pub what: Missing,
    /// The kind of entry that would close it.
    pub closes_with: Kind,
}

/// What can be missing.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Missing {
    /// The course has no policy, so no limit can be called kept.
    Policy,
    /// A rule that this gate rests on has been confirmed by nobody.
    RuleUnconfirmed(RuleId),
    /// The course has no outline.
    Outline,
    /// A paper or test has not been recorded.
    Clearance(ClearanceKind),
    /// It was recorded, and it says no, or asks for a physician.
    NotCleared(ClearanceKind, ClearanceResult),
    /// It counted until this day.
    Expired(ClearanceKind, NaiveDate),
    /// A skill is not met; so much of so much is.
    Skill {
        /// Which.
        skill: SkillId,
        /// How it stands.
        state: CellState,
        /// Met.
        met: u8,
        /// Of.
        of: u8,
    },
    /// A skill was met, and a later try was not.
    SlippedSince(SkillId),
    /// Open-water dives.
    Dives {
        /// Logged.
        have: u8,
        /// Needed.
        need: u8,
    },
}

/// Everything missing before a session in this setting, on this day.
///
/// `born` is the student's birth date, known only where the course needs it.
pub fn before_session(
    course: &CourseStanding,
    student: &StudentId,
    setting: Setting,
    on: NaiveDate,
    born: Option<NaiveDate>,
) -> Vec<Gap> {
    let gates: &[Gate] = match setting {
        Setting::Classroom => return Vec::new(),
        Setting::Surface | Setting::Confined => &[Gate::Water],
        Setting::Open => &[Gate::Water, Gate::OpenWater],
    };
    let mut gaps = Vec::new();
    papers(&mut gaps, course, student, gates, on, born);
    finish(gaps)
}

/// Everything missing before the student's course can be completed.
pub fn before_completion(
    course: &CourseStanding,
    student: &StudentId,
    on: NaiveDate,
    born: Option<NaiveDate>,
) -> Vec<Gap> {
    let mut gaps = Vec::new();
    papers(
        &mut gaps,
        course,
        student,
        &[Gate::Water, Gate::OpenWater, Gate::Completion],
        on,
        born,
    );
    skills(&mut gaps, course, student);
    dives(&mut gaps, course, student);
    finish(gaps)
}

fn finish(mut gaps: Vec<Gap>) -> Vec<Gap> {
    gaps.sort();
    gaps.dedup();
    gaps
}

fn papers(
    gaps: &mut Vec<Gap>,
    course: &CourseStanding,
    student: &StudentId,
    gates: &[Gate],
    on: NaiveDate,
    born: Option<NaiveDate>,
) {
    let Some(policy) = course.policy() else {
        gaps.push(Gap {
            what: Missing::Policy,
            closes_with: Kind::PolicySet,
        });
        return;
    };
    let mut needed: BTreeMap<ClearanceKind, ()> = BTreeMap::new();
    let mut rests_on = Vec::new();
    for rule in &policy.policy.rules {
        match &rule.rule {
            Rule::Needs { clearance, before } if gates.contains(before) => {
                rests_on.push(&rule.id);
                // Consent is asked of minors only, by the rule below, and a physician's
                // clearance only where the health declaration asks for it.
                if !matches!(clearance, ClearanceKind::Consent | ClearanceKind::Physician) {
                    needed.insert(*clearance, ());
                }
            }
            Rule::ConsentUnder { age } => {
                rests_on.push(&rule.id);
                let minor = born.is_some_and(|born| {
                    age_on(born, on).is_none_or(|years| years < u32::from(*age))
                });
                if minor {
                    needed.insert(ClearanceKind::Consent, ());
                }
            }
            Rule::HealthCurrency { .. } => rests_on.push(&rule.id),
            Rule::Needs { .. }
            | Rule::Ratio { .. }
            | Rule::Depth { .. }
            | Rule::DivesPerDay { .. }
            | Rule::DivesNeeded { .. }
            | Rule::AssistantJudges { .. }
            | Rule::AscentsPerDay { .. }
            | Rule::Keep { .. } => {}
        }
    }
    for rule in rests_on
        .into_iter()
        .filter(|rule| !policy.confirmed.contains_key(rule))
    {
        let what = Missing::RuleUnconfirmed(rule.clone());
        gaps.push(Gap {
            what,
            closes_with: Kind::PolicyConfirmed,
        });
    }
    for what in needed.into_keys() {
        gaps.extend(clearance(course, student, what, on));
    }
}

/// The gap of one clearance, if there is one. A declaration that asks for a physician
/// stands in the way until the physician's clearance is there.
fn clearance(
    course: &CourseStanding,
    student: &StudentId,
    what: ClearanceKind,
    on: NaiveDate,
) -> Option<Gap> {
    let gap = |what| {
        Some(Gap {
            what,
            closes_with: Kind::Clearance,
        })
    };
    let Some(found) = course.clearance(student, what) else {
        return gap(Missing::Clearance(what));
    };
    let Body::Clearance(body) = &found.entry.body else {
        return None;
    };
    match body.result {
        ClearanceResult::NotCleared => gap(Missing::NotCleared(what, body.result)),
        ClearanceResult::Referred => clearance(course, student, ClearanceKind::Physician, on),
        ClearanceResult::Cleared => match counts_until(course, found) {
            Some(until) if until < on => gap(Missing::Expired(what, until)),
            Some(_) | None => None,
        },
    }
}

/// The last day a clearance counts: what the paper says, or for health papers what the
/// policy says, the earlier of the two. `None` when nothing ends it.
pub fn counts_until(course: &CourseStanding, clearance: &Counted) -> Option<NaiveDate> {
    let Body::Clearance(body) = &clearance.entry.body else {
        return None;
    };
    let health = matches!(body.what, ClearanceKind::Health | ClearanceKind::Physician);
    let currency = course
        .policy()
        .filter(|_| health)
        .into_iter()
        .flat_map(|policy| &policy.policy.rules)
        .find_map(|rule| {
            if let Rule::HealthCurrency { days } = &rule.rule {
                Some(Days::new(u64::from(*days)))
            } else {
                None
            }
        })
        .and_then(|days| clearance.entry.at.date_naive().checked_add_days(days));
    match (body.until, currency) {
        (Some(says), Some(policy)) => Some(says.min(policy)),
        (says, policy) => says.or(policy),
    }
}

fn skills(gaps: &mut Vec<Gap>, course: &CourseStanding, student: &StudentId) {
    let Some(outline) = course.outline() else {
        gaps.push(Gap {
            what: Missing::Outline,
            closes_with: Kind::OutlineSet,
        });
        return;
    };
    for skill in outline.skills.iter().filter(|skill| skill.required) {
        let Some(cell) = course.cells().get(&(*student, skill.id.clone())) else {
            continue;
        };
        let closes_with = match cell.state {
            CellState::Exempt => continue,
            CellState::Met if cell.slipped_since => {
                let what = Missing::SlippedSince(skill.id.clone());
                gaps.push(Gap {
                    what,
                    closes_with: Kind::Resolution,
                });
                continue;
            }
            CellState::Met => continue,
            CellState::Shown => Kind::Confirmation,
            CellState::TwoViews => Kind::Resolution,
            CellState::Open | CellState::Trying => Kind::Attempt,
        };
        let (skill, state, met, of) = (skill.id.clone(), cell.state, cell.met, cell.of);
        gaps.push(Gap {
            what: Missing::Skill {
                skill,
                state,
                met,
                of,
            },
            closes_with,
        });
    }
}

fn dives(gaps: &mut Vec<Gap>, course: &CourseStanding, student: &StudentId) {
    let Some(policy) = course.policy() else {
        return;
    };
    for rule in &policy.policy.rules {
        let Rule::DivesNeeded { least } = &rule.rule else {
            continue;
        };
        if !policy.confirmed.contains_key(&rule.id) {
            let what = Missing::RuleUnconfirmed(rule.id.clone());
            gaps.push(Gap {
                what,
                closes_with: Kind::PolicyConfirmed,
            });
        }
        let have = u8::try_from(open_water_dives(course, student).count()).unwrap_or(u8::MAX);
        if have < *least {
            let what = Missing::Dives { have, need: *least };
            gaps.push(Gap {
                what,
                closes_with: Kind::DiveLogged,
            });
        }
    }
}

/// The student's dives in sessions that are held in open water, by id.
pub fn open_water_dives<'a>(
    course: &'a CourseStanding,
    student: &StudentId,
) -> impl Iterator<Item = &'a Counted> {
    let student = *student;
    course.about(&student).filter(move |one| {
        if let Body::DiveLogged(dive) = &one.entry.body {
            dive.who == Who::Student(student)
                && dive
                    .session
                    .and_then(|id| course.sessions().get(&id))
                    .is_some_and(|session| session.plan.setting == Setting::Open)
        } else {
            false
        }
    })
}
