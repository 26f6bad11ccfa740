//! Outline: the skills and usual sessions that a course or a shop works by, to be read and
//! edited; and what is wrong with a draft.

use super::reader::count;
use super::skill_card::SkillCard;
use super::{Leave, Moment, Reader, StaffName, Units};
use crate::course::{Block, CourseId, Demand, EntryId, Outline, OutlineFault, Skill, SkillId};
use crate::entry::{Body, Kind};
use crate::standing::{CourseStanding, Tally};

/// An outline, in force or as a draft.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlineView {
    /// The course that adopted it; `None` for the shop's own and for a draft.
    pub course: Option<CourseId>,
    /// The outline itself, to be edited.
    pub outline: Outline,
    /// Its skills, ready to be shown.
    pub skills: Vec<OutlineSkill>,
    /// Its usual sessions.
    pub blocks: Vec<OutlineBlock>,
    /// Everything that is wrong with it.
    pub faults: Vec<OutlineFault>,
    /// The entry that set it; `None` for a draft.
    pub entry: Option<EntryId>,
    /// Who set it, when and why.
    pub set: Option<SetBy>,
    /// The shop works by another edition or another outline now.
    pub shop_differs: bool,
    /// What was on screen: goes into the `after` of the next.
    pub after: Vec<EntryId>,
    /// Whether the reader may set one.
    pub may_set: Leave,
}

/// A skill of an outline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlineSkill {
    /// As it is briefed and judged.
    pub card: SkillCard,
    /// How often, in how many sessions and where it must be met.
    pub demand: Demand,
    /// What should be met first, by name.
    pub needs: Vec<SkillNamed>,
    /// What builds on it, by name: those a dropped skill would leave standing in the air.
    pub needed_by: Vec<SkillNamed>,
    /// Students with a mark in it, in this course.
    pub tried_by: u32,
}

/// Who set an outline.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SetBy {
    /// Who.
    pub by: StaffName,
    /// When.
    pub at: Moment,
    /// Why, if they said so.
    pub why: Option<String>,
}

/// A skill, by name.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SkillNamed {
    /// Which.
    pub skill: SkillId,
    /// As the outline calls it; the id where it has none of the kind.
    pub name: String,
}

/// A usual session of an outline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlineBlock {
    /// The block itself.
    pub block: Block,
    /// Its skills by name, in running order.
    pub names: Vec<String>,
    /// Minutes of its skills for one student at first tries.
    pub slow_minutes: u32,
}

impl OutlineView {
    /// The outline a course works by; `None` before one is adopted.
    pub fn of_course(course: &CourseStanding, reader: &Reader<'_>) -> Option<Self> {
        let outline = course.outline()?;
        let mut view = Self::of_draft(outline, reader.units);
        view.course = Some(*course.id());
        view.entry = course.outline_entry();
        view.set = set(course.tally(), reader, view.entry);
        view.shop_differs = reader
            .shop
            .outline()
            .is_some_and(|(_, shop)| shop != outline);
        view.after = course.all_of_kind(Kind::OutlineSet);
        view.may_set = reader.may_write(Kind::OutlineSet);
        for row in &mut view.skills {
            let tried = course
                .cells()
                .iter()
                .filter(|((_, skill), cell)| *skill == row.card.skill && !cell.seen.is_empty());
            row.tried_by = count(tried.count());
        }
        Some(view)
    }

    /// The shop's outline, which a new course adopts; `None` before one is set.
    pub fn of_shop(reader: &Reader<'_>) -> Option<Self> {
        let (entry, outline) = reader.shop.outline()?;
        let mut view = Self::of_draft(outline, reader.units);
        view.entry = Some(entry);
        view.set = set(reader.shop.tally(), reader, view.entry);
        view.after = reader.shop.all_of_kind(Kind::OutlineSet);
        view.may_set = reader.may_write(Kind::OutlineSet);
        Some(view)
    }

    /// An outline that is not recorded, with what is wrong with it.
    pub fn of_draft(outline: &Outline, units: Units) -> Self {
        let name = |id: &SkillId| {
            let known = outline.skill(id).map(|skill| skill.name.clone());
            SkillNamed {
                skill: id.clone(),
                name: known.unwrap_or_else(|| id.to_string()),
            }
        };
        Self {
            course: None,
            outline: outline.clone(),
            skills: outline
                .skills
                .iter()
                .map(|skill| OutlineSkill {
                    card: SkillCard::of(skill, units),
                    demand: skill.demand.clone(),
                    needs: skill.needs.iter().map(name).collect(),
                    needed_by: outline
                        .skills
                        .iter()
                        .filter(|other| other.needs.contains(&skill.id))
                        .map(|other| SkillNamed {
                            skill: other.id.clone(),
                            name: other.name.clone(),
                        })
                        .collect(),
                    tried_by: 0,
                })
                .collect(),
            blocks: outline
                .blocks
                .iter()
                .map(|block| OutlineBlock::of(outline, block))
                .collect(),
            faults: outline.faults(),
            entry: None,
            set: None,
            shop_differs: false,
            after: Vec::new(),
            may_set: Leave::NothingOpen,
        }
    }
}

impl OutlineBlock {
    fn of(outline: &Outline, block: &Block) -> Self {
        let skills: Vec<Option<&Skill>> =
            block.run_list.iter().map(|id| outline.skill(id)).collect();
        Self {
            block: block.clone(),
            names: block
                .run_list
                .iter()
                .zip(&skills)
                .map(|(id, skill)| skill.map_or_else(|| id.to_string(), |skill| skill.name.clone()))
                .collect(),
            slow_minutes: skills
                .iter()
                .flatten()
                .map(|skill| u32::from(skill.minutes.slow))
                .sum(),
        }
    }
}

fn set(tally: &Tally, reader: &Reader<'_>, entry: Option<EntryId>) -> Option<SetBy> {
    let one = tally.get(&entry?)?;
    let why = if let Body::OutlineSet(body) = &one.entry.body {
        body.why.clone()
    } else {
        None
    };
    Some(SetBy {
        by: reader.staff(&one.entry.by),
        at: reader.when(one.entry.at),
        why,
    })
}
