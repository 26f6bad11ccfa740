//! Briefing: the skills of a session as cards, in running order.

use super::Reader;
use super::attempt_sheet::Neighbours;
use super::skill_card::SkillCard;
use crate::course::{CourseId, SessionId, Setting, SkillId};
use crate::plan::still_needs;
use crate::standing::CourseStanding;

/// The cards of a session.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct BriefingView {
    /// Of which course.
    pub course: CourseId,
    /// Of which session.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// Where it is held.
    pub setting: Setting,
    /// One card a skill, in running order.
    pub cards: Vec<BriefingCard>,
    /// Skills on the run list that the outline in force no longer has.
    pub unknown: Vec<SkillId>,
}

/// One card.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct BriefingCard {
    /// The skill.
    pub skill: SkillCard,
    /// The card before and after, and its place.
    pub beside: Neighbours,
    /// What the session's students who still need it are called, in order of name.
    pub needed_by: Vec<super::StudentName>,
}

impl BriefingView {
    /// The cards of a session; `None` when none of its plans stands.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, id: &SessionId) -> Option<Self> {
        let plan = &course.sessions().get(id)?.plan;
        let names = reader.people.roster(&course.students());
        let known = |skill: &SkillId| course.spoken_skill(skill);
        let (shown, unknown): (Vec<SkillId>, Vec<SkillId>) = plan
            .run_list
            .iter()
            .cloned()
            .partition(|skill| known(skill).is_some());
        let cards = shown
            .iter()
            .filter_map(|id| {
                let skill = known(id)?;
                let needed_by = names
                    .iter()
                    .filter(|name| plan.students.contains(&name.student))
                    .filter(|name| still_needs(course, &name.student, skill));
                Some(BriefingCard {
                    skill: SkillCard::of(skill, reader.units),
                    beside: Neighbours::of(&shown, id),
                    needed_by: needed_by.cloned().collect(),
                })
            })
            .collect();
        Some(Self {
            course: *course.id(),
            session: *id,
            title: plan.title.clone(),
            setting: plan.setting,
            cards,
            unknown,
        })
    }
}
