//! Debrief: one card a student after a session.

use std::cell::RefCell;
use std::path::PathBuf;
use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{DebriefText, DebriefView, Leave, Request};

use super::papers;
use crate::shell::{Shell, on, rows};
use crate::ui::{AppDoor, CourseWords, DebriefDoor, DebriefName, Load, Screen, Words};
use crate::words;

#[derive(Default)]
struct Kept {
    view: RefCell<Option<DebriefView>>,
    /// Whose card is shown.
    student: RefCell<String>,
    paper: RefCell<Option<PathBuf>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DebriefDoor>();
    on!(shell, door.on_choose(id) => choose(shell, &id));
    on!(shell, door.on_following() => following(shell));
    on!(shell, door.on_keep() => keep(shell));
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
    let door = ui.global::<DebriefDoor>();
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Debrief);
    let route = shell.route();
    let (Some(course), Some(session)) = (route.course, route.session) else {
        shell.title(heading, "");
        door.set_load(Load::Empty);
        return;
    };
    let under = shell.session_says(&course, Some(&session));
    let view = shell.see(shell.desk().debriefs(course, session), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    shell.title(heading, under);
    let kept = shell.kept::<Kept>();
    let there = |id: &str| view.cards.iter().any(|card| card.name.student == id);
    if !there(&kept.student.borrow()) {
        let first = view.cards.first().map(|card| card.name.student.to_string());
        kept.student.replace(first.unwrap_or_default());
        door.set_changing(false);
    }
    door.set_may(view.may_keep == Leave::Yes);
    door.set_refused("".into());
    door.set_done("".into());
    door.set_written(false);
    let empty = view.cards.is_empty();
    kept.view.replace(Some(view));
    draw(shell);
    door.set_load(if empty { Load::Empty } else { Load::Ready });
}

/// The card that is chosen. What is being changed is not lost because something arrived.
fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DebriefDoor>();
    let kept = shell.kept::<Kept>();
    let (view, student) = (kept.view.borrow(), kept.student.borrow());
    let Some(view) = view.as_ref() else { return };
    door.set_names(rows(view.cards.iter().map(|card| DebriefName {
        id: card.name.student.to_string().into(),
        called: card.name.short.clone().into(),
        kept: card.kept.is_some(),
        on: card.name.student == *student,
    })));
    let card = view.cards.iter().find(|card| card.name.student == *student);
    let Some(card) = card else { return };
    door.set_name(card.name.name.clone().into());
    let by = card.kept.as_ref().map(|kept| {
        let when = ui.global::<Words>().invoke_moment(words::moment(&kept.at));
        door.invoke_kept_by(kept.by.name.clone().into(), when)
    });
    door.set_kept(by.unwrap_or_default());
    if !door.get_changing() {
        door.set_met(card.said.met.clone().into());
        door.set_slip(card.said.fault.clone().into());
        door.set_fix(card.said.fix.clone().into());
        door.set_next(card.said.next.clone().into());
        door.set_practise(card.said.practise.clone().into());
    }
}

fn choose(shell: &Rc<Shell>, id: &str) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DebriefDoor>();
    shell.kept::<Kept>().student.replace(id.to_owned());
    door.set_changing(false);
    door.set_refused("".into());
    draw(shell);
}

/// The next student; after the last the first.
fn following(shell: &Rc<Shell>) {
    let next = {
        let kept = shell.kept::<Kept>();
        let (view, student) = (kept.view.borrow(), kept.student.borrow());
        let cards = view.as_ref().map(|view| &view.cards);
        cards.and_then(|cards| {
            let here = cards.iter().position(|one| one.name.student == *student)?;
            let next = cards.get(here + 1).or_else(|| cards.first())?;
            Some(next.name.student.to_string())
        })
    };
    if let Some(next) = next {
        choose(shell, &next);
    }
}

fn keep(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DebriefDoor>();
    let route = shell.route();
    let text = |text: slint::SharedString| text.trim().to_owned();
    let request = Request::Debrief {
        course: route.in_course(),
        session: route.session.unwrap_or_default(),
        student: shell.kept::<Kept>().student.borrow().clone(),
        said: DebriefText {
            met: text(door.get_met()),
            fault: text(door.get_slip()),
            fix: text(door.get_fix()),
            next: text(door.get_next()),
            practise: text(door.get_practise()),
        },
    };
    if shell.record(request).is_some() {
        door.set_changing(false);
        shell.show_again();
    }
}

fn print(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DebriefDoor>();
    let kept = shell.kept::<Kept>();
    let title = kept.view.borrow().as_ref().map(|view| view.title.clone());
    match papers::session(shell, &title.unwrap_or_default()) {
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
