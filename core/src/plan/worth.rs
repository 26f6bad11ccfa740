//! Worth: what a try is worth to the end of a course, and how likely it is met before the
//! evening is over. The weights are our own choice, tried on seasons that never were (see
//! D106), with no published source.

use std::collections::BTreeMap;

use super::need::{sessions_left, still_needs};
use crate::course::{Outline, RunForm, Skill, SkillId, StudentId};
use crate::standing::CourseStanding;

/// Worth of a try that is needed, before all else.
const NEEDED: u64 = 100;
/// Of one that completion does not ask for.
const OPTIONAL: u64 = 10;
/// More for each session that the longest way from a skill to the end still takes beyond
/// the one in which it is first tried.
const FURTHER: u64 = 200;
/// More where it is one of the last few.
const FINISHING: u64 = 40;
/// How few are the last few.
pub(super) const LAST_FEW: usize = 3;
/// A thousand thousandths.
const WHOLE: u64 = 1_000;
/// A session is no longer a way than so many more, in thousandths: what nearly never is met
/// must not outweigh all the rest.
const LONGEST: u64 = 40 * WHOLE;

/// A try by one student, as far as its worth goes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Try {
    /// Completion asks for the skill.
    pub(super) required: bool,
    /// How likely it is met, of a thousand.
    pub(super) likely: u16,
    /// Sessions that the longest way to the end takes beyond the first, in thousandths.
    pub(super) way: u64,
    /// The student has few skills left.
    pub(super) few: bool,
    /// Whoever misses goes again the same day.
    pub(super) again: bool,
}

impl Try {
    /// What it is worth, before what a person asked for.
    pub(super) fn worth(self) -> u32 {
        let base = if self.required { NEEDED } else { OPTIONAL };
        let last = if self.few && self.required {
            FINISHING
        } else {
            0
        };
        let whole = base + FURTHER * self.way / WHOLE + last;
        let likely = if self.again {
            with_second(self.likely.into())
        } else {
            self.likely.into()
        };
        u32::try_from((whole * likely).div_ceil(WHOLE)).unwrap_or(u32::MAX)
    }
}

/// How likely a try or a second one after it is met, in thousandths.
fn with_second(likely: u64) -> u64 {
    likely + WHOLE.saturating_sub(likely) * likely / WHOLE
}

/// Whether those who miss a skill are kept a second turn: not where all do it at once, which
/// would be a second round for everyone, and not where each turn is another ascent.
pub(super) fn goes_again(skill: &Skill) -> bool {
    skill.run.form != RunForm::Together && skill.run.ascents == 0
}

/// By required skill that a student still needs, the sessions that the longest way from it
/// to the end takes beyond the one in which it is first tried, in thousandths.
///
/// A skill alone takes as many as it must still be met in, over how likely one session
/// brings it, less one; what builds on it may follow in the same session and adds its own.
pub(super) fn longest_ways(
    course: &CourseStanding,
    outline: &Outline,
    student: &StudentId,
    chance: &dyn Fn(&StudentId, &SkillId) -> u16,
) -> BTreeMap<SkillId, u64> {
    let required = outline.skills.iter().filter(|one| one.required);
    let needed: Vec<(&Skill, u64)> = required
        .filter(|one| still_needs(course, student, one))
        .map(|skill| {
            let likely = with_second(chance(student, &skill.id).clamp(50, 1_000).into());
            let sessions = u64::from(sessions_left(course, student, skill)) * WHOLE;
            (skill, (sessions * WHOLE / likely).saturating_sub(WHOLE))
        })
        .collect();
    let mut ways: BTreeMap<SkillId, u64> = BTreeMap::new();
    // No way is longer than there are skills; a ring, which is refused before, would end here.
    for _ in 0..needed.len() {
        let mut grown = false;
        for (skill, own) in needed.iter().rev() {
            let after = needed
                .iter()
                .filter(|(one, _)| one.needs.contains(&skill.id));
            let after = after.filter_map(|(one, _)| ways.get(&one.id)).max();
            let way = (own + after.copied().unwrap_or(0)).min(LONGEST);
            grown |= ways.insert(skill.id.clone(), way) != Some(way);
        }
        if !grown {
            break;
        }
    }
    ways
}
