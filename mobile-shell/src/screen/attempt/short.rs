//! Short: figures below what is asked, said while they can still be taken again.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{AttemptSheetView, MeasureCard, Side, TakenWith};

use super::{Kept, own_watch, texts, with_sheet};
use crate::shell::{Shell, list};
use crate::ui::{App, AttemptDoor, Words};
use crate::words;

/// Which figures are asked about.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Asked {
    /// Those that are taken: the watch has stopped, the pad is closed.
    Taken,
    /// All of them: *Met* was pressed.
    All,
}

/// The figures below what is asked, as the core has it, each beside what is asked of it. A
/// count is asked about once *Met* was pressed on it: until then it may go on.
pub(super) fn falls(
    shell: &Rc<Shell>,
    sheet: &AttemptSheetView,
    asked: Asked,
) -> Vec<SharedString> {
    let Some(ui) = shell.ui() else {
        return Vec::new();
    };
    let runs = own_watch(shell, sheet).is_some_and(|view| view.running);
    let typing = usize::try_from(ui.global::<AttemptDoor>().get_typing()).ok();
    let pressed = shell.kept::<Kept>().draft.borrow().pressed;
    let mut says = Vec::new();
    let parts = sheet.skill.measures.iter().zip(texts(shell, sheet));
    for (place, (measure, text)) in parts.enumerate() {
        let taken = match measure.taken_with {
            TakenWith::Stopwatch => !runs,
            TakenWith::Counter => pressed,
            TakenWith::Number => typing != Some(place),
        };
        if text.is_empty() || !(taken || asked == Asked::All) {
            continue;
        }
        // What is no figure says so at its own field, once it is to be recorded.
        let Ok(figure) = shell.desk().read_measure(measure.kind, text.clone()) else {
            continue;
        };
        let (course, skill) = (sheet.course.clone(), sheet.skill.skill.to_string());
        match shell.desk().falls_short(course, skill, vec![figure]) {
            Ok(true) => says.push(question(shell, &ui, measure, &text)),
            Ok(false) => {}
            Err(fault) => shell.fault(&fault),
        }
    }
    says
}

/// A figure and what is asked of it, both with their unit, as a question.
fn question(shell: &Shell, ui: &App, measure: &MeasureCard, text: &str) -> SharedString {
    let unit = shell.desk().measure_unit(measure.kind);
    let symbol = unit.and_then(tallywater_bindings::unit_symbol);
    let of = measure.of.clone().unwrap_or_default();
    let unit = match (symbol.unwrap_or_default(), &measure.taken_with) {
        // A time reads as one by its colon; of what a count is stands behind what is asked.
        (none, TakenWith::Number) if none.is_empty() => of.clone(),
        (symbol, TakenWith::Stopwatch | TakenWith::Counter | TakenWith::Number) => symbol,
    };
    let words = ui.global::<Words>();
    let taken = if unit.is_empty() {
        text.to_owned()
    } else {
        format!("{text} {unit}")
    };
    let asked = words.invoke_goal(false, words::figure(&measure.bound), of.into());
    words.invoke_short_of(measure.side == Side::AtMost, taken.into(), asked)
}

/// Asks at once about every figure that is taken and below what is asked, or no longer.
pub(super) fn ask(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let says = with_sheet(shell, |sheet| falls(shell, sheet, Asked::Taken));
    ui.global::<AttemptDoor>().set_shorts(list(says));
}
