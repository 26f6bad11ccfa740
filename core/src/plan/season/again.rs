//! Again: what is held when a skill that was met is tried again on another day.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use crate::course::{SessionId, Setting, SkillId, StudentId};
use crate::entry::{Body, Kind, Mark};
use crate::standing::CourseStanding;

/// The first session after one in which a student met a skill, where it was tried again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TriedAgain {
    /// Which skill.
    pub skill: SkillId,
    /// Where it was tried again.
    pub setting: Setting,
    /// Days between the sessions, as they were planned: a wrong clock moves nothing.
    pub days: u32,
    /// Whether every try of that session was met.
    pub held: bool,
}

/// A student's tries of a skill in one session.
struct Tried {
    setting: Setting,
    met: bool,
    missed: bool,
}

/// By when it was planned.
type Session = (DateTime<FixedOffset>, SessionId);

/// Every skill that was tried again, once for each time it had been met before.
pub(super) fn tried_again(course: &CourseStanding) -> Vec<TriedAgain> {
    let mut all = Vec::new();
    for ((_, skill), sessions) in tried(course) {
        let mut met: Option<DateTime<FixedOffset>> = None;
        for ((starts, _), one) in sessions {
            if let Some(before) = met {
                let days = (starts.date_naive() - before.date_naive()).num_days();
                all.push(TriedAgain {
                    skill: skill.clone(),
                    setting: one.setting,
                    days: u32::try_from(days).unwrap_or(0),
                    held: !one.missed,
                });
            }
            // Until it is met once more a miss is no second slip.
            met = one.met.then_some(starts);
        }
    }
    all
}

fn tried(course: &CourseStanding) -> BTreeMap<(StudentId, SkillId), BTreeMap<Session, Tried>> {
    let mut all: BTreeMap<(StudentId, SkillId), BTreeMap<Session, Tried>> = BTreeMap::new();
    for one in course.of_kind(Kind::Attempt) {
        let Body::Attempt(attempt) = &one.entry.body else {
            continue;
        };
        let session = attempt.session;
        let held = session.and_then(|id| Some((id, course.sessions().get(&id)?)));
        let (Some((session, now)), true) = (held, attempt.mark != Mark::SatOut) else {
            continue;
        };
        let tried = all
            .entry((attempt.student, attempt.skill.clone()))
            .or_default()
            .entry((now.plan.starts, session))
            .or_insert(Tried {
                setting: now.plan.setting,
                met: false,
                missed: false,
            });
        if attempt.mark == Mark::Met {
            tried.met = true;
        } else {
            tried.missed = true;
        }
    }
    all
}
