//! The student's page: what one student takes home, as facts. What is met and what is open,
//! the next session and what to bring, the own dives, and from when one may fly. It names
//! nobody but who logged a dive, says nothing of what is to be expected, and clears nobody.

mod html;
mod log;
pub(super) use html::escaped;
pub(crate) mod said;

use chrono::{DateTime, FixedOffset};

use super::record::{Record, RecordState, SkillLine};
use super::source::{Signer, Source};
use crate::course::{DiveLog, EntryId, SessionId, Setting, StudentId};
use crate::ledger::{Fingerprint, State};
use crate::plan::{Gap, Going, Missing, before_session};
use crate::standing::CellState;
use crate::view::FlyFrom;

/// What one student takes home.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StudentPage {
    /// Whose.
    pub student: StudentId,
    /// The name; `None` where this device has no details.
    pub name: Option<String>,
    /// The shop.
    pub shop: Option<String>,
    /// The course.
    pub course: Option<String>,
    /// Whether it is completed and nothing is missing.
    pub completed: bool,
    /// Skills that are met, or that need not be shown, in the outline's order.
    pub met: Vec<PageSkill>,
    /// Required skills that are open, in the outline's order.
    pub open: Vec<PageSkill>,
    /// What else is missing before completion: forms, checks, dives.
    pub missing: Vec<Gap>,
    /// The next session; `None` where none is planned for the student.
    pub next: Option<NextSession>,
    /// The dives of the course, by time.
    pub dives: Vec<PageDive>,
    /// Those that the student made by themselves and brought in from a log of theirs, by time.
    pub own_dives: Vec<PageDive>,
    /// From when one may fly after them; `None` where that is over, or no dive says anything.
    pub fly_from: Option<FlyFrom>,
    /// Of the whole course, as a printed record has it.
    pub fingerprint: Fingerprint,
    /// Of the entries about this student.
    pub own: Fingerprint,
    /// How many these are.
    pub own_entries: usize,
    /// The state of the course at this moment.
    pub state: State,
    /// The moment of writing.
    pub now: DateTime<FixedOffset>,
}

/// A skill on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PageSkill {
    /// Its name.
    pub name: String,
    /// What must be shown.
    pub says: String,
    /// How it stands.
    pub state: CellState,
    /// Met, and a later try was not.
    pub slipped: bool,
    /// Met so often.
    pub met: u8,
    /// Of so many.
    pub of: u8,
}

/// The next session of the student.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NextSession {
    /// Which.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// Where.
    pub site: String,
    /// In which setting.
    pub setting: Setting,
    /// When it begins.
    pub starts: DateTime<FixedOffset>,
    /// How long it is planned, in minutes.
    pub minutes: u16,
    /// What to bring, in words.
    pub bring: Option<String>,
    /// Forms and checks that are missing before it.
    pub missing: Vec<Gap>,
}

/// One dive of the student.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PageDive {
    /// Its entry.
    pub entry: EntryId,
    /// Where, in words.
    pub site: Option<String>,
    /// Its number among the dives of the course; `None` for one that is none of them.
    pub number: Option<usize>,
    /// The dive.
    pub log: DiveLog,
    /// Who logged it, or took it in from the student's log.
    pub by: Signer,
    /// When.
    pub at: DateTime<FixedOffset>,
}

impl StudentPage {
    /// A student's page, as it stands. `fly_from` is worked out over every course in which
    /// the student dived, so whoever holds them brings it.
    pub fn of(source: &Source<'_>, student: StudentId, fly_from: Option<FlyFrom>) -> Self {
        let record = Record::of(source, student);
        let completed = record.is_completed();
        let done = |line: &&SkillLine| {
            matches!(line.state, CellState::Met | CellState::Exempt) && !line.slipped_since
        };
        let met = record.skills.iter().filter(done).map(skill).collect();
        let open = record.skills.iter();
        let open = open.filter(|line| line.required && !done(line));
        let tally = source.course.tally();
        let dives = record.dives.iter().filter_map(|line| {
            Some(PageDive {
                entry: line.entry,
                site: line.at(),
                number: line.number,
                log: line.log.clone(),
                by: line.by.clone(),
                at: tally.get(&line.entry)?.entry.at,
            })
        });
        let logged = source.course.own_dives(&student).into_iter();
        let own_dives = logged.map(|(one, own)| PageDive {
            entry: one.entry.id,
            site: own.site.clone(),
            number: None,
            log: own.log.clone(),
            by: source.signer(one),
            at: one.entry.at,
        });
        Self {
            student,
            completed,
            met,
            open: open.map(skill).collect(),
            missing: record.gaps.iter().filter(own).cloned().collect(),
            next: match record.state {
                RecordState::Open => next(source, student),
                RecordState::Ended { .. } => None,
            },
            dives: dives.collect(),
            own_dives: own_dives.collect(),
            fly_from: fly_from.filter(|fly| fly.longer || fly.at.at > source.now),
            name: record.name,
            shop: record.shop,
            course: record.course,
            fingerprint: record.proof.fingerprint,
            own: record.proof.own,
            own_entries: record.proof.own_entries,
            state: record.proof.state,
            now: source.now,
        }
    }
}

fn skill(line: &SkillLine) -> PageSkill {
    PageSkill {
        name: line.name.clone(),
        says: line.requirement.clone(),
        // That two people saw it differently is theirs to settle.
        state: match line.state {
            CellState::TwoViews | CellState::Trying => CellState::Trying,
            state @ (CellState::Open | CellState::Shown | CellState::Met | CellState::Exempt) => {
                state
            }
        },
        slipped: line.slipped_since,
        met: line.met,
        of: line.of,
    }
}

/// What a student can do something about. Skills stand in a list of their own; rules that
/// nobody confirmed are the school's.
fn own(gap: &&Gap) -> bool {
    matches!(
        gap.what,
        Missing::Clearance(_)
            | Missing::NotCleared(..)
            | Missing::Expired(..)
            | Missing::Dives { .. }
            | Missing::Age
    )
}

/// The first session of the student that is not over.
fn next(source: &Source<'_>, student: StudentId) -> Option<NextSession> {
    let sessions = source.course.sessions().iter();
    let ahead = sessions.filter(|(_, now)| {
        let ends = now.plan.starts + chrono::TimeDelta::minutes(now.plan.minutes.into());
        now.cancelled.is_none() && ends > source.now && now.plan.students.contains(&student)
    });
    let (id, now) = ahead.min_by_key(|(id, now)| (now.plan.starts, **id))?;
    let plan = &now.plan;
    let age = source.age(&student);
    let going = Going::of(plan, Some(*id));
    let gaps = before_session(source.shop, source.course, &student, &going, age);
    Some(NextSession {
        session: *id,
        title: plan.title.clone(),
        site: plan.site.clone(),
        setting: plan.setting,
        starts: plan.starts,
        minutes: plan.minutes,
        bring: plan.bring.clone(),
        missing: gaps.iter().filter(own).cloned().collect(),
    })
}
