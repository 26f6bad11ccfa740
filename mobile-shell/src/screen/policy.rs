//! Policy: the house's rules, each with its source, confirmed by a person or by nobody.

mod edit;
mod figure;

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Leave, Policy, PolicyFault, PolicyView, Request, Rule, RuleConfirmation, RuleRow, RuleText,
    Scope, count_on, starter_policy,
};

use crate::shell::{Route, Shell, on, rows};
use crate::ui::{self, App, AppDoor, HouseWords, Load, PolicyDoor, Screen};
use crate::words::{self, RuleNames};

#[derive(Default)]
pub(super) struct Kept {
    of: RefCell<Option<Scope>>,
    draft: RefCell<Option<Policy>>,
    typed: RefCell<Option<String>>,
    changed: Cell<bool>,
    /// The outline's skills by name, to be picked from.
    skills: RefCell<Vec<(String, String)>>,
    /// Whether the reader may set the rules: a draft of them does not say.
    may: Cell<bool>,
}

/// The shop's book, or the course one is in.
pub(super) fn scope(route: &Route) -> Scope {
    match &route.course {
        Some(course) => Scope::Course {
            course: course.clone(),
        },
        None => Scope::Shop,
    }
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PolicyDoor>();
    on!(shell, door.on_adopt_starter() => adopt_starter(shell));
    on!(shell, door.on_confirm(rule) => confirm(shell, rule.into()));
    on!(shell, door.on_choose(rule, field, choice) => {
        change(shell, |policy| edit::choose(policy, &rule, &field, choice));
    });
    on!(shell, door.on_edit(rule, field) => edit(shell, rule, field));
    on!(shell, door.on_key(key) => typed(shell, |text| text.push_str(&key)));
    on!(shell, door.on_erase() => typed(shell, |text| { text.pop(); }));
    on!(shell, door.on_done() => done(shell));
    on!(shell, door.on_set_source(id, text) => set_source(shell, &id, &text));
    on!(shell, door.on_pick(rule, skill) => change(shell, |policy| edit::pick(policy, &rule, &skill)));
    on!(shell, door.on_add(n) => change(shell, |policy| edit::add(policy, n)));
    on!(shell, door.on_take_out(rule) => {
        if let Some(ui) = shell.ui() {
            ui.global::<PolicyDoor>().set_open(-1);
        }
        change(shell, |policy| edit::take_out(policy, &rule));
    });
    on!(shell, door.on_record() => record(shell));
    on!(shell, door.on_again() => shell.show_again());
}

/// Confirms rules by the text that was read today; whether they are confirmed now.
pub(super) fn confirm_by(
    shell: &Rc<Shell>,
    scope: Scope,
    rules: Vec<String>,
    text: &SharedString,
) -> bool {
    let on = match shell.desk().day(None, 0) {
        Ok(day) => day.date.to_string(),
        Err(fault) => {
            shell.fault(&fault);
            return false;
        }
    };
    let read = RuleText {
        title: text.trim().to_owned(),
        edition: None,
        clause: None,
        on,
    };
    shell
        .record(Request::ConfirmRules { scope, rules, read })
        .is_some()
}

/// What the rules of a course are called, by id; nothing of one that has none.
pub(super) fn names(shell: &Shell, course: String) -> RuleNames {
    let Some(ui) = shell.ui() else {
        return RuleNames::new();
    };
    // Whoever asks says by itself that a course cannot be read.
    let Ok(view) = shell.desk().policy(Scope::Course { course }) else {
        return RuleNames::new();
    };
    let named = |row: &RuleRow| (row.id.clone(), figure::name(&ui, row));
    view.rules.iter().map(named).collect()
}

