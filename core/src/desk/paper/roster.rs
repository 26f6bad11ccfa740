//! A roster: looked at first, then enrolled in one transaction, all of it or nothing.

use super::PaperError;
use crate::course::{CourseId, LedgerId};
use crate::desk::drafts::Drafts;
use crate::desk::{Desk, DeskError, Request};
use crate::paper::Go;
use crate::paper::roster::{Hints, Joins, Known, RosterPreview, Twins, read_names, read_roster};
use crate::view::{People, StudentName};

/// What became of a roster.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
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
        self.take_roster_watched(course, bytes, hints, twins, &mut |_, _| Go::On)
    }

    /// The same, with a word on the way: how many entries are made of how many. Stopped, nobody
    /// is enrolled.
    ///
    /// # Errors
    /// As [`Desk::take_roster`], and [`DeskError::Stopped`].
    pub fn take_roster_watched(
        &self,
        course: CourseId,
        bytes: &[u8],
        hints: Hints<'_>,
        twins: Twins,
        watch: &mut dyn FnMut(usize, usize) -> Go,
    ) -> Result<RosterTaken, PaperError> {
        let preview = self.look_at_roster(&course, bytes, hints)?;
        self.take_preview(course, preview, twins, watch)
    }

    /// A list of names that was pasted, as it would be taken. Nothing is recorded.
    ///
    /// # Errors
    /// [`PaperError::Roster`] when the list as a whole cannot be a roster.
    pub fn look_at_names(
        &self,
        course: &CourseId,
        text: &str,
    ) -> Result<RosterPreview, PaperError> {
        let today = {
            let mut shelf = self.shelf();
            shelf.course(course)?;
            shelf.today()
        };
        Ok(read_names(text, &self.known_people()?, today)?)
    }

    /// Enrols everyone on a list of names that was pasted.
    ///
    /// # Errors
    /// As [`Desk::take_roster`].
    pub fn take_names(
        &self,
        course: CourseId,
        text: &str,
        twins: Twins,
    ) -> Result<RosterTaken, PaperError> {
        let preview = self.look_at_names(&course, text)?;
        self.take_preview(course, preview, twins, &mut |_, _| Go::On)
    }

    fn take_preview(
        &self,
        course: CourseId,
        preview: RosterPreview,
        twins: Twins,
        watch: &mut dyn FnMut(usize, usize) -> Go,
    ) -> Result<RosterTaken, PaperError> {
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
                        drafts = drafts.then(shelf.enrol_drafts(course, *details, None, None)?);
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
            shelf.write_down_watched(drafts, watch)?.1
        };
        self.tell(&changes);
        Ok(taken)
    }

    /// People this device knows who are not in a course and could come again, at most so many,
    /// in order of name; with `text`, those whose name contains it.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn who_could_come(
        &self,
        course: &CourseId,
        text: &str,
        most: usize,
    ) -> Result<Vec<StudentName>, DeskError> {
        let known = self.known_people()?;
        let people = People {
            students: known
                .into_iter()
                .map(|one| (one.student, one.details))
                .collect(),
            ..People::default()
        };
        let mut shelf = self.shelf();
        let standing = &shelf.course(course)?.standing;
        Ok(people.others(&standing.students(), text, most))
    }

    /// Everyone whose details this device has. The lock is taken for each alone: a shop knows
    /// thousands, and a tap must not wait for them.
    fn known_people(&self) -> Result<Vec<Known>, DeskError> {
        // Those that are open at one look, in the same order; the others each by itself, so that
        // no tap waits for all of them to be opened.
        let (ledgers, open) = {
            let shelf = self.shelf();
            let open = shelf.people.iter();
            let open = open.map(|(student, one)| (*student, one.details.clone()));
            (shelf.store.ledgers()?, open.collect::<Vec<_>>())
        };
        let mut open = open.into_iter().peekable();
        let mut known = Vec::new();
        for ledger in ledgers {
            let LedgerId::Person(student) = ledger else {
                continue;
            };
            while open.next_if(|(id, _)| *id < student).is_some() {}
            let details = match open.next_if(|(id, _)| *id == student) {
                Some((_, details)) => details,
                None => self.shelf().details_of(&student)?,
            };
            if let Some(details) = details {
                known.push(Known { student, details });
            }
        }
        Ok(known)
    }
}
