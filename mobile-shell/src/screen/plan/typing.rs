//! The figures of a plan, typed on the pad and read by the border.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{Fault, FigureKind};

use super::{Kept, check};
use crate::shell::Shell;
use crate::ui::{PlanDoor, PlanField};
use crate::words;

/// Opens the pad for a field, or closes it.
pub(super) fn begin(shell: &Rc<Shell>, field: PlanField) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PlanDoor>();
    let again = door.get_field() == field;
    shell.kept::<Kept>().typed.borrow_mut().clear();
    door.set_field_fault("".into());
    door.set_typed("".into());
    door.set_field(if again { PlanField::None } else { field });
    check(shell);
}

/// Changes what is being typed.
pub(super) fn change(shell: &Rc<Shell>, how: impl FnOnce(&mut String)) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PlanDoor>();
    let kept = shell.kept::<Kept>();
    how(&mut kept.typed.borrow_mut());
    door.set_field_fault("".into());
    door.set_typed(kept.typed.borrow().clone().into());
    check(shell);
}

/// Reads what was typed into the draft. An empty field takes the figure out, where it may
/// be left out.
pub(super) fn end(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PlanDoor>();
    let kept = shell.kept::<Kept>();
    let text = kept.typed.borrow().clone();
    match take(shell, door.get_field(), &text) {
        Ok(()) => {
            kept.typed.borrow_mut().clear();
            door.set_typed("".into());
            door.set_field(PlanField::None);
            check(shell);
        }
        Err(fault) => door.set_field_fault(words::fault(&ui, &fault)),
    }
}

fn take(shell: &Rc<Shell>, field: PlanField, text: &str) -> Result<(), Fault> {
    let kept = shell.kept::<Kept>();
    let desk = shell.desk();
    let beyond = |kind| Fault::beyond(kind, desk.units());
    let figure = |kind| -> Result<Option<i64>, Fault> {
        if text.is_empty() {
            return Ok(None);
        }
        desk.read_figure(kind, text.to_owned()).map(Some)
    };
    let mut plan = kept.plan.borrow_mut();
    let Some(plan) = plan.as_mut() else {
        return Ok(());
    };
    match field {
        PlanField::None | PlanField::Day => return Ok(()),
        PlanField::Starts => {
            if !text.is_empty()
                && let Some(at) = kept.view.borrow().as_ref().map(|view| view.starts)
            {
                plan.starts = desk
                    .read_clock(at.day.date.to_string(), text.to_owned())?
                    .at
                    .to_rfc3339();
            }
        }
        PlanField::Minutes => {
            let kind = FigureKind::Minutes;
            if let Some(minutes) = figure(kind)? {
                plan.minutes = u16::try_from(minutes).map_err(|_| beyond(kind))?;
            }
        }
        PlanField::Depth => {
            let kind = FigureKind::Depth;
            plan.water.max_depth_cm = held(figure(kind)?, || beyond(kind))?;
        }
        PlanField::Temperature => {
            let kind = FigureKind::Temperature;
            plan.water.temperature_dc = held(figure(kind)?, || beyond(kind))?;
        }
        PlanField::Altitude => {
            let kind = FigureKind::Altitude;
            plan.water.altitude_m = held(figure(kind)?, || beyond(kind))?;
        }
        PlanField::Visibility => {
            let kind = FigureKind::Way;
            plan.water.visibility_dm = held(figure(kind)?, || beyond(kind))?;
        }
    }
    kept.changed.set(true);
    Ok(())
}

/// A figure as its field holds it; one that it cannot hold is refused and never dropped.
fn held<T: TryFrom<i64>>(
    figure: Option<i64>,
    beyond: impl FnOnce() -> Fault,
) -> Result<Option<T>, Fault> {
    figure.map(T::try_from).transpose().map_err(|_| beyond())
}
