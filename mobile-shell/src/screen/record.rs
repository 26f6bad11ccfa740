//! One student's record: what is missing, what waits, the end of the course, item by item.

mod own;

use std::cell::RefCell;
use std::path::PathBuf;
use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{Fault, Leave, Outcome, RecordItem, RecordView, Request};

use super::papers;
use super::records::state;
use crate::shell::ask::Question;
use crate::shell::{Shell, on, rows};
use crate::ui::{self, AppDoor, CourseWords, Load, Look, Missing, RecordDoor, Screen, Words};
use crate::words;

#[derive(Default)]
struct Kept {
    view: RefCell<Option<RecordView>>,
    /// What was written last.
    paper: RefCell<Option<PathBuf>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<RecordDoor>();
    on!(shell, door.on_open(student) => {
        shell.open(shell.route().here(Screen::Record).student(student));
    });
    on!(shell, door.on_close_gap(gap) => close(shell, &gap));
    // What is confirmed is seen whole there: whose mark, of which skill, and what was shown.
    on!(shell, door.on_to_confirm() => shell.open(shell.route().here(Screen::Confirm)));
    on!(shell, door.on_complete() => ask_end(shell, Outcome::Completed));
    on!(shell, door.on_refer() => ask_end(shell, Outcome::Referred));
    on!(shell, door.on_leave() => ask_end(shell, Outcome::Left));
    on!(shell, door.on_open_item(skill) => attempt(shell, skill.into()));
    on!(shell, door.on_print() => {
        let kept = shell.kept::<Kept>();
        let name = kept.view.borrow().as_ref().map(|view| view.name.name.clone());
        written(shell, papers::record(shell, &name.unwrap_or_default()));
    });
    on!(shell, door.on_take_home(german) => {
        let kept = shell.kept::<Kept>();
        let name = kept.view.borrow().as_ref().map(|view| view.name.name.clone());
        written(shell, papers::take_home(shell, &name.unwrap_or_default(), german));
    });
    on!(shell, door.on_show_paper() => {
        if let Some(paper) = shell.kept::<Kept>().paper.borrow().as_deref() {
            shell.system().show(paper);
        }
    });
    on!(shell, door.on_export_course() => {
        if let Some(ui) = shell.ui() {
            let title = ui.global::<AppDoor>().get_subtitle();
            written(shell, papers::tables(shell, &title));
        }
    });
    on!(shell, door.on_again() => shell.show_again());
    own::join(shell);
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<RecordDoor>();
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let student = route.student.clone().unwrap_or_default();
    let view = shell.see(
        shell.desk().student_record(route.in_course(), student),
        |fault| {
            door.set_fault(fault);
            door.set_load(Load::Failed);
        },
    );
    let Some(view) = view else { return };
    shell.title(view.name.name.clone(), view.title.clone());
    let look = |skill: &str| {
        let item = view.items.iter().find(|item| item.skill == skill);
        item.map_or(Look::Open, |item| words::look(&item.cell))
    };
    let rules = super::policy::names(shell, route.in_course());
    door.set_gaps(rows(view.gaps.iter().map(|gap| {
        let row = words::gap_row(gap, &rules);
        let look = look(&row.target);
        ui::GapRow { look, ..row }
    })));
    door.set_items(rows(view.items.iter().map(item)));
    door.set_view(record_view(&view));
    own::show(shell, &ui, &view);
    door.set_fault("".into());
    door.set_refused("".into());
    door.set_done("".into());
    door.set_written(false);
    door.set_load(Load::Ready);
    kept.view.replace(Some(view));
}

fn record_view(view: &RecordView) -> ui::RecordView {
    let (state, gaps) = state(&view.state);
    let end = view.completion.as_ref();
    ui::RecordView {
        student: view.name.name.clone().into(),
        student_id: view.name.student.to_string().into(),
        state,
        by: end
            .map(|end| end.by.name.clone())
            .unwrap_or_default()
            .into(),
        on: end.map(|end| words::day(&end.at.day)).unwrap_or_default(),
        gaps,
        waiting: words::count(view.waiting.len()),
        items: words::count(view.required),
        met: words::count(view.done),
        considered: words::count(view.considered.len()),
        may_complete: view.may_complete == Leave::Yes,
        ..ui::RecordView::default()
    }
}

