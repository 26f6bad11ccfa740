//! Attempt sheet: one student, one skill: what to watch, what was seen, what may be done.

use super::cell::CellView;
use super::history::{HistoryKind, HistoryLine, LineCounts, history};
use super::skill_card::SkillCard;
use super::{Reader, StudentName};
use crate::course::{CourseId, EntryId, MethodId, SessionId, Setting, Skill, SkillId, StudentId};
use crate::standing::{CellState, CourseStanding, Parts};

/// The sheet on which a try is judged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AttemptSheetView {
    /// Of which course.
    pub course: CourseId,
    /// In which session, if one was named and is planned.
    pub session: Option<SessionId>,
    /// Who tries.
    pub name: StudentName,
    /// What.
    pub skill: SkillCard,
    /// How it stands.
    pub cell: CellView,
    /// How far each part of the demand is met.
    pub demand: DemandView,
    /// What the skill builds on and this student has not shown yet.
    pub builds_on: Vec<BuildsOn>,
    /// Everything that was said of it, oldest first.
    pub history: Vec<HistoryLine>,
    /// The marks that differ, when there are two views: each beside the other.
    pub views: Vec<HistoryLine>,
    /// Assistants' met marks that an instructor may confirm.
    pub waiting: Vec<EntryId>,
    /// What stands before the session's water for this student, or before water today.
    pub water_gaps: u32,
    /// The student before and after, by name as on the board: of the session, where they are
    /// in one.
    pub students: Neighbours,
    /// How the student after is called.
    pub next: Option<StudentName>,
    /// The skill before and after, in the board's order, or the session's.
    pub skills: Neighbours,
}

/// What stands before and after in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Neighbours {
    /// The id of what stands before; `None` at the beginning.
    pub before: Option<String>,
    /// The id of what comes after; `None` at the end.
    pub after: Option<String>,
    /// The place itself, from 1; 0 when it is not in the list.
    pub place: u32,
    /// How long the list is.
    pub of: u32,
}

impl Neighbours {
    pub(super) fn of<T: PartialEq + ToString>(list: &[T], one: &T) -> Self {
        let at = list.iter().position(|other| other == one);
        let [before, after] = Self::beside(list, one);
        Self {
            before: before.map(ToString::to_string),
            after: after.map(ToString::to_string),
            place: at.map_or(0, |place| super::reader::count(place + 1)),
            of: super::reader::count(list.len()),
        }
    }

    /// What stands before and after.
    pub(super) fn beside<'a, T: PartialEq>(list: &'a [T], one: &T) -> [Option<&'a T>; 2] {
        let at = list.iter().position(|other| other == one);
        let beside = |by: fn(usize) -> Option<usize>| at.and_then(by).and_then(|at| list.get(at));
        [
            beside(|place| place.checked_sub(1)),
            beside(|place| place.checked_add(1)),
        ]
    }
}

/// How far each part of a demand is met, by tries that an instructor stands behind.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct DemandView {
    /// Tries met.
    pub times_met: u8,
    /// Of so many.
    pub times: u8,
    /// Sessions it was met in.
    pub sessions_met: u8,
    /// Of so many.
    pub sessions: u8,
    /// Settings it must be met in, and whether it was.
    pub settings: Vec<SettingMet>,
    /// Ways of doing it, whether each is asked for, and whether it was met.
    pub methods: Vec<MethodMet>,
}

/// A setting, and whether a skill was met there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SettingMet {
    /// Where.
    pub setting: Setting,
    /// Whether it was.
    pub met: bool,
}

/// A way of doing a skill, and whether it was met.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct MethodMet {
    /// Which.
    pub method: MethodId,
    /// Whether the demand asks for this very way.
    pub asked: bool,
    /// Whether it was met.
    pub met: bool,
}

/// A skill that another builds on.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct BuildsOn {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// How it stands for this student.
    pub state: CellState,
}

