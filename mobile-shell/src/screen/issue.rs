//! Issue: who of a session needs which sizes, has what of the school's kit, and could be issued
//! what; one tap each way.

mod act;
mod draw;

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, VecModel};
use tallywater_bindings::{KitIssueView, KitOutRow, KitPersonRow, KitRow, Leave, Who};

use super::papers;
use crate::shell::{Route, Shell, fill, on};
use crate::ui::{
    App, AppDoor, CourseWords, IssueDoor, IssueLine, IssuePerson, KitWords, Load, PickRow,
    PieceLine, Screen,
};
use crate::words;

/// What the screen keeps: whose lines are open, and what is being chosen or said there.
#[derive(Default)]
struct Kept {
    /// Of which session.
    of: RefCell<Option<String>>,
    view: RefCell<Option<KitIssueView>>,
    /// Whose lines are open; empty for nobody's.
    open: RefCell<String>,
    /// The kind that is chosen from, by its place among all of them, with the size that is looked
    /// for; `None` while nothing is chosen.
    kind: RefCell<Option<(usize, String)>>,
    /// It is chosen below the line that lacks it, and not below all lines.
    at_line: Cell<bool>,
    choosing: Cell<bool>,
    choices: RefCell<Vec<KitRow>>,
    /// The piece that asks for a reason.
    asks: RefCell<Option<String>>,
    faulting: Cell<bool>,
    /// The entry that issued the piece that has a fault.
    picked: RefCell<Option<String>>,
    people: Rc<VecModel<IssuePerson>>,
    lines: Rc<VecModel<IssueLine>>,
    kinds: Rc<VecModel<PickRow>>,
    pieces: Rc<VecModel<PieceLine>>,
    has: Rc<VecModel<PickRow>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<IssueDoor>();
    on!(shell, door.on_choose(id) => choose(shell, &id));
    on!(shell, door.on_issue(piece, below) => act::issue(shell, &piece, below, None));
    on!(shell, door.on_issue_despite() => act::issue_despite(shell));
    on!(shell, door.on_issue_all() => act::issue_all(shell));
    on!(shell, door.on_take_back(entry) => act::take_back(shell, &entry, None));
    on!(shell, door.on_all_back() => act::all_back(shell));
    on!(shell, door.on_another() => another(shell));
    on!(shell, door.on_choose_kind(kind) => choose_kind(shell, &kind, "", false));
    on!(shell, door.on_choose_here(kind, size) => choose_kind(shell, &kind, &size, true));
    on!(shell, door.on_a_fault() => a_fault(shell));
    on!(shell, door.on_pick(entry) => pick(shell, &entry));
    on!(shell, door.on_report() => act::report(shell));
    on!(shell, door.on_back_with_fault() => act::back_with_fault(shell));
    on!(shell, door.on_print() => print(shell));
    on!(shell, door.on_to_kit() => shell.open(Route::to(Screen::Kit)));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<IssueDoor>();
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Issue);
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    if *kept.of.borrow() != route.session {
        close(&ui, &kept);
        kept.open.take();
        kept.of.replace(route.session.clone());
    }
    let (Some(course), Some(session)) = (route.course, route.session) else {
        shell.title(heading, "");
        door.set_load(Load::Empty);
        return;
    };
    shell.title(heading, shell.session_says(&course, Some(&session)));
    let view = shell.see(shell.desk().kit_issue(course, session), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    kept.view.replace(Some(view));
    look_for(shell, &kept);
    draw(&ui, &kept);
    door.set_load(Load::Ready);
}

/// Puts away what was being chosen and said.
fn close(ui: &App, kept: &Kept) {
    let door = ui.global::<IssueDoor>();
    kept.kind.take();
    kept.at_line.set(false);
    kept.choosing.set(false);
    kept.choices.take();
    kept.asks.take();
    kept.faulting.set(false);
    kept.picked.take();
    door.set_reason("".into());
    door.set_found("".into());
    door.set_done("".into());
    door.set_refused("".into());
}

/// The pieces of the kind that is chosen from, as they are now.
fn look_for(shell: &Rc<Shell>, kept: &Kept) {
    let Some(ui) = shell.ui() else { return };
    let wanted = kept.kind.borrow().clone();
    let kind = wanted
        .as_ref()
        .and_then(|(place, _)| words::KIT.get(*place));
    let route = shell.route();
    let (Some(kind), Some((_, size)), Some(session)) = (kind, &wanted, route.session.clone())
    else {
        kept.choices.take();
        return;
    };
    let found = shell
        .desk()
        .kit_for(route.in_course(), session, *kind, size.clone());
    let door = ui.global::<IssueDoor>();
    let found = shell.see(found, |fault| door.set_refused(fault));
    kept.choices.replace(found.unwrap_or_default());
}

/// All that is on screen, from what is kept.
fn draw(ui: &App, kept: &Kept) {
    let door = ui.global::<IssueDoor>();
    let view = kept.view.borrow();
    let Some(view) = view.as_ref() else { return };
    door.set_missing(words::count(view.missing));
    door.set_wrong(words::count(view.wrong));
    door.set_elsewhere(words::count(view.elsewhere));
    let may = view.may_issue == Leave::Yes;
    door.set_may(may);
    door.set_why_not(words::leave(ui, &view.may_issue));
    let people = view.rows.iter().map(|row| draw::person(ui, row));
    fill(&kept.people, people.collect());
    door.set_people(ModelRc::from(Rc::clone(&kept.people)));
    let open = kept.open.borrow();
    let row = row_of(view, &open);
    door.set_open(row.map(|_| open.clone()).unwrap_or_default().into());
    let lines = row.map(|row| draw::lines(ui, row, may)).unwrap_or_default();
    door.set_proposals(words::count(proposed(row).len()));
    fill(&kept.lines, lines);
    door.set_lines(ModelRc::from(Rc::clone(&kept.lines)));
    let out: Vec<&KitOutRow> = row.map(issued).unwrap_or_default();
    door.set_held(words::count(out.len()));
    let picked = kept.picked.borrow();
    let has = out.iter().map(|one| PickRow {
        id: one.entry.to_string().into(),
        name: words::kit_name(ui, &one.piece),
        on: picked.as_ref().is_some_and(|id| one.entry == *id),
    });
    fill(&kept.has, has.collect());
    door.set_has(ModelRc::from(Rc::clone(&kept.has)));
    door.set_faulting(kept.faulting.get() && !out.is_empty());
    door.set_picked(
        out.iter()
            .any(|one| picked.as_ref().is_some_and(|id| one.entry == *id)),
    );
    choices(ui, kept);
}