fn item(item: &RecordItem) -> ui::RecordItem {
    let line = words::that_counts(&item.lines);
    ui::RecordItem {
        skill: item.name.clone().into(),
        skill_id: item.skill.to_string().into(),
        look: words::look(&item.cell),
        judge: line
            .map(|line| line.by.name.clone())
            .unwrap_or_default()
            .into(),
        role: line.map(|line| words::role(&line.role)).unwrap_or_default(),
        device: line
            .map(|line| line.device.clone())
            .unwrap_or_default()
            .into(),
        when: line.map(|line| words::moment(&line.at)).unwrap_or_default(),
        place: line.map(words::place).unwrap_or_default(),
        measured: line.map(words::measured).unwrap_or_default(),
    }
}

/// Says where a paper or a file is, or why there is none.
fn written(shell: &Rc<Shell>, done: Result<PathBuf, Fault>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<RecordDoor>();
    match done {
        Ok(path) => {
            let said = path.display().to_string();
            door.set_done(ui.global::<CourseWords>().invoke_written(said.into()));
            door.set_refused("".into());
            door.set_written(true);
            shell.kept::<Kept>().paper.replace(Some(path));
        }
        Err(fault) => door.set_refused(words::fault(&ui, &fault)),
    }
}

/// Where a gap is closed.
fn close(shell: &Rc<Shell>, gap: &ui::GapRow) {
    let here = shell.route();
    let student = here.student.clone().unwrap_or_default();
    match gap.what {
        Missing::Skill | Missing::Slipped => attempt(shell, gap.target.to_string()),
        Missing::Clearance | Missing::NotCleared | Missing::Expired => {
            shell.open(here.here(Screen::Student).student(student));
        }
        Missing::Dives => shell.open(here.here(Screen::Dives).student(student)),
        Missing::Age | Missing::TooYoung => shell.open(here.here(Screen::Enrol).student(student)),
        Missing::TooDeepForAge | Missing::Forbidden => shell.open(here.here(Screen::Sessions)),
        Missing::Policy | Missing::RuleUnconfirmed | Missing::SkillNotThere => {
            shell.open(here.here(Screen::Policy));
        }
        Missing::Kit => shell.open(here.here(Screen::Issue)),
        Missing::Outline => shell.open(here.here(Screen::Outline)),
    }
}

fn attempt(shell: &Rc<Shell>, skill: String) {
    let here = shell.route();
    let student = here.student.clone().unwrap_or_default();
    shell.open(here.here(Screen::Attempt).student(student).skill(skill));
}

/// What ends something is asked first, with what follows from it; the answer is over exactly
/// what was on screen then.
fn ask_end(shell: &Rc<Shell>, outcome: Outcome) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let Some((who, considered)) = kept
        .view
        .borrow()
        .as_ref()
        .map(|view| (view.name.name.clone(), view.considered.clone()))
    else {
        return;
    };
    let words = ui.global::<Words>();
    let (says, first) = match outcome {
        Outcome::Completed => (
            words.invoke_completes_says(words::count(considered.len())),
            words.invoke_ends_completed(),
        ),
        Outcome::Referred => (words.invoke_ends_says(), words.invoke_ends_referred()),
        Outcome::Left => (words.invoke_ends_says(), words.invoke_ends_left()),
    };
    let route = shell.route();
    let ends = Request::Complete {
        course: route.in_course(),
        student: route.student.unwrap_or_default(),
        outcome,
        considered,
    };
    shell.ask(Question {
        title: words.invoke_ends_title(who.into()),
        says,
        first: (
            first,
            Box::new(move |shell: &Rc<Shell>| {
                shell.record(ends);
            }),
        ),
        second: None,
        hold: false,
    });
}
