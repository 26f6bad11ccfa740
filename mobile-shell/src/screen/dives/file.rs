//! A diver's log file: its dives looked at, then logged, all of those that are not here yet.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, Model as _, SharedString};
use tallywater_bindings::{DiveSeen, Fault, Who};

use crate::shell::ask::Question;
use crate::shell::{Shell, on, rows};
use crate::ui::{CourseWords, DivesDoor, PersonChip};
use crate::words;

/// The file that was chosen, under the text that stands in its field: where a system hands files
/// over, it is there no longer when its dives are taken.
#[derive(Default)]
struct Kept(RefCell<Option<(SharedString, Vec<u8>)>>);

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    on!(shell, door.on_choose_file() => choose(shell));
    on!(shell, door.on_look_at_file() => look(shell));
    on!(shell, door.on_take_file() => take(shell));
}

/// Nothing looked at yet.
pub(super) fn begin(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    door.set_in_file(rows([]));
    door.set_file_fault("".into());
    door.set_new_in_file(0);
}

/// Lets a person choose the file, and looks at it.
fn choose(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let title = ui.global::<CourseWords>().invoke_choose_log();
    shell.choose_file(&title, &["uddf", "xml"], |shell, file| {
        let Some(ui) = shell.ui() else { return };
        let door = ui.global::<DivesDoor>();
        let file = match file {
            Ok(file) => file,
            Err(says) => {
                begin(shell);
                return door.set_file_fault(says);
            }
        };
        // On a tablet it is a copy that is gone by now: its name is what a person knows.
        let name = file.path.file_name();
        let said = match name {
            Some(name) if !shell.system().has_mouse() => {
                slint::format!("{}", name.to_string_lossy())
            }
            Some(_) | None => slint::format!("{}", file.path.display()),
        };
        let kept = shell.kept::<Kept>();
        kept.0.replace(Some((said.clone(), file.bytes)));
        door.set_file(said);
        look(shell);
    });
}

/// The bytes of the file that is named in the field: as it was chosen, or where a path was typed
/// as it is there now.
fn bytes(shell: &Rc<Shell>, named: &SharedString) -> Option<Vec<u8>> {
    let kept = shell.kept::<Kept>();
    let chosen = kept.0.borrow();
    match chosen.as_ref() {
        Some((name, bytes)) if name == named => Some(bytes.clone()),
        Some(_) | None => std::fs::read(named.trim()).ok(),
    }
}

/// Whose file it is and what is in it; a sentence where that cannot be said.
fn chosen(shell: &Rc<Shell>) -> Result<(PersonChip, Vec<u8>), SharedString> {
    let Some(ui) = shell.ui() else {
        return Err(SharedString::new());
    };
    let door = ui.global::<DivesDoor>();
    let says = ui.global::<CourseWords>();
    let mut who: Vec<PersonChip> = door.get_people().iter().filter(|chip| chip.on).collect();
    let (Some(one), true) = (who.pop(), who.is_empty()) else {
        return Err(says.invoke_one_diver());
    };
    let read = bytes(shell, &door.get_file());
    Ok((one, read.ok_or_else(|| says.invoke_no_file())?))
}

fn look(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    begin(shell);
    let found = chosen(shell).and_then(|(chip, bytes)| {
        let course = shell.route().in_course();
        let seen = shell
            .desk()
            .look_at_dives(course, words::who_of(&chip), bytes);
        seen.map_err(|fault: Fault| words::fault(&ui, &fault))
    });
    match found {
        Err(says) => door.set_file_fault(says),
        Ok(seen) => {
            door.set_new_in_file(words::count(seen.new));
            if let Some(name) = &seen.of_another {
                let says = ui.global::<CourseWords>();
                door.set_file_fault(says.invoke_log_of_another(name.into()));
            }
            door.set_in_file(rows(seen.dives.iter().map(|one| line(&ui, one))));
        }
    }
}

/// One dive of the file: when, how deep, and whether it is here already.
fn line(ui: &crate::ui::App, one: &DiveSeen) -> SharedString {
    let log = &one.dive.log;
    let metres = f64::from(log.max_depth_cm) / 100.0;
    let day = log.down.get(..16).unwrap_or_default().replace('T', " ");
    ui.global::<CourseWords>().invoke_dive_in_file(
        day.into(),
        slint::format!("{metres:.1} m"),
        one.here,
    )
}

/// Takes the dives; where no session of the course says whose a student's are, that is asked.
fn take(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let route = shell.route();
    let (chip, bytes) = match chosen(shell) {
        Ok(chosen) => chosen,
        Err(says) => return ui.global::<DivesDoor>().set_file_fault(says),
    };
    let (course, who) = (route.in_course(), words::who_of(&chip));
    let seen = shell
        .desk()
        .look_at_dives(course.clone(), who.clone(), bytes.clone());
    let doubtful = seen.map_or(0, |seen| seen.doubtful);
    match who {
        Who::Student { student } if doubtful > 0 && route.session.is_none() => {
            let says = ui.global::<CourseWords>();
            let (own, bring) = (course.clone(), bytes.clone());
            let whose = student.clone();
            shell.ask(Question {
                title: says.invoke_whose_dives(words::count(doubtful)),
                says: says.invoke_whose_dives_says(),
                first: (
                    says.invoke_their_own(),
                    Box::new(move |shell: &Rc<Shell>| {
                        let taken = shell.desk().take_own_dives(own, whose, bring);
                        done(shell, taken.map(|_| ()));
                    }),
                ),
                second: Some((
                    says.invoke_of_the_course(),
                    Box::new(move |shell: &Rc<Shell>| {
                        let who = Who::Student { student };
                        let taken = shell.desk().take_dives(course, who, None, bytes);
                        done(shell, taken.map(|_| ()));
                    }),
                )),
                hold: false,
            });
        }
        who @ (Who::Student { .. } | Who::Staff { .. }) => {
            let taken = shell.desk().take_dives(course, who, route.session, bytes);
            done(shell, taken.map(|_| ()));
        }
    }
}

/// Shows what became of it.
fn done(shell: &Rc<Shell>, taken: Result<(), Fault>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    match taken.map_err(|fault| words::fault(&ui, &fault)) {
        Err(says) => door.set_file_fault(says),
        Ok(()) => {
            shell.kept::<Kept>().0.take();
            door.set_form(0);
            shell.show_again();
        }
    }
}
