//! Outline: the skills of a course and what each demands, adopted and adapted.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Fault, Leave, Outline, OutlineFault, OutlineSkill, OutlineView, Request, Scope, count_on,
    german_starter_outline, starter_outline,
};

use super::policy::scope;
use crate::shell::{Shell, on, rows, setup};
use crate::ui::{self, App, AppDoor, HouseWords, Load, OutlineDoor, OutlineSkillRow, Screen};
use crate::words;

#[derive(Default)]
pub(super) struct Kept {
    of: RefCell<Option<Scope>>,
    pub(super) draft: RefCell<Option<Outline>>,
    pub(super) changed: Cell<bool>,
    /// Whether the reader may set the outline: a draft of it does not say.
    may: Cell<bool>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<OutlineDoor>();
    super::skill::join(shell);
    on!(shell, door.on_adopt(_starter) => adopt(shell));
    on!(shell, door.on_open(skill) => {
        shell.open(shell.route().here(Screen::Skill).skill(skill));
    });
    on!(shell, door.on_add() => super::skill::add(shell));
    on!(shell, door.on_record() => record(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<OutlineDoor>();
    let kept = shell.kept::<Kept>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Outline), "");
    let scope = scope(&shell.route());
    let same = kept.of.borrow().as_ref() == Some(&scope);
    if !(same && kept.changed.get()) {
        match shell.desk().outline(scope.clone()) {
            Ok(view) => {
                kept.may.set(view.may_set == Leave::Yes);
                kept.draft.replace(Some(view.outline.clone()));
                kept.of.replace(Some(scope));
                kept.changed.set(false);
                door.set_why("".into());
                draw(shell, &view);
            }
            Err(Fault::NotFound { .. }) => {
                let starter = ui.global::<HouseWords>().get_starter();
                door.set_starters(rows([starter]));
                door.set_load(Load::Empty);
            }
            Err(fault) => {
                door.set_fault(words::fault(&ui, &fault));
                door.set_load(Load::Failed);
            }
        }
        return;
    }
    check(shell);
}

/// The draft with everything that is wrong with it.
pub(super) fn check(shell: &Rc<Shell>) {
    let Some(draft) = shell.kept::<Kept>().draft.borrow().clone() else {
        return;
    };
    match shell.desk().check_outline(draft) {
        Ok(view) => draw(shell, &view),
        Err(fault) => shell.fault(&fault),
    }
}

fn draw(shell: &Rc<Shell>, view: &OutlineView) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<OutlineDoor>();
    let kept = shell.kept::<Kept>();
    door.set_view(ui::OutlineView {
        title: view.outline.title.clone().into(),
        edition: words::count(view.outline.edition),
        source: view.outline.source.clone().into(),
        skills: words::count(view.skills.len()),
        faults: words::count(view.faults.len()),
        may_edit: kept.may.get(),
        changed: kept.changed.get(),
    });
    let mut before = None;
    let skills: Vec<OutlineSkillRow> = view
        .skills
        .iter()
        .enumerate()
        .map(|(n, skill)| {
            let first = before.replace(skill.card.family) != Some(skill.card.family);
            skill_row(&ui, view, skill, n, first)
        })
        .collect();
    door.set_skills(rows(skills));
    door.set_form_fault("".into());
    door.set_fault("".into());
    door.set_load(Load::Ready);
}

fn skill_row(
    ui: &App,
    view: &OutlineView,
    skill: &OutlineSkill,
    place: usize,
    first: bool,
) -> OutlineSkillRow {
    let id = skill.card.skill.as_str();
    let fault = view.faults.iter().find_map(|fault| {
        let (n, about) = fault_of(fault);
        (about == Some(id)).then(|| ui.global::<HouseWords>().invoke_outline_fault(n))
    });
    OutlineSkillRow {
        id: id.into(),
        number: slint::format!("{}", count_on(u32::try_from(place).unwrap_or(0), 1)),
        name: skill.card.name.clone().into(),
        family: words::family(&skill.card.family),
        first,
        requirement: words::skill_says(&skill.card),
        required: skill.card.required,
        fault: fault.unwrap_or_default(),
    }
}

/// What is wrong, by number, and with which skill.
fn fault_of(fault: &OutlineFault) -> (i32, Option<&str>) {
    match fault {
        OutlineFault::Text { what: _, of, .. } => (0, Some(of)),
        OutlineFault::Twice { id } => (1, Some(id)),
        OutlineFault::Unknown { by, .. } => (2, Some(by)),
        OutlineFault::Ring { id } => (3, Some(id)),
        OutlineFault::NotMeasurable { id } => (4, Some(id)),
        OutlineFault::Figure { id, .. } => (5, Some(id)),
        OutlineFault::NoCaution { id } => (6, Some(id)),
        OutlineFault::Settings { id } => (7, Some(id)),
        OutlineFault::Demand { id, .. } => (8, Some(id)),
        OutlineFault::Methods { id } => (9, Some(id)),
        OutlineFault::Minutes { id, .. } => (10, Some(id)),
        OutlineFault::WrongPlace { block: _, skill } => (11, Some(skill)),
        OutlineFault::TooMany { what: _, of, .. } => (11, Some(of)),
        OutlineFault::Empty | OutlineFault::Edition => (11, None),
    }
}

fn adopt(shell: &Rc<Shell>) {
    let (scope, why) = (scope(&shell.route()), None);
    // In the language of the screens; the course keeps it by value.
    let starter = if setup::in_german(shell) {
        german_starter_outline()
    } else {
        starter_outline()
    };
    match starter {
        Ok(outline) => {
            shell.record(Request::SetOutline {
                scope,
                outline,
                why,
            });
            shell.show_again();
        }
        Err(fault) => shell.fault(&fault),
    }
}

fn record(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let Some(mut outline) = kept.draft.borrow().clone() else {
        return;
    };
    outline.edition = count_on(outline.edition, 1);
    let why: SharedString = ui.global::<OutlineDoor>().get_why();
    let (scope, why) = (scope(&shell.route()), Some(why.to_string()));
    if shell
        .record(Request::SetOutline {
            scope,
            outline,
            why,
        })
        .is_some()
    {
        kept.changed.set(false);
        shell.show_again();
    }
}
