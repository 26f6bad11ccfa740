//! Notes: what people wrote about a student, a skill, a session or an entry, the remarks
//! of attempts among them.

use super::history::Withdrawn;
use super::reader::{session_title, skill_name};
use super::{Leave, Moment, Reader, StaffName, StudentName};
use crate::course::{CourseId, EntryId, SessionId, SkillId, StudentId};
use crate::entry::{Body, Kind, Mark};
use crate::standing::{Counted, CourseStanding};

/// Notes, newest first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotesView {
    /// Of which course.
    pub course: CourseId,
    /// About what.
    pub about: NotesOn,
    /// The notes.
    pub rows: Vec<NoteRow>,
    /// Whether the reader may add one.
    pub may_add: Leave,
}

/// What the notes shown are about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotesOn {
    /// Anything in the course.
    Course,
    /// A student.
    Student(StudentId),
    /// A session.
    Session(SessionId),
    /// A skill.
    Skill(SkillId),
}

/// One note. The text is a person's own: it goes to the screen and nowhere else.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct NoteRow {
    /// Its entry.
    pub entry: EntryId,
    /// The text.
    pub text: String,
    /// Who wrote it.
    pub by: StaffName,
    /// When.
    pub at: Moment,
    /// About whom.
    pub student: Option<StudentName>,
    /// About which skill.
    pub skill: Option<SkillId>,
    /// Its name.
    pub skill_name: Option<String>,
    /// About which session.
    pub session: Option<SessionId>,
    /// Its title.
    pub session_title: Option<String>,
    /// The mark it was written with, for the remark of an attempt.
    pub mark: Option<Mark>,
    /// The withdrawal that took it out, if one did.
    pub withdrawn: Option<Withdrawn>,
    /// Whether the reader may withdraw it: for an attempt's remark that takes the attempt.
    pub may_withdraw: Leave,
}

/// Written by hand so that a note's text cannot reach a log through `{:?}`.
impl std::fmt::Debug for NoteRow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "NoteRow({})", self.entry)
    }
}

impl NotesView {
    /// The notes of a course about something.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, about: NotesOn) -> Self {
        let mut rows: Vec<NoteRow> = course
            .all_of_kind(Kind::Note)
            .iter()
            .chain(&course.all_of_kind(Kind::Attempt))
            .filter_map(|id| row(course, reader, course.tally().get(id)?))
            .filter(|row| match &about {
                NotesOn::Course => true,
                NotesOn::Student(id) => row.student.as_ref().is_some_and(|s| s.student == *id),
                NotesOn::Session(id) => row.session == Some(*id),
                NotesOn::Skill(id) => row.skill.as_ref() == Some(id),
            })
            .collect();
        rows.sort_by_key(|row| std::cmp::Reverse((row.at.at, row.entry)));
        Self {
            course: *course.id(),
            about,
            rows,
            may_add: reader.may_write(Kind::Note),
        }
    }
}

/// Remarks that were added to an entry later, oldest first; those withdrawn are left out.
pub(super) fn remarks_on(
    course: &CourseStanding,
    reader: &Reader<'_>,
    entry: &EntryId,
) -> Vec<NoteRow> {
    course
        .of_kind(Kind::Note)
        .filter(|one| matches!(&one.entry.body, Body::Note(note) if note.entry == Some(*entry)))
        .filter_map(|one| row(course, reader, one))
        .collect()
}

/// A note, or an attempt that has a remark, as a row.
fn row(course: &CourseStanding, reader: &Reader<'_>, one: &Counted) -> Option<NoteRow> {
    let (text, student, skill, session, mark) = if let Body::Note(note) = &one.entry.body {
        let (mut student, mut skill, mut session) =
            (note.student, note.skill.clone(), note.session);
        // A remark on an attempt is about what the attempt was about.
        let on = note.entry.and_then(|id| course.tally().get(&id));
        if let Some(Body::Attempt(attempt)) = on.map(|on| &on.entry.body) {
            student = student.or(Some(attempt.student));
            skill = skill.or_else(|| Some(attempt.skill.clone()));
            session = session.or(attempt.session);
        }
        (&note.text, student, skill, session, None)
    } else if let Body::Attempt(attempt) = &one.entry.body {
        let text = attempt.note.as_ref()?;
        let (student, skill) = (Some(attempt.student), Some(attempt.skill.clone()));
        (text, student, skill, attempt.session, Some(attempt.mark))
    } else {
        return None;
    };
    Some(NoteRow {
        entry: one.entry.id,
        text: text.clone(),
        by: reader.staff(&one.entry.by),
        at: reader.when(one.entry.at),
        student: student.map(|id| reader.student(&id)),
        skill_name: skill.as_ref().map(|id| skill_name(course, id)),
        skill,
        session,
        session_title: session.and_then(|id| session_title(course, &id)),
        mark,
        withdrawn: Withdrawn::of(course, reader, &one.entry.id),
        may_withdraw: reader.may_withdraw(course, one),
    })
}
