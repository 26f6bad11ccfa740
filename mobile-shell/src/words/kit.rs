//! Kit: kinds by their number, pieces by what they are called, what is wrong with them.

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{KitKind, KitName, KitOutRow, KitRow, KitState, KitWrong};

use super::{moment, who};
use crate::ui::{App, KitWords, Words};

/// What a piece can be, in the order of its numbers on screen.
pub(crate) static KIT: [KitKind; 10] = [
    KitKind::Suit,
    KitKind::Boots,
    KitKind::Fins,
    KitKind::Mask,
    KitKind::Bcd,
    KitKind::Regulator,
    KitKind::Cylinder,
    KitKind::Weights,
    KitKind::Computer,
    KitKind::Other,
];

/// What a piece is, by number.
pub(crate) const fn kit_kind(kind: &KitKind) -> i32 {
    match kind {
        KitKind::Suit => 0,
        KitKind::Boots => 1,
        KitKind::Fins => 2,
        KitKind::Mask => 3,
        KitKind::Bcd => 4,
        KitKind::Regulator => 5,
        KitKind::Cylinder => 6,
        KitKind::Weights => 7,
        KitKind::Computer => 8,
        KitKind::Other => 9,
    }
}

/// What a piece is, in words.
pub(crate) fn kit_kind_said(ui: &App, kind: &KitKind) -> SharedString {
    ui.global::<KitWords>().invoke_kind(kit_kind(kind))
}

/// How a piece stands, by number.
pub(crate) const fn kit_stands(state: &KitState) -> i32 {
    match state {
        KitState::Free => 0,
        KitState::Out => 1,
        KitState::Faulty => 2,
        KitState::Overdue => 3,
        KitState::Retired => 4,
    }
}

/// What is wrong with a piece, by number.
pub(crate) const fn kit_wrong(wrong: &KitWrong) -> i32 {
    match wrong {
        KitWrong::Faulty => 0,
        KitWrong::ServiceOverdue(..) => 1,
        KitWrong::TestOverdue(..) => 2,
        KitWrong::Retired => 3,
    }
}

/// What is wrong with a piece, in words.
pub(crate) fn kit_wrong_said(ui: &App, wrong: &KitWrong) -> SharedString {
    let until = match wrong {
        KitWrong::ServiceOverdue(until) | KitWrong::TestOverdue(until) => until.to_string(),
        KitWrong::Faulty | KitWrong::Retired => String::new(),
    };
    ui.global::<KitWords>()
        .invoke_wrong(kit_wrong(wrong), until.into())
}

/// All that is wrong with a piece, in words.
pub(crate) fn kit_wrongs(ui: &App, wrong: &[KitWrong]) -> SharedString {
    let said = wrong.iter().map(|one| kit_wrong_said(ui, one));
    let said: Vec<SharedString> = said.collect();
    said.join(" · ").into()
}

/// A piece by its kind and number, with its size where it has one.
pub(crate) fn kit_name(ui: &App, name: &KitName) -> SharedString {
    ui.global::<KitWords>().invoke_named(
        kit_kind(&name.kind),
        name.number.clone().into(),
        name.size.clone().into(),
    )
}

/// The same of a piece of the school's list.
pub(crate) fn kit_row_name(ui: &App, row: &KitRow) -> SharedString {
    let details = &row.details;
    ui.global::<KitWords>().invoke_named(
        kit_kind(&details.kind),
        details.number.clone().into(),
        details.size.clone().into(),
    )
}

/// Who has a piece, since when, and for which session.
fn kit_has(ui: &App, row: &KitOutRow) -> SharedString {
    let since = ui
        .global::<Words>()
        .invoke_moment_within(moment(&row.since));
    let title = row.session_title.clone().unwrap_or_default();
    ui.global::<KitWords>()
        .invoke_has(who(&row.who).into(), since, title.into())
}

/// How a piece stands, with who has it and all that is wrong with it.
pub(crate) fn kit_says(ui: &App, row: &KitRow) -> SharedString {
    let says = ui.global::<KitWords>();
    let mut said: Vec<SharedString> = row.out.iter().map(|out| kit_has(ui, out)).collect();
    if row.out.len() > 1 {
        said.push(says.invoke_apart());
    }
    said.extend(row.wrong.iter().map(|one| kit_wrong_said(ui, one)));
    if !row.same_number.is_empty() {
        said.push(says.invoke_same_number());
    }
    if said.is_empty() {
        said.push(says.invoke_stands(kit_stands(&row.state)));
    }
    said.join(" · ").into()
}
