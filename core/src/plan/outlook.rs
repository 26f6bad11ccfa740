//! Outlook: a course as it stands, rolled to its end: how many more sessions for each
//! student and for all, in plain spans. Never a promise, and never shown to a student.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use super::counting::counting_dives;
use super::expect::{
    Course, Evidence, Expected, Held, Load, Prior, Spread, Tally, Task, bit, expect,
};
use super::gather::behind;
use super::need::{may_go_on, still_needs};
use super::next::Lacking;
use crate::course::{Outline, Role, Rule, RunBy, Setting, Skill, SkillId, StudentId, suits};
use crate::entry::Who;
use crate::standing::{CellState, CourseStanding};

/// Kinds of session that are rolled; the last is that of dives.
const KINDS: [Setting; 3] = [Setting::Classroom, Setting::Confined, Setting::Open];
/// How often a course is rolled.
pub const WAYS: u32 = 2_000;

/// What is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlookAsked {
    /// Whose end.
    pub students: Vec<StudentId>,
    /// Now: sessions after it are those that are planned.
    pub now: DateTime<FixedOffset>,
    /// The school's free slots, when and for what: a session is held in each.
    pub free: Vec<(DateTime<FixedOffset>, Setting)>,
    /// Where every skill's share begins.
    pub prior: Prior,
    /// How often it is rolled.
    pub ways: u32,
    /// What students of other courses have shown, a student a row: it moves every skill's
    /// share, as far as it says something still.
    pub history: Vec<Tried>,
}

/// One student's tries, by skill, without saying whose they are.
pub type Tried = BTreeMap<SkillId, Tally>;

/// What each student of a course has tried, as the history of another.
pub fn history(course: &CourseStanding) -> Vec<Tried> {
    let mut students: BTreeMap<StudentId, Tried> = BTreeMap::new();
    for key in course.cells().keys() {
        let tally = tally(course, key);
        if tally != Tally::default() {
            let tried = students.entry(key.0).or_default();
            tried.insert(key.1.clone(), tally);
        }
    }
    students.into_values().collect()
}

/// What may come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outlook {
    /// Sessions until each student has ended, in the order asked.
    pub students: Vec<Spread>,
    /// Until all have.
    pub class: Spread,
    /// Of the ways, how many did not end within the most sessions looked at.
    pub unended: u32,
    /// Starts of the sessions that are planned and of the free slots, in order: the n-th is
    /// when n sessions end.
    pub dates: Vec<DateTime<FixedOffset>>,
    /// How many of these are planned.
    pub planned: u32,
    /// Judged tries of this course that it rests on.
    pub tries: u32,
    /// Those of other courses.
    pub elsewhere: u32,
}

/// A course in numbers, to be rolled without the course at hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlookQuestion {
    pub(super) evidence: Evidence,
    pub(super) rolled: Course,
    dates: Vec<DateTime<FixedOffset>>,
    planned: u32,
    seed: u64,
    ways: u32,
    /// Judged tries of this course, and those of others.
    tries: (u32, u32),
}

impl OutlookQuestion {
    /// Rolls it; `None` where `go_on`, which is asked from way to way, said to stop.
    pub fn answer(&self, go_on: &mut dyn FnMut() -> bool) -> Option<Outlook> {
        let Expected {
            students,
            class,
            unended,
        } = expect(&self.evidence, &self.rolled, self.ways, self.seed, go_on)?;
        let (tries, elsewhere) = self.tries;
        Some(Outlook {
            students,
            class,
            unended,
            dates: self.dates.clone(),
            planned: self.planned,
            tries,
            elsewhere,
        })
    }
}

