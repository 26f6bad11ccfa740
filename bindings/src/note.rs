//! Notes: what people wrote.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{Leave, Mark, Moment, StaffName, StudentName, Withdrawn};

mirror! {
    /// Notes, newest first.
    shown record NotesView = view::NotesView {
        course: String,
        about: NotesOn,
        rows: Vec<NoteRow>,
        may_add: Leave,
    }

    /// What the notes shown are about.
    both enum NotesOn = view::NotesOn {
        Course,
        Student(student: String),
        Session(session: String),
        Skill(skill: String),
    }

    /// One note. The text is a person's own: it goes to the screen and nowhere else.
    shown private record NoteRow = view::NoteRow {
        entry: String,
        text: String,
        by: StaffName,
        at: Moment,
        student: Option<StudentName>,
        skill: Option<String>,
        skill_name: Option<String>,
        session: Option<String>,
        session_title: Option<String>,
        mark: Option<Mark>,
        withdrawn: Option<Withdrawn>,
        may_withdraw: Leave,
    }
}