/// Rules in words, for reading: what each is called, its figures, where it comes from, and
/// who has confirmed it.
pub(super) fn texts(shell: &Rc<Shell>, view: &PolicyView) -> Vec<ui::RuleText> {
    let Some(ui) = shell.ui() else {
        return Vec::new();
    };
    let says = ui.global::<HouseWords>();
    let text = |row: &RuleRow| {
        let figures = figure::rows(shell, &ui, &row.rule, None);
        let figures = figures.iter().map(|one| {
            let figure = format!("{}: {} {}", one.name, one.text, one.unit);
            figure.trim_end().to_owned()
        });
        let source = Some(row.source.clone()).filter(|source| !source.is_empty());
        let said: Vec<String> = figures.chain(source).collect();
        let confirmed = row.confirmed.as_ref().map(|one| {
            let on = ui.global::<ui::Words>().invoke_date(words::day(&one.on));
            says.invoke_confirmed_by(one.by.name.clone().into(), on)
        });
        ui::RuleText {
            name: figure::name(&ui, row),
            says: said.join(" · ").into(),
            confirmed: confirmed.unwrap_or_default(),
        }
    };
    view.rules.iter().map(text).collect()
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PolicyDoor>();
    let kept = shell.kept::<Kept>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Policy), "");
    let scope = scope(&shell.route());
    let same = kept.of.borrow().as_ref() == Some(&scope);
    if !(same && kept.changed.get()) {
        let view = match shell.desk().policy(scope.clone()) {
            Ok(view) => view,
            Err(tallywater_bindings::Fault::NotFound { .. }) => {
                door.set_load(Load::Empty);
                return;
            }
            Err(fault) => {
                door.set_fault(words::fault(&ui, &fault));
                door.set_load(Load::Failed);
                return;
            }
        };
        kept.may.set(view.may_set == Leave::Yes);
        kept.skills.replace(skills(shell, &scope));
        kept.draft.replace(Some(view.policy.clone()));
        kept.of.replace(Some(scope));
        kept.changed.set(false);
        draw(shell, &view);
        return;
    }
    check(shell);
}

/// The draft with everything that is wrong with it.
fn check(shell: &Rc<Shell>) {
    let Some(draft) = shell.kept::<Kept>().draft.borrow().clone() else {
        return;
    };
    let scope = scope(&shell.route());
    match shell.desk().check_policy(scope, draft) {
        Ok(view) => draw(shell, &view),
        Err(fault) => shell.fault(&fault),
    }
}

fn draw(shell: &Rc<Shell>, view: &PolicyView) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PolicyDoor>();
    let kept = shell.kept::<Kept>();
    let may = kept.may.get();
    door.set_view(ui::PolicyView {
        title: view.policy.title.clone().into(),
        edition: words::count(view.policy.edition),
        rules: words::count(view.rules.len()),
        unconfirmed: words::count(view.unconfirmed),
        may_confirm: may && !kept.changed.get(),
        may_edit: may,
        changed: kept.changed.get(),
    });
    if door.get_read_day().is_empty()
        && let Ok(today) = shell.desk().day(None, 0)
    {
        let text = format!("{:02} {:02} {}", today.day, today.month, today.year);
        door.set_read_day(text.into());
    }
    let row = |row: &RuleRow| rule_row(shell, &ui, view, row);
    door.set_rules(rows(view.rules.iter().map(row)));
    door.set_fault("".into());
    door.set_load(Load::Ready);
}

fn rule_row(shell: &Rc<Shell>, ui: &App, view: &PolicyView, row: &RuleRow) -> ui::RuleRow {
    let fault = view.faults.iter().find_map(|fault| {
        let (n, id) = fault_of(fault);
        (id == Some(row.id.as_str())).then(|| ui.global::<HouseWords>().invoke_policy_fault(n))
    });
    let confirmed = row.confirmed.as_ref();
    let open = ui.global::<PolicyDoor>();
    let place = view.rules.iter().position(|one| one.id == row.id);
    let is_open = place.is_some_and(|n| words::count(n) == open.get_open());
    let typed = shell.kept::<Kept>().typed.borrow().clone();
    let typed = typed
        .filter(|_| is_open)
        .map(|text| (open.get_field(), text));
    ui::RuleRow {
        id: row.id.clone().into(),
        name: figure::name(ui, row),
        figures: rows(figure::rows(shell, ui, &row.rule, typed)),
        picks: rows(picks(shell, row)),
        source: row.source.clone().into(),
        confirmed: confirmed.is_some(),
        by: confirmed
            .map(|one| one.by.name.clone())
            .unwrap_or_default()
            .into(),
        on: confirmed.map(|one| words::day(&one.on)).unwrap_or_default(),
        read: confirmed.map(|one| read(ui, one)).unwrap_or_default(),
        example: row
            .example
            .as_ref()
            .map(|one| {
                ui.global::<HouseWords>().invoke_example(
                    one.of_session,
                    words::count(one.instructors),
                    words::count(one.assistants),
                    words::count(one.students),
                    words::count(one.otherwise),
                )
            })
            .unwrap_or_default(),
        fault: fault.unwrap_or_default(),
        ..ui::RuleRow::default()
    }
}