/// A course and what is asked of it, in numbers.
///
/// # Errors
/// [`Lacking`]: no outline, or nobody.
pub fn outlook(course: &CourseStanding, asked: &OutlookAsked) -> Result<OutlookQuestion, Lacking> {
    let outline = course.outline().ok_or(Lacking::Outline)?;
    if asked.students.is_empty() {
        return Err(Lacking::Students);
    }
    let mut evidence = evidence(course, outline, asked);
    let here = judged(&evidence.tries);
    let others = history_rows(outline, &asked.history);
    let tries = (here, judged(&others));
    evidence.tries.extend(others);
    let mut planned: Vec<(DateTime<FixedOffset>, usize)> = course
        .sessions()
        .values()
        .filter(|session| session.cancelled.is_none() && session.plan.starts > asked.now)
        .filter_map(|session| Some((session.plan.starts, kind(session.plan.setting)?)))
        .collect();
    let many = u32::try_from(planned.len()).unwrap_or(u32::MAX);
    let free = asked.free.iter();
    planned.extend(free.filter_map(|(at, setting)| Some((*at, kind(*setting)?))));
    planned.sort_unstable();
    let rolled = Course {
        tasks: outline
            .skills
            .iter()
            .filter(|one| one.required)
            .map(|skill| task(outline, skill))
            .collect(),
        held: held(course, outline, asked),
        minutes: KINDS
            .iter()
            .map(|setting| length(course, outline, *setting))
            .collect(),
        planned: planned.iter().map(|(_, kind)| *kind).collect(),
        stations: staff(course, Role::Instructor).max(1),
        helpers: staff(course, Role::Assistant),
    };
    Ok(OutlookQuestion {
        evidence,
        rolled,
        dates: planned.into_iter().map(|(at, _)| at).collect(),
        planned: many,
        seed: seed(course),
        ways: asked.ways,
        tries,
    })
}

/// How many of a role work on a course.
fn staff(course: &CourseStanding, wanted: Role) -> usize {
    let staff = course.staff();
    staff.values().filter(|role| **role == wanted).count()
}

/// How likely a student meets a skill at the next try, of a thousand, by the course's own
/// tries drawn toward the prior.
pub fn chances(
    course: &CourseStanding,
    students: &[StudentId],
    prior: Prior,
) -> BTreeMap<(StudentId, SkillId), u16> {
    let Some(outline) = course.outline() else {
        return BTreeMap::new();
    };
    let asked = OutlookAsked {
        students: students.to_vec(),
        now: DateTime::UNIX_EPOCH.fixed_offset(),
        free: Vec::new(),
        prior,
        ways: 0,
        history: Vec::new(),
    };
    let evidence = evidence(course, outline, &asked);
    let belief = super::expect::Belief::of(&evidence);
    let required: Vec<&Skill> = outline.skills.iter().filter(|one| one.required).collect();
    let mut all = BTreeMap::new();
    for (at, student) in students.iter().enumerate() {
        let chances = belief.chances(&evidence, at);
        for (skill, chance) in required.iter().zip(chances) {
            all.insert((*student, skill.id.clone()), per_mille(chance));
        }
    }
    all
}

