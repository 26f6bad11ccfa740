//! A diver's log, taken from a file: every dive that is not here yet, or none.

use chrono::TimeDelta;

use super::PaperError;
use crate::course::{CourseId, DiveLog, LedgerId, SessionId, StudentId, one_name};
use crate::desk::Desk;
use crate::desk::drafts::Drafts;
use crate::entry::{DiveLogged, OwnDive, Who};
use crate::paper::data::{Home, ReadDive, read_dive_log, uddf_dives};
use crate::standing::CourseStanding;

/// So long before a session begins and after it ends a dive may begin that is one of it: an
/// estimate of our own.
const AROUND: TimeDelta = TimeDelta::hours(1);

/// A dive of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DiveSeen {
    /// As it was read.
    pub dive: ReadDive,
    /// Whether the course has it already: the same diver, beginning and depth.
    pub here: bool,
}

/// A file of dives beside what the course has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LogSeen {
    /// The dives, in the order of the file.
    pub dives: Vec<DiveSeen>,
    /// How many of them are not here yet.
    pub new: usize,
    /// Whose log the file says it is, where that is not whom it is taken for.
    pub of_another: Option<String>,
    /// How many of those that are not here a student made while no session of the course was on
    /// for them: whether they are the course's or the student's own, only a person knows.
    pub doubtful: usize,
}

/// Whose dives a file is read for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Of {
    /// The course's.
    Course,
    /// The student's own, with the course's: a log that goes on has both.
    Student,
}

/// What became of a file of dives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct DivesTaken {
    /// Logged now.
    pub logged: usize,
    /// Left out, since they were here.
    pub left_out: usize,
}

impl Desk {
    /// The dives of a file, beside what the course has of this diver. Nothing is recorded. A
    /// time without an offset is taken to be of this device's place on that date.
    ///
    /// # Errors
    /// [`PaperError::Uddf`] names the first thing wrong with the file.
    pub fn look_at_dives(
        &self,
        course: &CourseId,
        who: &Who,
        bytes: &[u8],
    ) -> Result<LogSeen, PaperError> {
        self.log_seen(course, who, bytes, Of::Course)
    }

    fn log_seen(
        &self,
        course: &CourseId,
        who: &Who,
        bytes: &[u8],
        of: Of,
    ) -> Result<LogSeen, PaperError> {
        let papers = match who {
            Who::Student(student) => self.papers_of(course, student)?,
            Who::Staff(_) => self.papers_of_nobody(course)?,
        };
        let source = papers.source();
        let known = uddf_dives(&source, who).into_iter().map(|one| one.log);
        let mut known: Vec<DiveLog> = known.collect();
        if let (Of::Student, Who::Student(student)) = (of, who) {
            let own = source.course.own_dives(student).into_iter();
            known.extend(own.map(|(_, own)| own.log.clone()));
        }
        let stamps = { std::sync::Arc::clone(&self.shelf().stamps) };
        let home = Home {
            offset_at: &|local| stamps.offset_at(local),
            now: Some(source.now),
        };
        let log = read_dive_log(bytes, home)?;
        let name = match who {
            Who::Student(student) => source.names.details(student).map(|details| details.name),
            Who::Staff(staff) => source.staff_name(staff),
        };
        let of_another = match (log.owner, name) {
            (Some(owner), Some(name)) if !one_name(&owner, &name) => Some(owner),
            // A log that says nothing of its owner, or somebody whose name is not here.
            (Some(_) | None, _) => None,
        };
        let mut dives: Vec<DiveSeen> = Vec::new();
        for dive in log.dives {
            let same = |log: &DiveLog| {
                log.down == dive.log.down && log.max_depth_cm == dive.log.max_depth_cm
            };
            let here = known.iter().any(same) || dives.iter().any(|one| same(&one.dive.log));
            dives.push(DiveSeen { dive, here });
        }
        let doubtful = match (of, who) {
            (Of::Course, Who::Student(student)) => dives
                .iter()
                .filter(|seen| !seen.here && !in_a_session(source.course, student, &seen.dive.log))
                .count(),
            // Of staff there are no dives of their own here.
            (Of::Course, Who::Staff(_)) | (Of::Student, _) => 0,
        };
        Ok(LogSeen {
            new: dives.iter().filter(|one| !one.here).count(),
            dives,
            of_another,
            doubtful,
        })
    }

