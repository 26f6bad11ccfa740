//! A diver's log, taken from a file: every dive that is not here yet, or none.

use super::PaperError;
use crate::course::{CourseId, SessionId};
use crate::desk::{Desk, Request};
use crate::entry::Who;
use crate::paper::data::{ReadDive, read_uddf, uddf_dives};

/// A dive of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DiveSeen {
    /// As it was read.
    pub dive: ReadDive,
    /// Whether the course has it already: the same diver, beginning and depth.
    pub here: bool,
}

/// What became of a file of dives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DivesTaken {
    /// Logged now.
    pub logged: usize,
    /// Left out, since they were here.
    pub left_out: usize,
}

impl Desk {
    /// The dives of a file, beside what the course has of this diver. Nothing is recorded. A
    /// time without an offset is taken to be in this device's.
    ///
    /// # Errors
    /// [`PaperError::Uddf`] names the first thing wrong with the file.
    pub fn look_at_dives(
        &self,
        course: &CourseId,
        who: &Who,
        bytes: &[u8],
    ) -> Result<Vec<DiveSeen>, PaperError> {
        let papers = self.papers(course)?;
        let known = uddf_dives(&papers.source(), who);
        let mut seen: Vec<DiveSeen> = Vec::new();
        for dive in read_uddf(bytes, *papers.now.offset())? {
            let same = |log: &crate::course::DiveLog| {
                log.down == dive.log.down && log.max_depth_cm == dive.log.max_depth_cm
            };
            let here = known.iter().any(|one| same(&one.log))
                || seen.iter().any(|one| same(&one.dive.log));
            seen.push(DiveSeen { dive, here });
        }
        Ok(seen)
    }

    /// Logs the dives of a file that are not here yet, in one transaction.
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
        let seen = self.look_at_dives(&course, &who, bytes)?;
        let of = seen.len();
        let requests: Vec<Request> = seen
            .into_iter()
            .filter(|seen| !seen.here)
            .map(|seen| Request::LogDive {
                course,
                who,
                session,
                log: seen.dive.log,
            })
            .collect();
        let logged = requests.len();
        self.record_all(requests)?;
        Ok(DivesTaken {
            logged,
            left_out: of - logged,
        })
    }
}
