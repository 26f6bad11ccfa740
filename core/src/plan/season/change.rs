//! Change: an outline with other minutes or another order. Whoever asks for it decides; the
//! outline that comes of it is checked and recorded like any other.

use crate::course::{BlockId, Outline, Skill, SkillId};

/// One change to an outline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// A skill takes other minutes.
    Minutes {
        /// Which.
        skill: SkillId,
        /// Minutes to brief and show it.
        setup: u16,
        /// Minutes a turn.
        turn: u16,
    },
    /// Of two neighbours on a run list the second is run first.
    Order {
        /// In which block.
        block: BlockId,
        /// The one that goes first.
        skill: SkillId,
        /// The one that it changes places with.
        before: SkillId,
    },
}

/// Minutes that come to so many of a hundred of what a skill has, to the nearest; a turn takes
/// one at least.
pub fn fitted(skill: &Skill, percent: u32) -> Change {
    let times = |minutes: u16| {
        let scaled = u32::from(minutes)
            .saturating_mul(percent)
            .saturating_add(50)
            / 100;
        u16::try_from(scaled).unwrap_or(u16::MAX)
    };
    Change::Minutes {
        skill: skill.id.clone(),
        setup: times(skill.setup_minutes()),
        turn: times(skill.turn_minutes()).max(1),
    }
}

/// Whether nothing in the outline wants the first of two skills run before the second.
pub fn may_swap(outline: &Outline, first: &SkillId, then: &SkillId) -> bool {
    let (Some(one), Some(other)) = (outline.skill(first), outline.skill(then)) else {
        return false;
    };
    !other.needs.contains(first)
        && !other.run.before.contains(first)
        && one.run.closes.as_ref() != Some(then)
}

/// The outline with these changes, an edition later. A change that does not fit it, such as of
/// two skills that are no neighbours any more, changes nothing.
pub fn changed(outline: &Outline, changes: &[Change]) -> Outline {
    let mut next = outline.clone();
    for change in changes {
        match change {
            Change::Minutes { skill, setup, turn } => {
                let found = next.skills.iter_mut().find(|one| one.id == *skill);
                if let Some(found) = found {
                    found.run.setup = Some(*setup);
                    found.run.turn = Some(*turn);
                }
            }
            Change::Order {
                block,
                skill,
                before,
            } => {
                let found = next.blocks.iter_mut().find(|one| one.id == *block);
                if let Some(found) = found {
                    swap(&mut found.run_list, before, skill);
                }
            }
        }
    }
    next.edition = next.edition.saturating_add(1);
    next
}

fn swap(list: &mut [SkillId], first: &SkillId, then: &SkillId) {
    let place = list
        .windows(2)
        .position(|pair| pair.first() == Some(first) && pair.last() == Some(then));
    if let Some(place) = place {
        list.swap(place, place + 1);
    }
}
