//! Calculators: the border's list, form and answers, drawn. Nothing is worked out here.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Calculator, CalculatorAnswer, CalculatorField, CalculatorForm, Fault, FieldGiven, FieldKey,
    FieldKind, FieldValue, LeadForm, SourceView, WeightRow, Weighting, calculate, calculator_form,
    calculators, unit_symbol,
};

use crate::shell::{Shell, on, rows, setup};
use crate::ui::{AnswerRow, App, AppDoor, CalcDoor, CalcWords, CalculatorRow, FieldRow, Screen};
use crate::words;

/// One field and what stands in it.
struct Filled {
    field: CalculatorField,
    text: String,
    chosen: usize,
}

#[derive(Default)]
struct Kept {
    open: Cell<Option<Calculator>>,
    fields: RefCell<Vec<Filled>>,
    /// What is known of whom the lead is asked.
    of: RefCell<Option<Weighting>>,
    /// Whether the field on the pad still shows what it began with: the first key replaces it.
    fresh: Cell<bool>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CalcDoor>();
    on!(shell, door.on_choose(id) => open(shell, &id));
    on!(shell, door.on_edit(n) => edit(shell, n));
    on!(shell, door.on_pick(id, choice) => pick(shell, &id, choice));
    on!(shell, door.on_key(key) => typed(shell, |text| text.push_str(&key)));
    on!(shell, door.on_erase() => typed(shell, |text| { text.pop(); }));
    on!(shell, door.on_done() => {
        if let Some(ui) = shell.ui() {
            ui.global::<CalcDoor>().set_field(-1);
        }
        draw(shell);
    });
    on!(shell, door.on_close() => close(shell));
    on!(shell, door.on_keep_body() => keep_body(shell));
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Calculators);
    shell.title(heading, "");
    let row = |calculator: Calculator| CalculatorRow {
        id: id(calculator),
        name: words::calculator(&ui, &calculator),
        about: SharedString::new(),
        icon: icon(calculator),
    };
    let door = ui.global::<CalcDoor>();
    door.set_calculators(rows(calculators().into_iter().map(row)));
    about_student(shell);
    draw(shell);
}

/// Opens the lead of the student that the screen is about, filled in as far as is known; what
/// was typed since stays.
fn about_student(shell: &Rc<Shell>) {
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let Some(student) = route.student.clone() else {
        if kept.of.take().is_some() {
            kept.open.set(None);
        }
        return;
    };
    let before = kept
        .of
        .borrow()
        .as_ref()
        .map(|of| of.student.student.to_string());
    if before.as_ref() == Some(&student) && kept.open.get().is_some() {
        return;
    }
    let asked = shell
        .desk()
        .lead_form(route.in_course(), student, route.session);
    match asked {
        Ok(LeadForm { known, form }) => {
            kept.of.replace(Some(known));
            fill_in(shell, form);
        }
        Err(fault) => shell.fault(&fault),
    }
}

/// A calculator's id on the screen: its name in the code.
fn id(calculator: Calculator) -> SharedString {
    slint::format!("{calculator:?}")
}

/// 0 a gauge, 1 a weight, 2 a clock, 3 water, 4 people, 5 a rule.
const fn icon(calculator: Calculator) -> i32 {
    match calculator {
        Calculator::MinimumReserve
        | Calculator::TurnPressure
        | Calculator::SurfaceRate
        | Calculator::CylinderContents => 0,
        Calculator::LeadStart
        | Calculator::LeadChange
        | Calculator::DropWeights
        | Calculator::CylinderBuoyancy
        | Calculator::SuitBuoyancy => 1,
        Calculator::NoStopLimit | Calculator::RepetitiveDive | Calculator::BeforeFlying => 2,
        Calculator::PressureAtDepth
        | Calculator::DepthAtPressure
        | Calculator::WaterDensity
        | Calculator::DensityBySalinity => 3,
        Calculator::Supervision | Calculator::ShareMet | Calculator::Agreement => 4,
        Calculator::AirAtAltitude | Calculator::AltitudeByAir => 5,
    }
}