/// The text that a rule was confirmed by.
fn read(ui: &App, one: &RuleConfirmation) -> SharedString {
    let named = [Some(&one.title), one.edition.as_ref(), one.clause.as_ref()];
    let named: Vec<&str> = named.into_iter().flatten().map(String::as_str).collect();
    let day = ui
        .global::<ui::Words>()
        .invoke_date(words::day(&one.read_on));
    ui.global::<HouseWords>()
        .invoke_text_read(named.join(", ").into(), day)
}

/// The skills of the outline in force; none where there is no outline.
fn skills(shell: &Rc<Shell>, scope: &Scope) -> Vec<(String, String)> {
    let outline = shell.desk().outline(scope.clone());
    let skills = outline.map(|view| view.outline.skills).unwrap_or_default();
    skills.into_iter().map(|one| (one.id, one.name)).collect()
}

/// Every skill of the outline, and every other one that the rule names.
fn picks(shell: &Rc<Shell>, row: &RuleRow) -> Vec<ui::PickRow> {
    let ui = shell.ui();
    let numbered = |n: usize, name: SharedString, on| ui::PickRow {
        id: slint::format!("{n}"),
        name,
        on,
    };
    if let (Rule::Forbids { conditions }, Some(ui)) = (&row.rule, &ui) {
        let says = ui.global::<ui::Words>();
        let all = edit::CONDITIONS.iter().enumerate();
        return all
            .map(|(n, one)| {
                let name = says.invoke_condition(words::condition(one));
                numbered(n, name, conditions.contains(one))
            })
            .collect();
    }
    if let (Rule::StaffNeeds { papers, .. }, Some(ui)) = (&row.rule, &ui) {
        let says = ui.global::<ui::Words>();
        let all = edit::PAPERS.iter().enumerate();
        return all
            .map(|(n, one)| {
                let name = says.invoke_staff_paper(words::staff_paper(one));
                numbered(n, name, papers.contains(one))
            })
            .collect();
    }
    if let (Rule::KitReady { kinds }, Some(ui)) = (&row.rule, &ui) {
        let all = words::KIT.iter().enumerate();
        return all
            .map(|(n, one)| numbered(n, words::kit_kind_said(ui, one), kinds.contains(one)))
            .collect();
    }
    let Some(named) = edit::named(&row.rule) else {
        return Vec::new();
    };
    let kept = shell.kept::<Kept>();
    let skills = kept.skills.borrow();
    let other = named
        .iter()
        .filter(|id| !skills.iter().any(|(known, _)| known == *id))
        .map(|id| (id, id));
    let all = skills.iter().map(|(id, name)| (id, name)).chain(other);
    all.map(|(id, name)| ui::PickRow {
        id: id.into(),
        name: name.into(),
        on: named.contains(id),
    })
    .collect()
}

/// Changes the draft, and shows what is wrong with it now.
fn change(shell: &Rc<Shell>, how: impl FnOnce(&mut Policy)) {
    let kept = shell.kept::<Kept>();
    if let Some(draft) = kept.draft.borrow_mut().as_mut() {
        how(draft);
    }
    kept.changed.set(true);
    check(shell);
}

