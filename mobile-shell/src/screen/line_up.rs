//! Line-up: one skill, one student after another, one tap each.

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use slint::{ComponentHandle, ModelRc, VecModel};
use tallywater_bindings::{
    self as border, Again, Leave, LineUpView, MarkTap, Origin, Presence, Request, Tap,
};

use super::attempt::ask_which;
use crate::shell::{Shell, fill, on};
use crate::ui::{self, LineUpDoor, LineUpRow, Load, Mark, Screen};
use crate::words;

#[derive(Default)]
struct Kept {
    /// The line-up as it is on screen: what a mark says it was made after.
    view: RefCell<Option<LineUpView>>,
    rows: Rc<VecModel<LineUpRow>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<LineUpDoor>();
    on!(shell, door.on_mark(student, mark) => mark_now(shell, &student, mark));
    on!(shell, door.on_open(student) => open(shell, &student));
    on!(shell, door.on_go(skill) => {
        shell.replace(shell.route().here(Screen::LineUp).skill(skill));
    });
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<LineUpDoor>();
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let skill = route.skill.clone().unwrap_or_default();
    let seen = shell
        .desk()
        .line_up(route.in_course(), route.session.clone(), skill);
    let view = shell.see(seen, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    shell.title(
        view.skill.name.clone(),
        shell.session_says(&view.course, view.session.as_deref()),
    );
    let id = |one: &Option<String>| one.clone().unwrap_or_default();
    door.set_view(ui::LineUpView {
        skill: view.skill.name.clone().into(),
        skill_id: view.skill.skill.clone().into(),
        requirement: words::skill_says(&view.skill),
        caution: id(&view.skill.caution).into(),
        position: words::count(view.skills.place),
        of: words::count(view.skills.of),
        previous: id(&view.skills.before).into(),
        previous_name: id(&view.skill_before).into(),
        next: id(&view.skills.after).into(),
        next_name: id(&view.skill_after).into(),
        judged: words::count(view.judged),
        students: words::count(view.of),
        measuring: words::measuring(view.skill.measures.first().map(|measure| &measure.kind)),
        may_mark: view.may_mark == Leave::Yes,
    });
    fill(&kept.rows, view.rows.iter().map(row).collect());
    door.set_rows(ModelRc::from(Rc::clone(&kept.rows)));
    door.set_load(if view.rows.is_empty() {
        Load::Empty
    } else {
        Load::Ready
    });
    kept.view.replace(Some(view));
}

fn row(row: &border::LineUpRow) -> LineUpRow {
    let today = row.today.as_ref();
    LineUpRow {
        id: row.name.student.clone().into(),
        called: row.name.short.clone().into(),
        name: row.name.name.clone().into(),
        look: words::look(&row.cell),
        part: words::part(&row.cell),
        has_mark: today.is_some(),
        mark: today
            .map(|given| words::mark(&given.mark))
            .unwrap_or_default(),
        tries: words::count(row.tries_today),
        needed: row.needed,
        absent: matches!(row.presence, Presence::Absent | Presence::Gone),
        gaps: words::count(row.water_gaps),
        current: row.is_next,
    }
}

fn open(shell: &Rc<Shell>, student: &str) {
    let route = shell.route();
    let skill = route.skill.clone().unwrap_or_default();
    shell.open(route.here(Screen::Attempt).student(student).skill(skill));
}

fn mark_now(shell: &Rc<Shell>, student: &str, mark: Mark) {
    let kept = shell.kept::<Kept>();
    let shown = kept.view.borrow().as_ref().and_then(|view| {
        let row = view.rows.iter().find(|row| row.name.student == student)?;
        let who = row.name.short.clone();
        Some((Arc::clone(&row.cell.on), view.session.clone(), who))
    });
    let Some((on, session, who)) = shown else {
        return;
    };
    // Marks that differ are settled where both stand side by side.
    if on.tap() == Tap::Resolution && mark != Mark::SatOut {
        return open(shell, student);
    }
    let tap = MarkTap {
        on,
        mark: words::mark_back(mark),
        method: None,
        measured: Vec::new(),
        slips: Vec::new(),
        note: None,
        despite: None,
        session,
        origin: Origin::Live,
        again: Again::Unsaid,
    };
    let again = tap.clone();
    shell.record_or(Request::Mark { tap }, |fault| {
        ask_which(shell, fault, &who, again)
    });
}
