//! Keep: what is kept, and what a person has deleted.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{Hold, HoldOn, KeptLine, KeptWhat, Request, Role, TextRead};

use crate::shell::{Shell, on, rows};
use crate::ui::{AppDoor, KeepDoor, KeepRow, Load, Screen, TextRow};
use crate::words;

#[derive(Default)]
struct Kept {
    lines: RefCell<Vec<KeptLine>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<KeepDoor>();
    on!(shell, door.on_choose(place) => choose(shell, place));
    on!(shell, door.on_delete() => delete(shell));
    on!(shell, door.on_hold() => hold(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<KeepDoor>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Keep), "");
    let desk = shell.desk();
    let seen = desk.state().and_then(|state| Ok((state, desk.kept()?)));
    let seen = shell.see(seen, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some((state, lines)) = seen else { return };
    door.set_may(state.me.is_some_and(|me| me.role == Role::Shop));
    door.set_due(words::count(lines.iter().filter(|line| line.due).count()));
    door.set_rows(rows(lines.iter().map(row)));
    door.set_load(if lines.is_empty() {
        Load::Empty
    } else {
        Load::Ready
    });
    let same = *shell.kept::<Kept>().lines.borrow() == lines;
    shell.kept::<Kept>().lines.replace(lines);
    if !same {
        close(&door);
    }
}

/// The places of the rows have changed, or something was done: nothing stays open.
fn close(door: &KeepDoor<'_>) {
    door.set_open(-1);
    door.set_texts(rows([]));
    door.set_why("".into());
    door.set_hold_why("".into());
    door.set_sure(false);
}

fn row(line: &KeptLine) -> KeepRow {
    let row = &line.row;
    let (id, course) = match &row.what {
        KeptWhat::Person(student) => (student.to_string(), false),
        KeptWhat::Course(course) => (course.to_string(), true),
    };
    let (held, running) = match &row.held {
        Some(Hold::Legal(why)) => (why.clone(), false),
        Some(Hold::Running(..)) => (String::new(), true),
        None => (String::new(), false),
    };
    KeepRow {
        name: row.name.as_ref().unwrap_or(&id).into(),
        id: id.into(),
        course,
        until: line.until.as_ref().map(words::day).unwrap_or_default(),
        known: line.until.is_some(),
        due: line.due,
        held: held.into(),
        running,
        rules: row.rules.join(", ").into(),
    }
}

fn choose(shell: &Rc<Shell>, place: i32) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<KeepDoor>();
    let was = door.get_open();
    close(&door);
    if was == place {
        return;
    }
    door.set_open(place);
    if let Some(KeptWhat::Person(student)) = opened(shell) {
        let texts = shell.see(shell.desk().texts_to_read(student.to_string()), |fault| {
            door.set_fault(fault);
        });
        door.set_texts(rows(texts.iter().flatten().flat_map(text_rows)));
    }
}

fn text_rows(read: &TextRead) -> Vec<TextRow> {
    let row = |text: &String| TextRow {
        kind: words::entry(&read.at.kind),
        text: SharedString::from(text),
        names: read.at.names,
    };
    read.texts.iter().map(row).collect()
}

fn opened(shell: &Rc<Shell>) -> Option<KeptWhat> {
    let place = shell.ui()?.global::<KeepDoor>().get_open();
    let kept = shell.kept::<Kept>();
    let lines = kept.lines.borrow();
    let line = lines.get(usize::try_from(place).ok()?)?;
    Some(line.row.what)
}

fn delete(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<KeepDoor>();
    let why = String::from(door.get_why());
    let request = match opened(shell) {
        Some(KeptWhat::Person(student)) => Request::Forget {
            student: student.to_string(),
            why,
        },
        Some(KeptWhat::Course(course)) => Request::DropCourse {
            course: course.to_string(),
            why,
        },
        None => return,
    };
    if shell.record(request).is_some() {
        close(&door);
    }
    door.set_sure(false);
    show(shell);
}

fn hold(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<KeepDoor>();
    let on = match opened(shell) {
        Some(KeptWhat::Person(student)) => HoldOn::Student {
            student: student.to_string(),
        },
        Some(KeptWhat::Course(course)) => HoldOn::Course {
            course: course.to_string(),
        },
        None => return,
    };
    let why = String::from(door.get_hold_why());
    let until = None;
    if shell.record(Request::SetHold { on, why, until }).is_some() {
        close(&door);
    }
    show(shell);
}
