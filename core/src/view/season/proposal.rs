//! Proposal: a change to the outline that the figures speak for, with the figures. A person
//! accepts it or leaves it; whoever accepts it records an outline, as after any other change.
//!
//! Proposed is only what the whole interval speaks for: minutes where the middle line takes
//! more, or less, than is planned at both ends of it; an order where more than half of those
//! who ran both ran them the other way round. What an outline with the change could not be
//! recorded with is not proposed.

use super::{MinutesRow, down, up};
use crate::calc::evidence::{Level, share_met};
use crate::course::{Block, BlockId, Outline, Skill, SkillId};
use crate::plan::season::{AsRun, Change, LEAST, Told, changed, fitted, may_swap};
use crate::view::reader::count;

/// A change that is proposed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeasonProposal {
    /// What it is asked for by: the same as long as it is the same change.
    pub id: String,
    /// What it is.
    pub what: ProposedChange,
}

/// What is proposed, and by which figures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ProposedChange {
    /// A skill takes other minutes.
    Minutes {
        /// Which.
        skill: SkillId,
        /// Its name.
        name: String,
        /// Minutes to brief and show it, as planned.
        setup_now: u16,
        /// And as proposed.
        setup: u16,
        /// Minutes a turn, as planned.
        turn_now: u16,
        /// And as proposed.
        turn: u16,
        /// Lines that were timed.
        lines: u32,
        /// The middle one took so many hundredths of what is planned.
        percent: u32,
        /// With 95 % confidence from here,
        low: u32,
        /// to here.
        high: u32,
    },
    /// Two neighbours of a run list change places.
    Order {
        /// Of which block.
        block: BlockId,
        /// Its title.
        title: String,
        /// What goes first.
        skill: SkillId,
        /// Its name.
        name: String,
        /// What it goes before.
        before: SkillId,
        /// Its name.
        before_name: String,
        /// It was run first so many times,
        turned: u32,
        /// of those in which one person ran both.
        of: u32,
        /// With 95 % confidence the share lies from so many hundredths,
        low: u32,
        /// to so many (Wilson's interval).
        high: u32,
    },
}

impl SeasonProposal {
    /// The change itself.
    pub fn change(&self) -> Change {
        match &self.what {
            ProposedChange::Minutes {
                skill, setup, turn, ..
            } => Change::Minutes {
                skill: skill.clone(),
                setup: *setup,
                turn: *turn,
            },
            ProposedChange::Order {
                block,
                skill,
                before,
                ..
            } => Change::Order {
                block: block.clone(),
                skill: skill.clone(),
                before: before.clone(),
            },
        }
    }
}

/// Everything that is proposed: minutes in outline order, then orders block by block.
pub(super) fn rows(outline: &Outline, minutes: &[MinutesRow], told: &Told) -> Vec<SeasonProposal> {
    let mut rows: Vec<SeasonProposal> = minutes
        .iter()
        .filter_map(|row| other_minutes(outline.skill(&row.skill)?, row))
        .collect();
    for block in &outline.blocks {
        rows.extend(other_order(outline, block, &told.order));
    }
    // What is sound now stays so; of an outline that is unsound nothing is proposed.
    rows.retain(|row| changed(outline, &[row.change()]).faults().is_empty());
    rows
}

fn other_minutes(skill: &Skill, row: &MinutesRow) -> Option<SeasonProposal> {
    if (row.low..=row.high).contains(&100) {
        return None;
    }
    let Change::Minutes { setup, turn, .. } = fitted(skill, row.percent) else {
        return None;
    };
    let (setup_now, turn_now) = (skill.setup_minutes(), skill.turn_minutes());
    if (setup, turn) == (setup_now, turn_now) {
        return None;
    }
    Some(SeasonProposal {
        id: format!("minutes:{}", skill.id),
        what: ProposedChange::Minutes {
            skill: skill.id.clone(),
            name: skill.name.clone(),
            setup_now,
            setup,
            turn_now,
            turn,
            lines: row.lines,
            percent: row.percent,
            low: row.low,
            high: row.high,
        },
    })
}

/// Neighbours that are run the other way round; none that has just changed places.
fn other_order(outline: &Outline, block: &Block, order: &[AsRun]) -> Vec<SeasonProposal> {
    let here: Vec<&AsRun> = order.iter().filter(|one| one.block == block.id).collect();
    let mut rows: Vec<SeasonProposal> = Vec::new();
    let mut moved: Option<&SkillId> = None;
    for pair in block.run_list.windows(2) {
        let [first, then] = pair else { continue };
        if moved == Some(first) || !may_swap(outline, first, then) {
            continue;
        }
        let place = |one: &AsRun, id: &SkillId| one.skills.iter().position(|skill| skill == id);
        let both: Vec<bool> = here
            .iter()
            .filter_map(|one| Some(place(one, then)? < place(one, first)?))
            .collect();
        let (of, turned) = (
            count(both.len()),
            count(both.iter().filter(|turned| **turned).count()),
        );
        let Ok(share) = share_met(turned, of, Level::NinetyFive) else {
            continue;
        };
        if of < LEAST || share.interval.low.0 <= 0.5 {
            continue;
        }
        let name = |id: &SkillId| outline.skill(id).map(|skill| skill.name.clone());
        let (Some(name), Some(before_name)) = (name(then), name(first)) else {
            continue;
        };
        moved = Some(then);
        rows.push(SeasonProposal {
            id: format!("order:{}:{then}", block.id),
            what: ProposedChange::Order {
                block: block.id.clone(),
                title: block.title.clone(),
                skill: then.clone(),
                name,
                before: first.clone(),
                before_name,
                turned,
                of,
                low: down(share.interval.low.0),
                high: up(share.interval.high.0),
            },
        });
    }
    rows
}
