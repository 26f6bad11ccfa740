//! Notes: what people wrote.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{Leave, NoteRow};

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
}
