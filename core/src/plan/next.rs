//! Next session: who is run through what by whom, so that most comes of the minutes there
//! are. A person pins, leaves out, shortens; the rest is solved anew. Nothing here decides.
//!
//! The worth of a try looks past tonight: how likely it is met, how many sessions the longest
//! way from it to the end still takes, and who is close to the end. In every line some turns
//! are kept for those who miss, who go again the same day; what is left of a session that is
//! being held is planned in the same way. A hard limit is never traded for worth.

use std::collections::BTreeSet;

use super::gather::Gathered;
use super::lay;
use crate::course::{Role, SessionId, Setting, SkillId, StaffId, StudentId};
use crate::standing::CourseStanding;

/// A session to be filled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NextAsked {
    /// Where.
    pub setting: Setting,
    /// How long.
    pub minutes: u16,
    /// Who comes, in the order in which equals have their turn.
    pub students: Vec<StudentId>,
    /// Who runs it.
    pub staff: Vec<(StaffId, Role)>,
    /// Of the students, those who are minors: each is paired with an adult where one is there.
    pub minors: BTreeSet<StudentId>,
    /// Skills that a person wants run whatever they are worth.
    pub pinned: BTreeSet<SkillId>,
    /// Skills that a person wants left for another day.
    pub left_out: BTreeSet<SkillId>,
    /// The session that is being held, where what is left of it is to be filled: what was
    /// tried in it has been shown and is not briefed again.
    pub running: Option<SessionId>,
}

/// A proposed session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NextPlan {
    /// What each station runs, instructors first.
    pub stations: Vec<Station>,
    /// Every skill that is run, in running order: the run list of a session.
    pub run_list: Vec<SkillId>,
    /// Who is not placed at any station: no room, or nothing that they need fits.
    pub unplaced: Vec<StudentId>,
    /// What is open too and is not run, or not with everyone, and why.
    pub left_over: Vec<LeftOver>,
    /// Minutes from the start to the end of the longest station.
    pub minutes: u16,
    /// How far from the best list this can be at most, in tenths of a percent; nought where
    /// it is proven to be the best.
    pub gap_per_mille: u64,
}

/// What one member of staff runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Station {
    /// Who.
    pub staff: StaffId,
    /// As what.
    pub role: Role,
    /// What, in order.
    pub runs: Vec<StationRun>,
    /// Buddies among its students; three where one would be alone.
    pub buddies: Vec<Vec<StudentId>>,
    /// Minutes left over at the end.
    pub spare: u16,
}

/// One skill at a station.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StationRun {
    /// Which.
    pub skill: SkillId,
    /// Minutes after the start of the session at which it begins.
    pub starts: u16,
    /// Minutes it takes, with the turns that are kept.
    pub minutes: u16,
    /// Of its turns, those that are kept for whoever misses the first.
    pub kept: u16,
    /// Who tries it; nobody where it is done by all as a routine, unjudged.
    pub students: Vec<StudentId>,
    /// Why it was chosen.
    pub why: Why,
}

/// Why a skill was chosen, as figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Why {
    /// Students of this session who need it here.
    pub needed_by: u16,
    /// Later skills that wait for it.
    pub behind: u16,
    /// Students for whom it is among the last that are open.
    pub finishing: u16,
    /// Students who met it once and have not held it since.
    pub slipped: u16,
    /// A person asked for it.
    pub pinned: bool,
    /// Nobody needs it: another skill of the list does.
    pub routine: bool,
}

/// A skill that is open and not run, or not with everyone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOver {
    /// Which.
    pub skill: SkillId,
    /// Who would still need it here.
    pub students: Vec<StudentId>,
    /// Why not.
    pub because: Because,
}

/// Why a skill was left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Because {
    /// So many minutes short, for the first turn.
    Minutes(u16),
    /// This comes first, and is still open.
    First(SkillId),
    /// Only an instructor may run it, and none is there.
    Instructor,
    /// Nobody has an ascent left for it.
    Ascents,
    /// A person asked for that.
    Asked,
    /// It would have fitted; something else is worth more.
    Worth,
}

/// What is missing so that a session could be planned.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Lacking {
    /// The course has no outline.
    #[error("the course has no outline")]
    Outline,
    /// Nobody comes.
    #[error("the session has no students")]
    Students,
    /// Nobody who may run anything.
    #[error("the session has no staff who may run it")]
    Staff,
    /// It has no length.
    #[error("the session has no minutes")]
    Minutes,
    /// Skills that need each other in a ring.
    #[error("the skill {0} needs itself, through what it needs")]
    Ring(SkillId),
}

/// The best session for those who come, as the course stands.
///
/// `chance` says how likely a student meets a skill at the next try, of a thousand.
///
/// # Errors
/// [`Lacking`]: what is missing.
pub fn next_session(
    course: &CourseStanding,
    asked: &NextAsked,
    chance: &dyn Fn(&StudentId, &SkillId) -> u16,
) -> Result<NextPlan, Lacking> {
    let gathered = Gathered::of(course, asked, chance)?;
    let (problem, answer) = gathered.solve();
    Ok(lay::out(&gathered, &problem, &answer))
}
