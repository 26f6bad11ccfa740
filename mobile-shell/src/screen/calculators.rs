//! Calculators: the border's list, form and answers, drawn. Nothing is worked out here.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Calculator, CalculatorAnswer, CalculatorField, Fault, FieldGiven, FieldKey, FieldKind,
    FieldValue, calculate, calculator_form, calculators, unit_symbol,
};

use crate::shell::{Shell, on, rows};
use crate::ui::{AnswerRow, App, AppDoor, CalcDoor, CalculatorRow, FieldRow, Screen};
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
    draw(shell);
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
            kept.fields
                .replace(form.fields.into_iter().map(begin).collect());
            kept.open.set(Some(calculator));
            if let Some(ui) = shell.ui() {
                ui.global::<CalcDoor>().set_field(-1);
            }
            draw(shell);
        }
        Err(fault) => shell.fault(&fault),
    }
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
    door.set_about("".into());
    let found = calculate(calculator, shell.desk().units(), given(&fields));
    let wrong = found.as_ref().err();
    let field = |one: &Filled| field_row(&ui, one, wrong);
    door.set_fields(rows(fields.iter().map(field)));
    match found {
        Ok(found) => {
            door.set_fault("".into());
            door.set_answers(rows(found.answers.iter().map(|one| answer_row(&ui, one))));
            let cautions = found.cautions.iter().map(|one| words::caution(&ui, one));
            door.set_cautions(rows(cautions));
            let sources: Vec<String> = found.sources.into_iter().map(|one| one.citation).collect();
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
            door.set_cautions(rows([]));
            door.set_source("".into());
        }
    }
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
        FieldKind::Figure { unit, .. } => {
            (unit_symbol(unit.clone()).unwrap_or_default(), Vec::new())
        }
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
        unit: unit_symbol(one.unit.clone()).unwrap_or_default().into(),
        main: one.main,
        note: one
            .note
            .as_ref()
            .map(|note| words::note(ui, note))
            .unwrap_or_default(),
    }
}
