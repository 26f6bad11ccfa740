//! Line-up: one skill, one student after another, one tap each.

use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::sync::Arc;

use slint::{ComponentHandle, Model as _, ModelRc, VecModel};
use tallywater_bindings::{
    self as border, Again, Leave, LineUpView, MarkTap, Moment, Origin, Presence, Request, Tap,
};

use super::attempt::ask_which;
use super::{sweep, teams};
use crate::shell::{Shell, fill, on};
use crate::ui::{self, Act, Keys, LineUpDoor, LineUpRow, Load, Mark, Screen};
use crate::words;

#[derive(Default)]
struct Kept {
    /// The line-up as it is on screen: what a mark says it was made after.
    view: RefCell<Option<LineUpView>>,
    rows: Rc<VecModel<LineUpRow>>,
    /// Whom the keys mark; nobody before one of them was pressed.
    cursor: Cell<Option<usize>>,
    /// Of which skill the cursor and the time that was typed are.
    of: RefCell<Option<String>>,
    /// When it was seen, where a person said so.
    seen: RefCell<Option<Moment>>,
    typed: RefCell<String>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<LineUpDoor>();
    on!(shell, door.on_mark(student, mark) => mark_now(shell, &student, mark));
    on!(shell, door.on_open(student) => open(shell, &student));
    on!(shell, door.on_go(skill) => {
        shell.replace(shell.route().here(Screen::LineUp).skill(skill));
    });
    on!(shell, door.on_sweep(mark) => sweep_now(shell, mark));
    on!(shell, door.on_edit_seen() => edit_seen(shell));
    on!(shell, door.on_digit(key) => typed(shell, |text| text.push_str(&key)));
    on!(shell, door.on_erase() => typed(shell, |text| { text.pop(); }));
    on!(shell, door.on_done() => seen_typed(shell));
    on!(shell, door.on_large() => {
        let route = shell.route();
        let skill = route.skill.clone().unwrap_or_default();
        shell.open(route.here(Screen::Bare).skill(skill));
    });
    on!(shell, door.on_now() => super::plan::now(shell));
    on!(shell, door.on_undo() => shell.undo());
    on!(shell, door.on_leave() => shell.back());
    on!(shell, door.on_press(key) => press(shell, &key));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<LineUpDoor>();
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let skill = route.skill.clone().unwrap_or_default();
    if kept.of.borrow().as_ref() != Some(&skill) {
        kept.of.replace(Some(skill.clone()));
        kept.cursor.take();
        kept.seen.take();
        door.set_typing(false);
        door.set_cursor(-1);
    }
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
        skill_id: view.skill.skill.to_string().into(),
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
        sweep: words::count(view.sweep),
        seen: words::clock(kept.seen.borrow().as_ref().unwrap_or(&view.sweep_seen)),
        seen_day: words::day(&view.sweep_seen.day),
        left_out: sweep::left_out(shell, &view),
        in_session: view.session.is_some(),
    });
    fill(
        &kept.rows,
        view.rows.iter().map(|one| row(&ui, one)).collect(),
    );
    door.set_rows(ModelRc::from(Rc::clone(&kept.rows)));
    door.set_load(if view.rows.is_empty() {
        Load::Empty
    } else {
        Load::Ready
    });
    kept.view.replace(Some(view));
}

fn row(ui: &ui::App, row: &border::LineUpRow) -> LineUpRow {
    let today = row.today.as_ref();
    LineUpRow {
        id: row.name.student.to_string().into(),
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
        team: teams::of_one_briefly(ui, &row.team),
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

/// One word about everybody who was in the water.
fn sweep_now(shell: &Rc<Shell>, mark: Mark) {
    let kept = shell.kept::<Kept>();
    let requests = {
        let view = kept.view.borrow();
        let Some(view) = view.as_ref() else { return };
        let said = kept.seen.borrow();
        let seen = said.as_ref().unwrap_or(&view.sweep_seen);
        sweep::requests(view, mark, &seen.at.to_rfc3339())
    };
    shell.record_all(requests);
}

fn edit_seen(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<LineUpDoor>();
    door.set_fault("".into());
    door.set_typing(!door.get_typing());
    typed(shell, String::clear);
}

fn typed(shell: &Rc<Shell>, how: impl FnOnce(&mut String)) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    how(&mut kept.typed.borrow_mut());
    let typed = kept.typed.borrow().clone();
    ui.global::<LineUpDoor>().set_typed(typed.into());
}

/// The time of day at which it was seen, on the day that the screen names.
fn seen_typed(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<LineUpDoor>();
    let kept = shell.kept::<Kept>();
    let text = kept.typed.borrow().clone();
    let day = {
        let view = kept.view.borrow();
        view.as_ref()
            .map(|view| view.sweep_seen.day.date.to_string())
    };
    if let Some(day) = day.filter(|_| !text.is_empty()) {
        match shell.desk().read_clock(day, text) {
            Ok(seen) => {
                kept.seen.replace(Some(seen));
            }
            Err(fault) => return door.set_fault(words::fault(&ui, &fault)),
        }
    }
    door.set_fault("".into());
    door.set_typing(false);
    typed(shell, String::clear);
    show(shell);
}

/// A key, as it was learned or as it always is. Answers whether it did something.
fn press(shell: &Rc<Shell>, key: &str) -> bool {
    let Some(ui) = shell.ui() else { return false };
    let mark = match ui.global::<Keys>().invoke_act(key.into()) {
        Act::None => return false,
        Act::Undo => {
            shell.undo();
            return true;
        }
        Act::Next => {
            go_on(shell, 1);
            return true;
        }
        Act::Previous => {
            go_on(shell, -1);
            return true;
        }
        Act::Met => Mark::Met,
        Act::Nearly => Mark::Nearly,
        Act::NotYet => Mark::NotYet,
        Act::SatOut => Mark::SatOut,
    };
    let kept = shell.kept::<Kept>();
    let place = cursor(&kept);
    let student = kept.rows.row_data(place).map(|row| row.id);
    if let Some(student) = student {
        show_cursor(shell, place);
        mark_now(shell, &student, mark);
        go_on(shell, 1);
    }
    true
}

/// Whom the keys mark: the one they were led to, or else the next in line.
fn cursor(kept: &Kept) -> usize {
    let next = || kept.rows.iter().position(|row| row.current).unwrap_or(0);
    kept.cursor.get().unwrap_or_else(next)
}

/// Leads the keys to the next student or the one before. A first press shows where they are.
fn go_on(shell: &Rc<Shell>, by: isize) {
    let kept = shell.kept::<Kept>();
    let last = kept.rows.row_count().saturating_sub(1);
    let place = match kept.cursor.get() {
        None => cursor(&kept),
        Some(place) => place.saturating_add_signed(by).min(last),
    };
    show_cursor(shell, place);
}

fn show_cursor(shell: &Rc<Shell>, place: usize) {
    let kept = shell.kept::<Kept>();
    kept.cursor.set(Some(place));
    if let Some(ui) = shell.ui() {
        ui.global::<LineUpDoor>().set_cursor(words::count(place));
    }
}
