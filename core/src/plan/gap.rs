//! Gaps: what is still missing before water, or before completion, and what would close it.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use super::counting::counting_dives;
use super::going::{Going, of_cell, skills_first};
use super::kit::{KitLack, lacks};
use super::young::ages;
use crate::course::{
    AgeKnown, ClearanceKind, Condition, Gate, KitName, KitWrong, Rule, RuleId, Setting, SkillId,
    StudentId,
};
use crate::entry::{Body, ClearanceResult, Kind, Who};
use crate::standing::{CellState, Counted, CourseStanding, PolicyNow, ShopStanding};

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
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Missing {
    /// The course has no policy, so no limit can be called kept.
    Policy,
    /// A rule that this gate rests on has been confirmed by nobody.
    RuleUnconfirmed(#[cfg_attr(feature = "border", uniffi(name = "rule"))] RuleId),
    /// The course has no outline.
    Outline,
    /// Nobody knows the student's age, and a rule asks for it.
    Age,
    /// Younger than the course may be.
    TooYoung {
        /// The least age, in years.
        least: u8,
    },
    /// The session is something that a rule forbids for this course.
    Forbidden(#[cfg_attr(feature = "border", uniffi(name = "condition"))] Condition),
    /// Planned deeper than the student's age allows.
    TooDeepForAge {
        /// The rule is for students under this age.
        under: u8,
        /// As deep as they may go, in centimetres.
        max_cm: u32,
    },
    /// A paper or test has not been recorded.
    Clearance(#[cfg_attr(feature = "border", uniffi(name = "what"))] ClearanceKind),
    /// It was recorded, and it says no, or asks for a physician.
    NotCleared(
        #[cfg_attr(feature = "border", uniffi(name = "what"))] ClearanceKind,
        #[cfg_attr(feature = "border", uniffi(name = "result"))] ClearanceResult,
    ),
    /// It counted until this day.
    Expired(
        #[cfg_attr(feature = "border", uniffi(name = "what"))] ClearanceKind,
        #[cfg_attr(feature = "border", uniffi(name = "until"))] NaiveDate,
    ),
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
    SlippedSince(#[cfg_attr(feature = "border", uniffi(name = "skill"))] SkillId),
    /// A rule asks for a skill that the outline does not have.
    SkillNotThere(#[cfg_attr(feature = "border", uniffi(name = "skill"))] SkillId),
    /// Open-water dives.
    Dives {
        /// Logged.
        have: u8,
        /// Needed.
        need: u8,
    },
    /// A piece of the school's kit that the student has should not go into the water.
    Kit {
        /// Which.
        piece: KitName,
        /// What is wrong with it that day.
        wrong: KitWrong,
    },
}

/// Everything missing before a student goes into a session. The shop says what is wrong with
/// the kit that the student has.
pub fn before_session(
    shop: &ShopStanding,
    course: &CourseStanding,
    student: &StudentId,
    going: &Going,
    age: AgeKnown,
) -> Vec<Gap> {
    let gates: &[Gate] = match going.setting {
        Setting::Classroom => return Vec::new(),
        Setting::Surface | Setting::Confined => &[Gate::Water],
        Setting::Open => &[Gate::Water, Gate::OpenWater],
    };
    let mut gaps = Vec::new();
    papers(&mut gaps, course, student, gates, going.on, age);
    if let Some(policy) = course.policy() {
        ages(&mut gaps, policy, age, going.on, Some(going));
        skills_first(&mut gaps, course, policy, student, going);
        forbidden(&mut gaps, policy, going);
        let who = Who::Student(*student);
        let lacks = lacks(shop, course, policy, &who, going.on).into_iter();
        gaps.extend(lacks.map(of_kit));
    }
    finish(gaps)
}

/// Everything missing before the student's course can be completed.
pub fn before_completion(
    course: &CourseStanding,
    student: &StudentId,
    on: NaiveDate,
    age: AgeKnown,
) -> Vec<Gap> {
    let mut gaps = Vec::new();
    papers(
        &mut gaps,
        course,
        student,
        &[Gate::Water, Gate::OpenWater, Gate::Completion],
        on,
        age,
    );
    if let Some(policy) = course.policy() {
        ages(&mut gaps, policy, age, on, None);
    }
    skills(&mut gaps, course, student);
    dives(&mut gaps, course, student);
    finish(gaps)
}

fn of_kit(lack: KitLack) -> Gap {
    match lack {
        KitLack::RuleUnconfirmed(rule) => Gap {
            what: Missing::RuleUnconfirmed(rule),
            closes_with: Kind::PolicyConfirmed,
        },
        KitLack::Piece(piece, wrong) => Gap {
            what: Missing::Kit { piece, wrong },
            closes_with: Kind::KitReturned,
        },
    }
}

fn finish(mut gaps: Vec<Gap>) -> Vec<Gap> {
    gaps.sort();
    gaps.dedup();
    gaps
}

/// What the session is, and a rule forbids. A rule that nobody confirmed forbids as well.
fn forbidden(gaps: &mut Vec<Gap>, policy: &PolicyNow, going: &Going) {
    for rule in &policy.policy.rules {
        if let Rule::Forbids { conditions } = &rule.rule {
            rests_on(gaps, policy, &rule.id);
            let both = conditions.intersection(&going.conditions);
            gaps.extend(both.map(|condition| Gap {
                what: Missing::Forbidden(*condition),
                closes_with: Kind::SessionPlanned,
            }));
        }
    }
}

/// Names a rule that nobody has confirmed, where something rests on it.
pub(super) fn rests_on(gaps: &mut Vec<Gap>, policy: &PolicyNow, rule: &RuleId) {
    if !policy.confirmed.contains_key(rule) {
        gaps.push(Gap {
            what: Missing::RuleUnconfirmed(rule.clone()),
            closes_with: Kind::PolicyConfirmed,
        });
    }
}

fn papers(
    gaps: &mut Vec<Gap>,
    course: &CourseStanding,
    student: &StudentId,
    gates: &[Gate],
    on: NaiveDate,
    age: AgeKnown,
) {
    let Some(policy) = course.policy() else {
        gaps.push(Gap {
            what: Missing::Policy,
            closes_with: Kind::PolicySet,
        });
        return;
    };
    let mut needed: BTreeMap<ClearanceKind, ()> = BTreeMap::new();
    for rule in &policy.policy.rules {
        match &rule.rule {
            Rule::Needs { clearance, before } if gates.contains(before) => {
                rests_on(gaps, policy, &rule.id);
                // Consent is asked of minors only, by the rule below, and a physician's
                // clearance only where the health declaration asks for it.
                if !matches!(clearance, ClearanceKind::Consent | ClearanceKind::Physician) {
                    needed.insert(*clearance, ());
                }
            }
            Rule::ConsentUnder { age: under } => {
                if age.under(*under, on) == Some(true) {
                    needed.insert(ClearanceKind::Consent, ());
                }
            }
            Rule::HealthCurrency { .. } => rests_on(gaps, policy, &rule.id),
            Rule::Needs { .. }
            | Rule::Ratio { .. }
            | Rule::Depth { .. }
            | Rule::DivesPerDay { .. }
            | Rule::DivesNeeded { .. }
            | Rule::AssistantJudges { .. }
            | Rule::AscentsPerDay { .. }
            | Rule::SkillsFirst { .. }
            | Rule::LeastAge { .. }
            | Rule::DepthByAge { .. }
            | Rule::RatioByAge { .. }
            | Rule::PairWithAdult { .. }
            | Rule::DiveCounts { .. }
            | Rule::Forbids { .. }
            | Rule::StaffNeeds { .. }
            | Rule::EmergencyPlan { .. }
            | Rule::KitReady { .. }
            | Rule::Keep { .. } => {}
        }
    }
    for what in needed.into_keys() {
        let proving = course.outline().and_then(|outline| outline.proving(what));
        gaps.extend(match proving {
            Some(skill) => of_cell(&skill.id, &course.cell_under(student, skill)),
            None => clearance(course, student, what, on),
        });
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
        gaps.extend(of_cell(&skill.id, cell));
    }
}

fn dives(gaps: &mut Vec<Gap>, course: &CourseStanding, student: &StudentId) {
    let Some(policy) = course.policy() else {
        return;
    };
    for rule in &policy.policy.rules {
        if let Rule::DiveCounts { .. } = rule.rule {
            rests_on(gaps, policy, &rule.id);
        }
        let Rule::DivesNeeded { least } = &rule.rule else {
            continue;
        };
        rests_on(gaps, policy, &rule.id);
        let made = counting_dives(course, &Who::Student(*student)).len();
        let have = u8::try_from(made).unwrap_or(u8::MAX);
        if have < *least {
            let what = Missing::Dives { have, need: *least };
            gaps.push(Gap {
                what,
                closes_with: Kind::DiveLogged,
            });
        }
    }
}
