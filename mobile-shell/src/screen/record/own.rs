//! A student's own dives, from a log that they bring: looked at, then taken in beside the record,
//! as none of the course.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{OwnDiveRow, RecordView};

use crate::shell::ask::Question;
use crate::shell::{Shell, on, rows};
use crate::ui::{App, CourseWords, RecordDoor, Words};
use crate::words;

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<RecordDoor>();
    on!(shell, door.on_take_own() => choose(shell));
}

pub(super) fn show(shell: &Rc<Shell>, ui: &App, view: &RecordView) {
    let door = ui.global::<RecordDoor>();
    door.set_own_dives(rows(view.own_dives.iter().map(|row| line(ui, row))));
    door.set_picks(shell.system().shows_files());
}

/// One dive: when, how long, how deep, where, and who took it in.
fn line(ui: &App, row: &OwnDiveRow) -> SharedString {
    let say = ui.global::<Words>();
    let parts = [
        say.invoke_moment(words::moment(&row.down)),
        words::span(&row.span),
        words::figure(&row.max_depth),
        row.site.clone().unwrap_or_default().into(),
        ui.global::<CourseWords>()
            .invoke_taken_in_by(row.by.name.clone().into()),
    ];
    let said = parts.iter().map(SharedString::as_str);
    let said: Vec<&str> = said.filter(|part| !part.is_empty()).collect();
    said.join(" · ").into()
}

/// Lets a person choose the file, and takes it in; one that says it is somebody else's log is
/// asked about first.
fn choose(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let title = ui.global::<CourseWords>().invoke_choose_log();
    let route = shell.route();
    let (course, student) = (route.in_course(), route.student.unwrap_or_default());
    shell.choose_file(&title, &["uddf", "xml"], move |shell, file| {
        let Some(ui) = shell.ui() else { return };
        let door = ui.global::<RecordDoor>();
        door.set_done("".into());
        door.set_refused("".into());
        match file {
            Ok(file) => look(shell, course, student, file.bytes),
            Err(says) => door.set_refused(says),
        }
    });
}

/// Looks whose log it is, and takes it in or asks.
fn look(shell: &Rc<Shell>, course: String, student: String, bytes: Vec<u8>) {
    let Some(ui) = shell.ui() else { return };
    let (door, say) = (ui.global::<RecordDoor>(), ui.global::<CourseWords>());
    let seen = shell
        .desk()
        .look_at_own_dives(course.clone(), student.clone(), bytes.clone());
    match seen {
        Err(fault) => door.set_refused(words::fault(&ui, &fault)),
        Ok(seen) => match seen.of_another {
            None => take(shell, course, student, bytes),
            Some(name) => shell.ask(Question {
                title: say.invoke_log_of_another(name.into()),
                says: say.invoke_own_says(),
                first: (
                    say.invoke_take_own_in(),
                    Box::new(move |shell: &Rc<Shell>| take(shell, course, student, bytes)),
                ),
                second: None,
                hold: false,
            }),
        },
    }
}

fn take(shell: &Rc<Shell>, course: String, student: String, bytes: Vec<u8>) {
    let taken = shell.desk().take_own_dives(course, student, bytes);
    let said = taken.map(|taken| (words::count(taken.logged), words::count(taken.left_out)));
    shell.show_again();
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<RecordDoor>();
    match said {
        Ok((new, here)) => {
            door.set_done(ui.global::<CourseWords>().invoke_own_taken(new, here));
        }
        Err(fault) => door.set_refused(words::fault(&ui, &fault)),
    }
}
