//! Again: which skills are held when they are tried on another day, where, and after how long.

use super::{down, up};
use crate::calc::evidence::{Level, share_met};
use crate::course::{Outline, Setting, SkillId};
use crate::plan::season::{LEAST, Told, TriedAgain};
use crate::view::reader::count;

/// Of so many that were tried again, how many were held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HeldShare {
    /// Held: every try of that session was met.
    pub held: u32,
    /// Of so many.
    pub of: u32,
    /// With 95 % confidence the share lies from so many hundredths,
    pub low: u32,
    /// to so many (Wilson's interval).
    pub high: u32,
}

/// How long after it had been met. The bounds are our own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum AgainAfter {
    /// Up to seven days.
    Week,
    /// Up to thirty.
    Month,
    /// Later.
    Longer,
}

impl AgainAfter {
    const ALL: [Self; 3] = [Self::Week, Self::Month, Self::Longer];

    const fn of(days: u32) -> Self {
        match days {
            0..=7 => Self::Week,
            8..=30 => Self::Month,
            _ => Self::Longer,
        }
    }
}

/// One skill, tried again in one kind of place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AgainPlace {
    /// Where.
    pub setting: Setting,
    /// How it went.
    pub share: HeldShare,
}

/// One skill, tried again after so long.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AgainSpan {
    /// After how long.
    pub after: AgainAfter,
    /// How it went.
    pub share: HeldShare,
}

/// One skill, tried again on another day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AgainRow {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// In all.
    pub all: HeldShare,
    /// By where, from dry to deep, as far as there are enough.
    pub places: Vec<AgainPlace>,
    /// By how long after, as far as there are enough.
    pub spans: Vec<AgainSpan>,
}

/// The skills that were tried again often enough, and how many too seldom.
pub(super) fn rows(outline: &Outline, told: &Told) -> (Vec<AgainRow>, u32) {
    let (mut rows, mut few) = (Vec::new(), 0);
    for skill in &outline.skills {
        let tried = told.again.iter();
        let tried: Vec<&TriedAgain> = tried.filter(|one| one.skill == skill.id).collect();
        if tried.is_empty() {
            continue;
        }
        let Some(all) = share(&tried, |_| true) else {
            few += 1;
            continue;
        };
        let place = |setting: &Setting| {
            let share = share(&tried, |one| one.setting == *setting)?;
            let setting = *setting;
            Some(AgainPlace { setting, share })
        };
        let span = |after: &AgainAfter| {
            let share = share(&tried, |one| AgainAfter::of(one.days) == *after)?;
            let after = *after;
            Some(AgainSpan { after, share })
        };
        rows.push(AgainRow {
            skill: skill.id.clone(),
            name: skill.name.clone(),
            all,
            places: Setting::ALL.iter().filter_map(place).collect(),
            spans: AgainAfter::ALL.iter().filter_map(span).collect(),
        });
    }
    (rows, few)
}

/// How many of those that count were held; `None` where there are too few.
fn share(tried: &[&TriedAgain], counts: impl Fn(&TriedAgain) -> bool) -> Option<HeldShare> {
    let counted: Vec<&&TriedAgain> = tried.iter().filter(|one| counts(one)).collect();
    let of = count(counted.len());
    if of < LEAST {
        return None;
    }
    let held = count(counted.iter().filter(|one| one.held).count());
    let share = share_met(held, of, Level::NinetyFive).ok()?;
    Some(HeldShare {
        held,
        of,
        low: down(share.interval.low.0),
        high: up(share.interval.high.0),
    })
}
