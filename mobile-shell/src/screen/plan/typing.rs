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
                && let Some(at) = kept.view.borrow().as_ref().map(|view| view.starts.clone())
            {
                plan.starts = desk.read_clock(at.day.date, text.to_owned())?.at;
            }
        }
        PlanField::Minutes => {
            if let Some(minutes) = figure(FigureKind::Minutes)? {
                plan.minutes = u16::try_from(minutes).unwrap_or(u16::MAX);
            }
        }
        PlanField::Depth => {
            plan.water.max_depth_cm = figure(FigureKind::Depth)?.and_then(|cm| cm.try_into().ok());
        }
        PlanField::Temperature => {
            let read = figure(FigureKind::Temperature)?;
            plan.water.temperature_dc = read.and_then(|dc| dc.try_into().ok());
        }
        PlanField::Altitude => {
            let read = figure(FigureKind::Altitude)?;
            plan.water.altitude_m = read.and_then(|m| m.try_into().ok());
        }
        PlanField::Visibility => {
            plan.water.visibility_dm = figure(FigureKind::Way)?.and_then(|dm| dm.try_into().ok());
        }
    }
    kept.changed.set(true);
    Ok(())
}
