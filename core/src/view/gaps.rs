//! Gaps: what is missing before water and before completion, each with what closes it.

use super::reader::skill_name;
use super::{Day, Figure, Leave, Reader, StudentName};
use crate::course::{AgeKnown, CourseId, Setting, StudentId};
use crate::entry::{Kind, Sort};
use crate::plan::{Gap, Going, Missing, before_completion, before_session};
use crate::standing::CourseStanding;

/// What is missing for one student.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct GapsView {
    /// Of which course.
    pub course: CourseId,
    /// Whose.
    pub name: StudentName,
    /// The day it was worked out for.
    pub on: Day,
    /// Before confined water or the surface.
    pub before_water: Vec<GapRow>,
    /// Before open water; those before any water among them.
    pub before_open: Vec<GapRow>,
    /// Before completion; all others among them.
    pub before_completion: Vec<GapRow>,
    /// The student's age is not known here, so no rule that asks for it can be kept.
    pub age_unknown: bool,
}

/// One gap.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct GapRow {
    /// What is missing.
    pub what: Missing,
    /// The skill's name, where it is about one.
    pub skill_name: Option<String>,
    /// The day a paper counted until.
    pub expired: Option<Day>,
    /// As deep as the student may go, where the plan is deeper.
    pub depth: Option<Figure>,
    /// The kind of entry that would close it.
    pub closes_with: Kind,
    /// Whether the reader may write that.
    pub may_close: Leave,
}

impl GapsView {
    /// What is missing for a student, on a day.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        student: &StudentId,
        on: chrono::NaiveDate,
    ) -> Self {
        let before = |setting| {
            let going = Going::somewhere(setting, on);
            rows(course, reader, before_gaps(course, reader, student, &going))
        };
        let age = reader.age(student);
        Self {
            course: *course.id(),
            name: reader.student(student),
            on: reader.day(on),
            before_water: before(Setting::Confined),
            before_open: before(Setting::Open),
            before_completion: rows(course, reader, before_completion(course, student, on, age)),
            age_unknown: age == AgeKnown::Nothing,
        }
    }
}

pub(super) fn before_gaps(
    course: &CourseStanding,
    reader: &Reader<'_>,
    student: &StudentId,
    going: &Going,
) -> Vec<Gap> {
    before_session(reader.shop, course, student, going, reader.age(student))
}

/// Gaps as rows: by what they are, skills in the outline's order.
pub(super) fn rows(course: &CourseStanding, reader: &Reader<'_>, gaps: Vec<Gap>) -> Vec<GapRow> {
    let skills = course.outline().map_or(&[][..], |outline| &outline.skills);
    let place = |gap: &Gap| match &gap.what {
        Missing::Skill { skill, .. } | Missing::SlippedSince(skill) => {
            skills.iter().position(|one| one.id == *skill)
        }
        Missing::Policy
        | Missing::RuleUnconfirmed(_)
        | Missing::Outline
        | Missing::Age
        | Missing::TooYoung { .. }
        | Missing::Forbidden(_)
        | Missing::TooDeepForAge { .. }
        | Missing::Clearance(_)
        | Missing::NotCleared(..)
        | Missing::Expired(..)
        | Missing::SkillNotThere(_)
        | Missing::Dives { .. }
        | Missing::Kit { .. } => None,
    };
    // Skills lie together in the gaps' own order, so sorting among them moves no other.
    let (mut before, mut after) = (Vec::new(), Vec::new());
    let mut of_skills = Vec::new();
    for gap in gaps {
        match (place(&gap), of_skills.is_empty()) {
            (Some(place), _) => of_skills.push((place, gap)),
            (None, true) => before.push(gap),
            (None, false) => after.push(gap),
        }
    }
    of_skills.sort_by_key(|(place, _)| *place);
    before
        .into_iter()
        .chain(of_skills.into_iter().map(|(_, gap)| gap))
        .chain(after)
        .map(|gap| row(course, reader, gap))
        .collect()
}

/// What stands before a session for one student.
pub fn missing_before(
    course: &CourseStanding,
    reader: &Reader<'_>,
    student: &StudentId,
    session: &crate::course::SessionId,
) -> Vec<GapRow> {
    let Some(plan) = course.sessions().get(session).map(|now| &now.plan) else {
        return Vec::new();
    };
    let going = Going::of(plan, Some(*session));
    let gaps = before_gaps(course, reader, student, &going);
    rows(course, reader, gaps)
}

fn row(course: &CourseStanding, reader: &Reader<'_>, gap: Gap) -> GapRow {
    let (mut skill, mut expired, mut clearance, mut depth) = (None, None, None, None);
    match &gap.what {
        Missing::Skill { skill: id, .. } | Missing::SlippedSince(id) => {
            skill = Some(skill_name(course, id));
        }
        Missing::Expired(kind, day) => {
            expired = Some(reader.day(*day));
            clearance = Some(*kind);
        }
        Missing::Clearance(kind) | Missing::NotCleared(kind, _) => clearance = Some(*kind),
        Missing::Kit { wrong, .. } => expired = wrong.until().map(|day| reader.day(day)),
        Missing::TooDeepForAge { max_cm, .. } => depth = Some(super::water::depth(*max_cm, reader)),
        Missing::Policy
        | Missing::RuleUnconfirmed(_)
        | Missing::Outline
        | Missing::Age
        | Missing::TooYoung { .. }
        | Missing::Forbidden(_)
        | Missing::SkillNotThere(_)
        | Missing::Dives { .. } => {}
    }
    GapRow {
        skill_name: skill,
        expired,
        depth,
        closes_with: gap.closes_with,
        may_close: match clearance.filter(|_| gap.closes_with == Kind::Clearance) {
            Some(what) => reader.may_write(Sort::clearance(what)),
            None => reader.may_write(gap.closes_with),
        },
        what: gap.what,
    }
}