fn open(shell: &Rc<Shell>, asked: &str) {
    let found = calculators().into_iter().find(|one| id(*one) == asked);
    let Some(calculator) = found else { return };
    let kept = shell.kept::<Kept>();
    match calculator_form(calculator, shell.desk().units()) {
        Ok(form) => {
            kept.of.take();
            shell.aim(None, None);
            fill_in(shell, form);
            draw(shell);
        }
        Err(fault) => shell.fault(&fault),
    }
}

/// Begins a form.
fn fill_in(shell: &Rc<Shell>, form: CalculatorForm) {
    let kept = shell.kept::<Kept>();
    kept.open.set(Some(form.calculator));
    kept.fields
        .replace(form.fields.into_iter().map(begin).collect());
    if let Some(ui) = shell.ui() {
        ui.global::<CalcDoor>().set_field(-1);
    }
}

/// Keeps height and weight with the student that the form is about.
fn keep_body(shell: &Rc<Shell>) {
    let kept = shell.kept::<Kept>();
    let student = kept
        .of
        .borrow()
        .as_ref()
        .map(|of| of.student.student.to_string());
    let (Some(student), [Some(height), Some(mass)]) = (student, body(&kept.fields.borrow())) else {
        return;
    };
    let course = shell.route().in_course();
    match shell
        .desk()
        .keep_body(course.clone(), student.clone(), height, mass)
    {
        Ok(_) => {
            let session = shell.route().session;
            if let Ok(LeadForm { known, form: _ }) =
                shell.desk().lead_form(course, student, session)
            {
                kept.of.replace(Some(known));
            }
            draw(shell);
        }
        Err(fault) => shell.fault(&fault),
    }
}

/// Height and weight as they stand in the form; `None` for one that it does not ask or that is
/// empty.
fn body(fields: &[Filled]) -> [Option<String>; 2] {
    [FieldKey::BodyHeight, FieldKey::BodyMass].map(|key| {
        let found = fields.iter().find(|one| one.field.key == key)?;
        let text = found.text.trim();
        (!text.is_empty()).then(|| text.to_owned())
    })
}

/// Whether the form has a height and a weight that the student's own details have not.
fn may_keep(known: &Weighting, fields: &[Filled]) -> bool {
    let text =
        |figure: &Option<tallywater_bindings::Figure>| figure.as_ref().map(|one| one.text.clone());
    let typed = body(fields);
    typed.iter().all(Option::is_some) && typed != [text(&known.height), text(&known.mass)]
}

fn begin(field: CalculatorField) -> Filled {
    let (text, chosen) = match &field.kind {
        FieldKind::Figure { start, .. } => (start.clone(), 0),
        FieldKind::Choice { chosen, .. } => (String::new(), usize::try_from(*chosen).unwrap_or(0)),
    };
    Filled {
        field,
        text,
        chosen,
    }
}

fn close(shell: &Rc<Shell>) {
    shell.kept::<Kept>().open.set(None);
    draw(shell);
}

fn edit(shell: &Rc<Shell>, n: i32) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CalcDoor>();
    door.set_field(if door.get_field() == n { -1 } else { n });
    shell.kept::<Kept>().fresh.set(true);
}

fn pick(shell: &Rc<Shell>, field: &str, choice: i32) {
    {
        let kept = shell.kept::<Kept>();
        let mut fields = kept.fields.borrow_mut();
        let found = fields.iter_mut().find(|one| one.field.word == field);
        if let (Some(one), Ok(choice)) = (found, usize::try_from(choice)) {
            one.chosen = choice;
        }
    }
    draw(shell);
}

fn typed(shell: &Rc<Shell>, change: impl FnOnce(&mut String)) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let place = usize::try_from(ui.global::<CalcDoor>().get_field()).ok();
    {
        let mut fields = kept.fields.borrow_mut();
        let Some(one) = place.and_then(|n| fields.get_mut(n)) else {
            return;
        };
        if kept.fresh.replace(false) {
            one.text.clear();
        }
        change(&mut one.text);
    }
    draw(shell);
}