/// A share of one in whole thousandths, rounded down.
fn per_mille(share: f64) -> u16 {
    let (mut low, mut high) = (0_u16, 1_001);
    while high - low > 1 {
        let middle = u16::midpoint(low, high);
        if f64::from(middle) <= share * 1_000.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// The same course has the same seed on every device.
fn seed(course: &CourseStanding) -> u64 {
    course
        .id()
        .bytes()
        .iter()
        .fold(0, |seed: u64, byte| seed.rotate_left(8) ^ u64::from(*byte))
}

fn kind(setting: Setting) -> Option<usize> {
    match setting {
        Setting::Classroom => Some(0),
        Setting::Surface | Setting::Confined => Some(1),
        Setting::Open => Some(2),
    }
}

fn places(skill: &Skill) -> u8 {
    let all = KINDS
        .iter()
        .enumerate()
        .filter(|(_, setting)| suits(skill, **setting));
    all.fold(0, |places, (kind, _)| places | bit(kind))
}

fn task(outline: &Outline, skill: &Skill) -> Task {
    let required: Vec<&Skill> = outline.skills.iter().filter(|one| one.required).collect();
    let at = |id: &SkillId| required.iter().position(|one| one.id == *id);
    Task {
        setup: skill.setup_minutes(),
        turn: skill.turn_minutes(),
        form: skill.run.form,
        needs: skill.needs.iter().filter_map(at).collect(),
        places: places(skill),
        weight: behind(outline, &skill.id).into(),
        helped: skill.run.by == RunBy::Assistant,
    }
}

/// A session of a kind: as the outline's are, or as the last was.
fn length(course: &CourseStanding, outline: &Outline, setting: Setting) -> u16 {
    let blocks = outline
        .blocks
        .iter()
        .filter(|block| block.setting == setting);
    let lengths: Vec<u32> = blocks.map(|block| block.minutes.into()).collect();
    let count = u32::try_from(lengths.len()).unwrap_or(u32::MAX);
    let mean = lengths.iter().sum::<u32>().checked_div(count);
    let last = course
        .sessions()
        .values()
        .filter(|one| one.plan.setting == setting);
    let last = last
        .max_by_key(|one| one.plan.starts)
        .map(|one| one.plan.minutes);
    mean.and_then(|mean| u16::try_from(mean).ok())
        .or(last)
        .unwrap_or(60)
}

fn evidence(course: &CourseStanding, outline: &Outline, asked: &OutlookAsked) -> Evidence {
    let required: Vec<&Skill> = outline.skills.iter().filter(|one| one.required).collect();
    // Students who have left or ended tell as much of a skill as those who go on.
    let others = course.students();
    let others = others
        .iter()
        .filter(|student| !asked.students.contains(student));
    let of = |student: &StudentId| {
        let tally = |skill: &&Skill| tally(course, &(*student, skill.id.clone()));
        required.iter().map(tally).collect()
    };
    Evidence {
        prior: asked.prior,
        tries: asked.students.iter().chain(others).map(of).collect(),
    }
}

/// A student's judged tries of a skill.
fn tally(course: &CourseStanding, key: &(StudentId, SkillId)) -> Tally {
    let cell = course.cells().get(key);
    let tries = cell.map_or(0, |cell| u32::from(cell.tries));
    if tries == 0 {
        return Tally::default();
    }
    let parts = course.parts(key);
    let met = parts.map_or(0, |parts| u32::from(parts.tries)).min(tries);
    Tally {
        met,
        missed: tries - met,
    }
}

/// What others have shown of the skills that this course asks for.
fn history_rows(outline: &Outline, history: &[Tried]) -> Vec<Vec<Tally>> {
    let required: Vec<&Skill> = outline.skills.iter().filter(|one| one.required).collect();
    let row = |tried: &Tried| {
        let of = |skill: &&Skill| tried.get(&skill.id).copied().unwrap_or_default();
        required.iter().map(of).collect()
    };
    history.iter().map(row).collect()
}

fn judged(tries: &[Vec<Tally>]) -> u32 {
    let all = tries.iter().flatten();
    all.fold(0, |sum: u32, one| {
        sum.saturating_add(one.met).saturating_add(one.missed)
    })
}

fn held(course: &CourseStanding, outline: &Outline, asked: &OutlookAsked) -> Held {
    let least = dives_needed(course);
    let of = |student: &StudentId| {
        let required = outline.skills.iter().filter(|one| one.required);
        required.map(|skill| load(course, student, skill)).collect()
    };
    let dives = |student: &StudentId| {
        let have = u32::try_from(counting_dives(course, &Who::Student(*student)).len())
            .unwrap_or(u32::MAX);
        least.saturating_sub(have)
    };
    Held {
        loads: asked.students.iter().map(of).collect(),
        dives: asked.students.iter().map(dives).collect(),
    }
}

fn dives_needed(course: &CourseStanding) -> u32 {
    let rules = course.rules();
    let least = rules.filter_map(|rule| {
        if let Rule::DivesNeeded { least } = rule.rule {
            Some(u32::from(least))
        } else {
            None
        }
    });
    least.max().unwrap_or(0)
}

/// What is left of a skill. A slip counts as one more session; so do differing marks.
fn load(course: &CourseStanding, student: &StudentId, skill: &Skill) -> Load {
    if !still_needs(course, student, skill) {
        return Load {
            once: true,
            ..Load::default()
        };
    }
    let key = (*student, skill.id.clone());
    let again = course
        .cells()
        .get(&key)
        .is_some_and(|cell| cell.slipped_since || cell.state == CellState::TwoViews);
    let parts = course.parts(&key);
    let (tries, sessions) = parts
        .as_ref()
        .map_or((0, 0), |one| (one.tries, one.sessions));
    let mut at = 0;
    let mut fixed: u8 = 0;
    for asked in &skill.demand.each_of {
        let met = parts
            .as_ref()
            .is_some_and(|one| one.settings.contains(asked));
        if *asked != Setting::Surface && !met {
            at |= kind(*asked).map_or(0, bit);
            fixed = fixed.saturating_add(1);
        }
    }
    let ways = skill.methods_asked().filter(|method| {
        parts
            .as_ref()
            .is_none_or(|one| !one.methods.contains(&method.id))
    });
    // Ways can be shown in one session; one try more at least.
    let ways = u8::from(ways.count() > 0);
    let times = skill.demand.times.saturating_sub(tries);
    let sessions = skill.demand.sessions.saturating_sub(sessions);
    let more = times
        .min(sessions)
        .max(sessions)
        .max(ways)
        .saturating_sub(fixed);
    let more = if at == 0 { more.max(1) } else { more };
    Load {
        at,
        more: more.max(u8::from(again)).into(),
        once: !again && may_go_on(course, student, &skill.id),
    }
}