/// What is wrong, by number, and with which rule.
fn fault_of(fault: &PolicyFault) -> (i32, Option<&str>) {
    match fault {
        PolicyFault::NoSource { id } | PolicyFault::LongSource { id, .. } => (0, Some(id.as_str())),
        PolicyFault::Figure { id, .. } => (1, Some(id.as_str())),
        PolicyFault::CapBelowOne { id, .. } => (2, Some(id.as_str())),
        PolicyFault::Clash { first, .. } => (3, Some(first.as_str())),
        PolicyFault::Twice { id } => (4, Some(id.as_str())),
        PolicyFault::TooMany { .. } | PolicyFault::Edition | PolicyFault::Title { .. } => (4, None),
    }
}

fn adopt_starter(shell: &Rc<Shell>) {
    let scope = scope(&shell.route());
    match starter_policy() {
        Ok(policy) => {
            shell.record(Request::SetPolicy { scope, policy });
            shell.show_again();
        }
        Err(fault) => shell.fault(&fault),
    }
}

/// Confirms a rule by the text that the person says was read.
fn confirm(shell: &Rc<Shell>, rule: String) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PolicyDoor>();
    let filled = |text: SharedString| {
        let text = text.trim().to_owned();
        (!text.is_empty()).then_some(text)
    };
    let on = match shell.desk().read_day(door.get_read_day().into()) {
        Ok(day) => day.date.to_string(),
        Err(fault) => return door.set_fault(words::fault(&ui, &fault)),
    };
    let read = RuleText {
        title: filled(door.get_read_title()).unwrap_or_default(),
        edition: filled(door.get_read_edition()),
        clause: filled(door.get_read_clause()),
        on,
    };
    let scope = scope(&shell.route());
    let rules = vec![rule];
    shell.record(Request::ConfirmRules { scope, rules, read });
}

fn edit(shell: &Rc<Shell>, rule: i32, field: i32) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PolicyDoor>();
    let again = door.get_field() == field && door.get_open() == rule;
    door.set_field(if again { -1 } else { field });
    shell.kept::<Kept>().typed.take();
}

fn typed(shell: &Rc<Shell>, change: impl FnOnce(&mut String)) {
    {
        let kept = shell.kept::<Kept>();
        let mut typed = kept.typed.borrow_mut();
        change(typed.get_or_insert_with(String::new));
    }
    check(shell);
}

/// Reads what was typed into the rule that is open.
fn done(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PolicyDoor>();
    let kept = shell.kept::<Kept>();
    let text = kept.typed.take();
    let field = door.get_field();
    door.set_field(-1);
    if let (Some(text), Ok(rule), Ok(field)) = (
        text,
        usize::try_from(door.get_open()),
        usize::try_from(field),
    ) {
        let set = {
            let mut draft = kept.draft.borrow_mut();
            let rule = draft.as_mut().and_then(|draft| draft.rules.get_mut(rule));
            rule.map(|rule| figure::set(shell, &ui, &mut rule.rule, field, text))
        };
        match set {
            Some(Ok(())) => kept.changed.set(true),
            Some(Err(fault)) => door.set_fault(words::fault(&ui, &fault)),
            None => {}
        }
    }
    check(shell);
}

fn set_source(shell: &Rc<Shell>, id: &str, text: &SharedString) {
    let kept = shell.kept::<Kept>();
    if let Some(draft) = kept.draft.borrow_mut().as_mut() {
        for rule in draft.rules.iter_mut().filter(|rule| rule.id == id) {
            rule.source = text.to_string();
        }
    }
    // Not drawn anew: the field that is being written in would lose its place.
    if !kept.changed.replace(true) {
        check(shell);
    }
}

fn record(shell: &Rc<Shell>) {
    let kept = shell.kept::<Kept>();
    let Some(mut policy) = kept.draft.borrow().clone() else {
        return;
    };
    policy.edition = count_on(policy.edition, 1);
    let scope = scope(&shell.route());
    if shell.record(Request::SetPolicy { scope, policy }).is_some() {
        kept.changed.set(false);
        shell.show_again();
    }
}