/// The form as it stands and what it comes to.
fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CalcDoor>();
    let kept = shell.kept::<Kept>();
    let Some(calculator) = kept.open.get() else {
        door.set_open("".into());
        return;
    };
    let fields = kept.fields.borrow();
    door.set_open(id(calculator));
    door.set_name(words::calculator(&ui, &calculator));
    let of = kept.of.borrow();
    let whose = of.as_ref().map(|known| known.student.name.clone());
    door.set_whose(whose.unwrap_or_default().into());
    let keeps = of.as_ref().is_some_and(|known| may_keep(known, &fields));
    let last = of.as_ref().and_then(|known| known.last.as_ref());
    door.set_about(last.map(|last| checked(&ui, last)).unwrap_or_default());
    let found = calculate(calculator, shell.desk().units(), given(&fields));
    let wrong = found.as_ref().err();
    door.set_keeps(keeps && found.is_ok());
    let field = |one: &Filled| field_row(&ui, one, wrong);
    door.set_fields(rows(fields.iter().map(field)));
    match found {
        Ok(found) => {
            door.set_fault("".into());
            door.set_answers(rows(found.answers.iter().map(|one| answer_row(&ui, one))));
            let checks = found.to_confirm.iter().map(|one| words::check(&ui, one));
            door.set_checks(rows(checks));
            let cautions = found.cautions.iter().map(|one| words::caution(&ui, one));
            door.set_cautions(rows(cautions));
            let german = setup::in_german(shell);
            let cited = |one: SourceView| if german { one.german } else { one.citation };
            let sources: Vec<String> = found.sources.into_iter().map(cited).collect();
            door.set_source(sources.join("; ").into());
        }
        Err(fault) => {
            // A field that is wrong says so itself.
            let named = fields.iter().any(|one| is_about(&fault, &one.field));
            door.set_fault(if named {
                SharedString::new()
            } else {
                words::fault(&ui, &fault)
            });
            door.set_answers(rows([]));
            door.set_checks(rows([]));
            door.set_cautions(rows([]));
            door.set_source("".into());
        }
    }
}

/// The last check that held, in the words it was recorded with.
fn checked(ui: &App, last: &WeightRow) -> SharedString {
    ui.global::<CalcWords>().invoke_last_check(
        words::figure(&last.lead),
        words::water(&last.water),
        last.suit.clone().into(),
        last.cylinder.clone().into(),
        words::figure(&last.capacity),
        words::figure(&last.pressure),
        words::moment(&last.at),
    )
}

fn given(fields: &[Filled]) -> Vec<FieldGiven> {
    let one = |one: &Filled| -> Option<FieldGiven> {
        let key: FieldKey = one.field.key;
        let value = match &one.field.kind {
            FieldKind::Figure { .. } => FieldValue::Text {
                text: one.text.clone(),
            },
            FieldKind::Choice { options, .. } => FieldValue::Choice {
                option: *options.get(one.chosen)?,
            },
        };
        Some(FieldGiven { key, value })
    };
    fields.iter().filter_map(one).collect()
}

fn is_about(fault: &Fault, field: &CalculatorField) -> bool {
    matches!(fault, Fault::Refused { field: Some(word), .. } if *word == field.word)
}

fn field_row(ui: &App, one: &Filled, wrong: Option<&Fault>) -> FieldRow {
    let fault = wrong
        .filter(|fault| is_about(fault, &one.field))
        .map(|fault| words::fault(ui, fault))
        .unwrap_or_default();
    let (unit, choices) = match &one.field.kind {
        FieldKind::Figure { unit, .. } => (unit_symbol(*unit).unwrap_or_default(), Vec::new()),
        FieldKind::Choice { options, .. } => {
            let words = options.iter().map(|option| words::option(ui, option));
            (String::new(), words.collect())
        }
    };
    FieldRow {
        id: one.field.word.clone().into(),
        name: words::field(ui, &one.field.key),
        text: one.text.clone().into(),
        unit: unit.into(),
        choices: rows(choices),
        chosen: words::count(one.chosen),
        fault,
    }
}

fn answer_row(ui: &App, one: &CalculatorAnswer) -> AnswerRow {
    AnswerRow {
        name: words::answer(ui, &one.key),
        text: one.text.clone().into(),
        unit: unit_symbol(one.unit).unwrap_or_default().into(),
        main: one.main,
        note: one
            .note
            .as_ref()
            .map(|note| words::note(ui, note))
            .unwrap_or_default(),
    }
}