    /// Logs the dives of a file that are not here yet, in one transaction, each with its site
    /// where it belongs to no session.
    ///
    /// # Errors
    /// [`PaperError::Uddf`], and the rule that forbids one of them; nothing is logged then.
    pub fn take_dives(
        &self,
        course: CourseId,
        who: Who,
        session: Option<SessionId>,
        bytes: &[u8],
    ) -> Result<DivesTaken, PaperError> {
        let seen = self.look_at_dives(&course, &who, bytes)?.dives;
        let of = seen.len();
        let mut drafts = Drafts::none();
        for one in seen.into_iter().filter(|seen| !seen.here) {
            let logged = DiveLogged {
                who,
                session,
                site: one.dive.site.filter(|_| session.is_none()),
                log: one.dive.log,
            };
            drafts = drafts.and(LedgerId::Course(course), logged, Vec::new());
        }
        let logged = drafts.list.len();
        let changes = {
            let mut shelf = self.shelf();
            shelf.course(&course)?;
            shelf.write_down(drafts)?.1
        };
        self.tell(&changes);
        Ok(DivesTaken {
            logged,
            left_out: of - logged,
        })
    }

    /// The dives of a student's own log, beside what the course and the student's earlier files
    /// have of them: what is there stays as it is. Nothing is recorded, and the rules are asked
    /// as if it were.
    ///
    /// # Errors
    /// As [`Desk::take_own_dives`].
    pub fn look_at_own_dives(
        &self,
        course: &CourseId,
        student: &StudentId,
        bytes: &[u8],
    ) -> Result<LogSeen, PaperError> {
        let seen = self.log_seen(course, &Who::Student(*student), bytes, Of::Student)?;
        let mut shelf = self.shelf();
        shelf.course(course)?;
        for draft in &own_drafts(course, student, &seen.dives).list {
            shelf.ask_rules(draft)?;
        }
        drop(shelf);
        Ok(seen)
    }

    /// Takes in the dives of a student's own log that are not here yet, as the student's own and
    /// none of the course: all of them, or none.
    ///
    /// # Errors
    /// [`PaperError::Uddf`] names the first thing wrong with the file; and the rule that forbids
    /// one of them.
    pub fn take_own_dives(
        &self,
        course: &CourseId,
        student: &StudentId,
        bytes: &[u8],
    ) -> Result<DivesTaken, PaperError> {
        let seen = self.log_seen(course, &Who::Student(*student), bytes, Of::Student)?;
        let of = seen.dives.len();
        let drafts = own_drafts(course, student, &seen.dives);
        let logged = drafts.list.len();
        let changes = {
            let mut shelf = self.shelf();
            shelf.course(course)?;
            shelf.write_down(drafts)?.1
        };
        self.tell(&changes);
        Ok(DivesTaken {
            logged,
            left_out: of - logged,
        })
    }
}

/// Whether a session of the course was on for a student when a dive began.
fn in_a_session(course: &CourseStanding, student: &StudentId, log: &DiveLog) -> bool {
    let mut sessions = course.sessions().values();
    sessions.any(|now| {
        let (plan, begins) = (&now.plan, now.plan.starts);
        let ends = begins + TimeDelta::minutes(i64::from(plan.minutes));
        now.cancelled.is_none()
            && plan.students.contains(student)
            && (begins - AROUND..=ends + AROUND).contains(&log.down)
    })
}

/// The dives of a file that are not here yet, as a student's own.
fn own_drafts(course: &CourseId, student: &StudentId, seen: &[DiveSeen]) -> Drafts {
    let mut drafts = Drafts::none();
    for one in seen.iter().filter(|seen| !seen.here) {
        let site = one.dive.site.as_deref().map(str::trim);
        let own = OwnDive {
            student: *student,
            site: site.filter(|site| !site.is_empty()).map(str::to_owned),
            log: one.dive.log.clone(),
        };
        drafts = drafts.and(LedgerId::Course(*course), own, Vec::new());
    }
    drafts
}
