//! Minutes: how long a skill's lines took beside how long the outline plans them.

use crate::calc::evidence::{Level, middle};
use crate::course::{Outline, Skill, SkillId};
use crate::plan::season::{LEAST, Ran, Told};
use crate::view::reader::count;

/// Lines of a skill that are looked at: the latest courses' first.
const MOST: usize = 1_000;

/// One skill's lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MinutesRow {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// How many lines were timed.
    pub lines: u32,
    /// Minutes that the outline plans for them, as many students as had a try.
    pub planned: u32,
    /// Minutes that they took, rounded to the nearest.
    pub taken: u32,
    /// The middle line took so many hundredths of what is planned for it.
    pub percent: u32,
    /// With 95 % confidence the middle lies from here,
    pub low: u32,
    /// to here.
    pub high: u32,
}

/// The skills that enough lines were timed of, and how many had too few.
pub(super) fn rows(outline: &Outline, told: &Told) -> (Vec<MinutesRow>, u32) {
    let (mut rows, mut few) = (Vec::new(), 0);
    for skill in &outline.skills {
        let lines = told.ran.iter();
        let lines: Vec<&Ran> = lines
            .filter(|ran| ran.skill == skill.id && planned(skill, ran) > 0)
            .take(MOST)
            .collect();
        if lines.is_empty() {
            continue;
        }
        match row(skill, &lines) {
            Some(row) => rows.push(row),
            None => few += 1,
        }
    }
    (rows, few)
}

fn planned(skill: &Skill, ran: &Ran) -> u32 {
    u32::from(skill.run_minutes(ran.students))
}

fn row(skill: &Skill, lines: &[&Ran]) -> Option<MinutesRow> {
    if count(lines.len()) < LEAST {
        return None;
    }
    let percents: Vec<u32> = lines
        .iter()
        .map(|ran| {
            let seconds = planned(skill, ran).saturating_mul(60).max(1);
            ran.seconds.saturating_mul(100).saturating_add(seconds / 2) / seconds
        })
        .collect();
    let middle = middle(&percents, Level::NinetyFive).ok()?;
    let taken = lines
        .iter()
        .fold(0_u32, |all, ran| all.saturating_add(ran.seconds));
    Some(MinutesRow {
        skill: skill.id.clone(),
        name: skill.name.clone(),
        lines: middle.of,
        planned: lines
            .iter()
            .fold(0_u32, |all, ran| all.saturating_add(planned(skill, ran))),
        taken: taken.saturating_add(30) / 60,
        percent: middle.middle,
        low: middle.low,
        high: middle.high,
    })
}
