//! A cylinder by its free volume: where it is called so, the known sizes are there to be picked,
//! and the pad takes the litres of any other.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{FigureKind, UnitOfMeasure, Units, starter_cylinders};

use super::form::{Asks, Kept, asks, draw};
use crate::shell::{Shell, list, on};
use crate::ui::DivesDoor;
use crate::words;

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    on!(shell, door.on_take_size(size) => take(shell, size));
}

/// The sizes that are called by their free volume, each by what is typed for it and by what it
/// is called; none where litres are read.
fn sizes(shell: &Shell) -> Vec<(String, SharedString)> {
    let desk = shell.desk();
    let mut sizes = Vec::new();
    for size in starter_cylinders(Units::Metric).unwrap_or_default() {
        let litres = size.capacity.to_string();
        let read = desk.read_figure(FigureKind::Cylinder, litres.clone());
        let shown = read.and_then(|base| desk.show_figure(FigureKind::Cylinder, base));
        let Ok(shown) = shown else { continue };
        if matches!(shown.unit, UnitOfMeasure::One) {
            sizes.push((litres, shown.text.into()));
        }
    }
    sizes
}

/// Where the form asks for a cylinder.
fn place(form: i32) -> Option<usize> {
    asks(form).iter().position(|one| *one == Asks::Capacity)
}

/// The sizes beside the field that takes one, and which of them it holds.
pub(super) fn show(shell: &Shell, form: i32, texts: &[(String, usize)]) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    let place = place(form);
    let sizes = sizes(shell);
    let held = place.and_then(|place| texts.get(place));
    let held = held.and_then(|(text, _)| sizes.iter().position(|(litres, _)| litres == text));
    door.set_size(held.map_or(-1, words::count));
    door.set_size_field(place.map_or(-1, words::count));
    door.set_sizes(list(sizes.into_iter().map(|(_, called)| called)));
}

/// Types the litres of the size that was picked.
fn take(shell: &Rc<Shell>, size: i32) {
    let Some(ui) = shell.ui() else { return };
    let picked = usize::try_from(size).ok();
    let picked = picked.and_then(|size| sizes(shell).into_iter().nth(size));
    let place = place(ui.global::<DivesDoor>().get_form());
    let kept = shell.kept::<Kept>();
    if let (Some((litres, _)), Some(place)) = (picked, place)
        && let Some((text, _)) = kept.texts.borrow_mut().get_mut(place)
    {
        *text = litres;
    }
    kept.faults.take();
    draw(shell);
}