/// The kinds that can be chosen from, and the pieces of the one that is.
fn choices(ui: &App, kept: &Kept) {
    let door = ui.global::<IssueDoor>();
    let chosen = kept.kind.borrow();
    let chosen = chosen.as_ref().map(|(place, _)| *place);
    let kinds = words::KIT.iter().enumerate().map(|(place, kind)| PickRow {
        id: slint::format!("{place}"),
        name: words::kit_kind_said(ui, kind),
        on: chosen == Some(place),
    });
    fill(&kept.kinds, kinds.collect());
    door.set_kinds(ModelRc::from(Rc::clone(&kept.kinds)));
    let rows = kept.choices.borrow();
    let pieces = rows.iter().map(|row| draw::choice(ui, row));
    fill(&kept.pieces, pieces.collect());
    door.set_choices(ModelRc::from(Rc::clone(&kept.pieces)));
    door.set_of_kind(chosen.is_some());
    let here = chosen.filter(|_| kept.at_line.get());
    door.set_at_line(
        here.map(|place| place.to_string())
            .unwrap_or_default()
            .into(),
    );
    door.set_choosing(kept.choosing.get());
    door.set_asks(kept.asks.borrow().clone().unwrap_or_default().into());
}

/// The id of somebody.
fn id_of(who: &Who) -> &str {
    match who {
        Who::Student { student } => student,
        Who::Staff { staff } => staff,
    }
}

fn row_of<'a>(view: &'a KitIssueView, id: &str) -> Option<&'a KitPersonRow> {
    let mut rows = view.rows.iter();
    rows.find(|row| id_of(&Who::from(&row.who)) == id)
}

/// What somebody has of the school's kit.
fn issued(row: &KitPersonRow) -> Vec<&KitOutRow> {
    row.lines.iter().flat_map(|line| &line.issued).collect()
}

/// The pieces that are proposed for somebody.
fn proposed(row: Option<&KitPersonRow>) -> Vec<String> {
    let lines = row.into_iter().flat_map(|row| &row.lines);
    let names = lines.filter_map(|line| line.proposed.as_ref());
    names.map(|name| name.piece.to_string()).collect()
}

/// Opens somebody's lines; open already, closes them.
fn choose(shell: &Rc<Shell>, id: &str) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    close(&ui, &kept);
    let same = *kept.open.borrow() == id;
    kept.open
        .replace(if same { String::new() } else { id.to_owned() });
    draw(&ui, &kept);
}

/// Whose lines are open: the session, and who.
fn opened(shell: &Rc<Shell>) -> Option<(String, String, Who)> {
    let kept = shell.kept::<Kept>();
    let (view, open) = (kept.view.borrow(), kept.open.borrow());
    let view = view.as_ref()?;
    let who = Who::from(&row_of(view, &open)?.who);
    Some((view.course.to_string(), view.session.to_string(), who))
}

/// Begins to choose another piece, or ends it.
fn another(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let choosing = kept.choosing.get();
    close(&ui, &kept);
    kept.choosing.set(!choosing);
    draw(&ui, &kept);
}

/// Turns to the pieces of a kind, those of a size first: below the line that lacks it, where a
/// second press ends it, or below all lines.
fn choose_kind(shell: &Rc<Shell>, kind: &str, size: &str, at_line: bool) {
    let Some(ui) = shell.ui() else { return };
    let Ok(place) = kind.parse::<usize>() else {
        return;
    };
    let kept = shell.kept::<Kept>();
    let chosen = kept.kind.borrow().as_ref().map(|(place, _)| *place);
    let again = at_line && kept.at_line.get() && chosen == Some(place);
    close(&ui, &kept);
    if !again {
        kept.at_line.set(at_line);
        kept.choosing.set(!at_line);
        kept.kind.replace(Some((place, size.to_owned())));
    }
    look_for(shell, &kept);
    draw(&ui, &kept);
}

/// Begins to say what is wrong with something that they have, or ends it.
fn a_fault(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let faulting = kept.faulting.get();
    close(&ui, &kept);
    kept.faulting.set(!faulting);
    draw(&ui, &kept);
}

fn pick(shell: &Rc<Shell>, entry: &str) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    kept.picked.replace(Some(entry.to_owned()));
    draw(&ui, &kept);
}

fn print(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<IssueDoor>();
    let title = {
        let kept = shell.kept::<Kept>();
        let view = kept.view.borrow();
        view.as_ref().map(|view| view.title.clone())
    };
    let title = ui
        .global::<KitWords>()
        .invoke_issue_list(title.unwrap_or_default().into());
    door.set_refused("".into());
    match papers::issue_list(shell, &title) {
        Ok(path) => {
            let said = path.display().to_string();
            door.set_done(ui.global::<CourseWords>().invoke_written(said.into()));
        }
        Err(fault) => door.set_refused(words::fault(&ui, &fault)),
    }
}