impl AttemptSheetView {
    /// The sheet of a student and a skill; `None` when the outline does not have the skill
    /// or the course not the student.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        student: &StudentId,
        skill: &SkillId,
        session: Option<SessionId>,
    ) -> Option<Self> {
        let key = (*student, skill.clone());
        let known = course.spoken_skill(skill)?;
        let cell = course.cells().get(&key)?;
        let history = history(course, reader, student, skill);
        let two_views = cell.state == CellState::TwoViews;
        let views = history
            .iter()
            .filter(|line| two_views && cell.latest.contains(&line.entry))
            .cloned()
            .collect();
        let session = session.filter(|id| course.sessions().contains_key(id));
        let plan = session.and_then(|id| Some(&course.sessions().get(&id)?.plan));
        let in_session = plan.map(|plan| &plan.students);
        let in_session = in_session.filter(|students| students.contains(student));
        let names = reader.people.roster(&course.students());
        let students: Vec<StudentId> = names
            .into_iter()
            .map(|name| name.student)
            .filter(|id| in_session.is_none_or(|students| students.contains(id)))
            .collect();
        let run_list = plan.map(|plan| plan.run_list.clone());
        let skills = run_list
            .filter(|run| run.contains(skill))
            .unwrap_or_else(|| skills_in_board_order(course));
        let [_, next] = Neighbours::beside(&students, student);
        Some(Self {
            course: *course.id(),
            session,
            name: reader.student(student),
            skill: SkillCard::of(known, reader.units),
            cell: CellView::of(course, reader, &key)?,
            demand: DemandView::of(known, &course.parts(&key).unwrap_or_default()),
            builds_on: builds_on(course, student, known),
            views,
            waiting: cell.unconfirmed.clone(),
            water_gaps: super::board::water_gaps(course, reader, student, session),
            next: next.map(|id| reader.student(id)),
            students: Neighbours::of(&students, student),
            skills: Neighbours::of(&skills, skill),
            history,
        })
    }

    /// The exemption that holds, if the skill is not asked of this student.
    pub fn exemption(&self) -> Option<&HistoryLine> {
        self.history
            .iter()
            .find(|line| line.what == HistoryKind::Exemption && line.counts == LineCounts::Counts)
    }
}

impl DemandView {
    pub(super) fn of(skill: &Skill, parts: &Parts) -> Self {
        let asked: Vec<&MethodId> = skill.methods_asked().map(|method| &method.id).collect();
        Self {
            times_met: parts.tries.min(skill.demand.times),
            times: skill.demand.times,
            sessions_met: parts.sessions.min(skill.demand.sessions),
            sessions: skill.demand.sessions,
            settings: skill
                .demand
                .each_of
                .iter()
                .map(|setting| SettingMet {
                    setting: *setting,
                    met: parts.settings.contains(setting),
                })
                .collect(),
            methods: skill
                .methods
                .iter()
                .map(|method| MethodMet {
                    method: method.id.clone(),
                    asked: asked.contains(&&method.id),
                    met: parts.methods.contains(&method.id),
                })
                .collect(),
        }
    }
}

/// Skills family by family, as the board shows them.
pub(super) fn skills_in_board_order(course: &CourseStanding) -> Vec<SkillId> {
    let skills = course.outline().map_or(&[][..], |outline| &outline.skills);
    let mut families = Vec::new();
    for skill in skills {
        if !families.contains(&skill.family) {
            families.push(skill.family);
        }
    }
    families
        .into_iter()
        .flat_map(|family| skills.iter().filter(move |skill| skill.family == family))
        .map(|skill| skill.id.clone())
        .collect()
}

fn builds_on(course: &CourseStanding, student: &StudentId, skill: &Skill) -> Vec<BuildsOn> {
    skill
        .needs
        .iter()
        .filter_map(|need| {
            let state = course.cells().get(&(*student, need.clone()))?.state;
            let open = matches!(
                state,
                CellState::Open | CellState::Trying | CellState::TwoViews
            );
            open.then(|| BuildsOn {
                skill: need.clone(),
                name: super::reader::skill_name(course, need),
                state,
            })
        })
        .collect()
}
