//! Forms and checks of the whole class: one press a cell.

use std::cell::RefCell;
use std::path::PathBuf;
use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, VecModel};
use tallywater_bindings::{ClearanceResult, ClearanceRow, FormsRow, FormsView, Leave, Request};

use super::papers;
use crate::shell::{Shell, fill, on, rows};
use crate::ui::{self, AppDoor, CourseWords, FormRow, FormsDoor, Load, PaperState, Screen};
use crate::words;

#[derive(Default)]
struct Kept {
    rows: Rc<VecModel<FormRow>>,
    course: RefCell<String>,
    title: RefCell<String>,
    paper: RefCell<Option<PathBuf>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FormsDoor>();
    on!(shell, door.on_press(student, paper, state) => press(shell, &student, paper, state));
    on!(shell, door.on_open(student) => open(shell, &student));
    on!(shell, door.on_enrol() => shell.open(shell.route().here(Screen::Enrol)));
    on!(shell, door.on_plan() => shell.open(shell.route().here(Screen::Plan).session("")));
    on!(shell, door.on_print() => print(shell));
    on!(shell, door.on_show_paper() => {
        if let Some(paper) = shell.kept::<Kept>().paper.borrow().as_deref() {
            shell.system().show(paper);
        }
    });
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FormsDoor>();
    let kept = shell.kept::<Kept>();
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Forms);
    let course = shell.route().in_course();
    let view = shell.see(shell.desk().forms(course.clone()), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else {
        shell.title(heading, "");
        return;
    };
    shell.title(heading, view.title.clone());
    if *kept.course.borrow() != course {
        kept.course.replace(course);
        kept.paper.take();
        door.set_what(0);
        door.set_done("".into());
        door.set_written(false);
        door.set_refused("".into());
    }
    draw(&door, &kept, &view);
    kept.title.replace(view.title);
}

fn draw(door: &FormsDoor<'_>, kept: &Kept, view: &FormsView) {
    door.set_columns(rows(view.columns.iter().map(words::paper)));
    fill(&kept.rows, view.rows.iter().map(row).collect());
    door.set_rows(ModelRc::from(Rc::clone(&kept.rows)));
    door.set_missing(words::count(view.missing));
    door.set_fault("".into());
    door.set_load(if view.rows.is_empty() {
        Load::Empty
    } else {
        Load::Ready
    });
}

fn row(row: &FormsRow) -> FormRow {
    FormRow {
        student: row.name.student.to_string().into(),
        name: row.name.name.clone().into(),
        missing: words::count(row.missing),
        cells: rows(row.cells.iter().map(cell)),
    }
}

fn cell(cell: &ClearanceRow) -> ui::FormCell {
    ui::FormCell {
        paper: words::paper(&cell.what),
        state: words::paper_state(&cell.state),
        until: cell.until.as_ref().map(words::day).unwrap_or_default(),
        may: cell.may_record == Leave::Yes,
    }
}

fn open(shell: &Rc<Shell>, student: &str) {
    shell.open(shell.route().here(Screen::Student).student(student));
}

/// Records what the choice above says; on a cell that says so already, leads to the student,
/// where everything about it stands and can be taken back.
fn press(shell: &Rc<Shell>, student: &str, paper: ui::Paper, state: PaperState) {
    let Some(ui) = shell.ui() else { return };
    let (result, same) = match ui.global::<FormsDoor>().get_what() {
        1 => (ClearanceResult::Referred, PaperState::Referred),
        2 => (ClearanceResult::NotCleared, PaperState::NotCleared),
        _ => (ClearanceResult::Cleared, PaperState::Cleared),
    };
    if state == same {
        return open(shell, student);
    }
    shell.record(Request::Clear {
        course: shell.route().in_course(),
        student: student.to_owned(),
        what: words::paper_back(paper),
        result,
        until: None,
        figure: None,
    });
    shell.show_again();
}

fn print(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FormsDoor>();
    let kept = shell.kept::<Kept>();
    let title = kept.title.borrow().clone();
    match papers::chase(shell, &title) {
        Ok(path) => {
            let said = path.display().to_string();
            door.set_done(ui.global::<CourseWords>().invoke_written(said.into()));
            door.set_refused("".into());
            door.set_written(true);
            kept.paper.replace(Some(path));
        }
        Err(fault) => door.set_refused(words::fault(&ui, &fault)),
    }
}
