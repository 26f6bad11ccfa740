//! A course file: looked at whole, then taken in or left.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{BundleSeen, BundleTaken, Whose};

use crate::shell::ask::{Deed, Question};
use crate::shell::{Route, Shell};
use crate::ui::{App, CourseDoor, CourseWords, Screen};
use crate::words;

/// Lets a person choose the file and says what is in it; nothing is taken before that is
/// answered.
pub(super) fn choose(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let (door, says) = (ui.global::<CourseDoor>(), ui.global::<CourseWords>());
    door.set_file_fault("".into());
    let title = says.invoke_choose_course_file();
    shell.choose_file(&title, &["tally"], |shell, file| {
        let Some(ui) = shell.ui() else { return };
        let door = ui.global::<CourseDoor>();
        let bytes = match file {
            Ok(file) => file.bytes,
            Err(says) => return door.set_file_fault(says),
        };
        match shell.desk().look_at_bundle(bytes.clone()) {
            Ok(seen) => ask(shell, &ui, &seen, bytes),
            Err(fault) => door.set_file_fault(words::fault(&ui, &fault)),
        }
    });
}

/// Whose course it is and what would become of it.
fn ask(shell: &Rc<Shell>, ui: &App, seen: &BundleSeen, bytes: Vec<u8>) {
    let says = ui.global::<CourseWords>();
    let made = seen.made.get(..16).unwrap_or(&seen.made).replace('T', " ");
    let school = seen.shop.clone().unwrap_or_default();
    let title = seen.title.clone().unwrap_or_default();
    let deed: Deed = Box::new(move |shell: &Rc<Shell>| take(shell, bytes));
    shell.ask(Question {
        title: says.invoke_course_file_title(title.into()),
        says: says.invoke_course_file_says(
            matches!(seen.whose, Whose::Ours),
            school.into(),
            made.into(),
            seen.revoked,
        ),
        first: (says.invoke_take_course_file(), deed),
        second: None,
        hold: false,
    });
}

/// Takes it in and goes to the course that it belongs to by now.
fn take(shell: &Rc<Shell>, bytes: Vec<u8>) {
    let Some(ui) = shell.ui() else { return };
    let (door, says) = (ui.global::<CourseDoor>(), ui.global::<CourseWords>());
    let (course, done) = match shell.desk().take_bundle(bytes) {
        Ok(BundleTaken::Merged { course, new }) => {
            (course, says.invoke_course_merged(words::count(new)))
        }
        Ok(BundleTaken::Continued {
            course,
            students,
            skills: _,
            dives: _,
        }) => (course, says.invoke_course_continued(words::count(students))),
        Err(fault) => return door.set_file_fault(words::fault(&ui, &fault)),
    };
    shell.open(Route::to(Screen::Course).course(course));
    door.set_done(done);
}
