//! A roster: looked at first, then enrolled in one transaction, all of it or nothing.

use super::PaperError;
use crate::course::{CourseId, LedgerId, StudentId};
use crate::desk::drafts::Drafts;
use crate::desk::{Desk, DeskError, Request};
use crate::paper::roster::{Hints, Joins, Known, RosterPreview, Twins, read_roster};

/// What became of a roster.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RosterTaken {
    /// Enrolled as new people.
    pub enrolled: usize,
    /// Enrolled as people the shop knew.
    pub again: usize,
    /// Left out, since they seem to be there already: the lines of the file.
    pub left_out: Vec<u64>,
}

impl Desk {
    /// A roster as it would be taken: every bad row with its reason, every person who seems to
    /// be there already. Nothing is recorded.
    ///
    /// # Errors
    /// [`PaperError::Roster`] when the file as a whole cannot be a roster.
    pub fn look_at_roster(
        &self,
        course: &CourseId,
        bytes: &[u8],
        hints: Hints<'_>,
    ) -> Result<RosterPreview, PaperError> {
        let today = {
            let mut shelf = self.shelf();
            shelf.course(course)?;
            shelf.today()
        };
        Ok(read_roster(bytes, hints, &self.known_people()?, today)?)
    }

    /// Enrols a roster.
    ///
    /// # Errors
    /// [`PaperError::Roster`] while any row is bad, and the rule that forbids one of them;
    /// nobody is enrolled then.
    pub fn take_roster(
        &self,
        course: CourseId,
        bytes: &[u8],
        hints: Hints<'_>,
        twins: Twins,
    ) -> Result<RosterTaken, PaperError> {
        let preview = self.look_at_roster(&course, bytes, hints)?;
        let accepted = preview.accept(twins)?;
        let mut taken = RosterTaken {
            left_out: accepted.left_out,
            ..RosterTaken::default()
        };
        let changes = {
            let mut shelf = self.shelf();
            let mut drafts = Drafts::none();
            for join in accepted.joins {
                match join {
                    Joins::New(details) => {
                        taken.enrolled += 1;
                        drafts = drafts.then(shelf.enrol_drafts(course, details, None)?);
                    }
                    // Already in this course: nothing to do, whoever asked.
                    Joins::Again { student, line }
                        if shelf.course(&course)?.standing.has_student(&student) =>
                    {
                        taken.left_out.push(line);
                    }
                    Joins::Again { student, .. } => {
                        taken.again += 1;
                        let request = Request::EnrolAgain {
                            course,
                            student,
                            referred_from: None,
                        };
                        drafts = drafts.then(shelf.drafts(request)?);
                    }
                }
            }
            taken.left_out.sort_unstable();
            shelf.write_down(drafts)?.1
        };
        self.tell(&changes);
        Ok(taken)
    }

    /// Everyone whose details this device has. The lock is taken for each alone: a shop knows
    /// thousands, and a tap must not wait for them.
    fn known_people(&self) -> Result<Vec<Known>, DeskError> {
        let ledgers = self.ledgers()?;
        let mut known = Vec::new();
        for ledger in ledgers {
            let LedgerId::Person(student) = ledger else {
                continue;
            };
            if let Some(details) = self.details(student)? {
                known.push(Known { student, details });
            }
        }
        Ok(known)
    }

    fn details(
        &self,
        student: StudentId,
    ) -> Result<Option<crate::course::PersonDetails>, DeskError> {
        let mut shelf = self.shelf();
        shelf.open_person(student)?;
        let person = shelf.people.get(&student);
        Ok(person.and_then(|open| open.details.clone()))
    }
}
