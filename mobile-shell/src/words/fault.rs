//! Faults as sentences.

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{Fault, Leave};

use crate::ui::{App, FaultKind, Faults, Words};

/// What went wrong, and what a person can do about it.
pub(crate) fn fault(ui: &App, fault: &Fault) -> SharedString {
    let words = ui.global::<Faults>();
    let text = |text: &Option<String>| SharedString::from(text.clone().unwrap_or_default());
    match fault {
        Fault::DeviceFull => words.invoke_full(),
        Fault::Busy => words.invoke_busy(),
        Fault::Refused {
            rule,
            value,
            least,
            most,
            field,
            what,
            id: _,
        } => {
            // A bound is said with its unit, where it has one.
            let unit = what
                .as_deref()
                .filter(|what| !what.is_empty() && *what != "fault");
            let bound = |bound: &Option<String>| match (bound, unit) {
                (Some(bound), Some(unit)) => format!("{bound} {unit}").into(),
                _ => text(bound),
            };
            let says = words.invoke_refused(rule.into(), text(value), bound(least), bound(most));
            words.invoke_of_field(text(field), says)
        }
        Fault::NewerVersion { found: _, known: _ } => words.invoke_newer(),
        Fault::Damaged { how } => words.invoke_damaged(text(how)),
        Fault::NotFound { what, id: _ } => words.invoke_not_found(what.into()),
        Fault::Internal { detail } => words.invoke_internal(detail.into()),
    }
}

/// The field that was refused, as the core names it.
pub(crate) fn fault_field(fault: &Fault) -> Option<&str> {
    match fault {
        Fault::Refused { field, .. } => field.as_deref(),
        Fault::DeviceFull
        | Fault::Busy
        | Fault::NewerVersion { .. }
        | Fault::Damaged { .. }
        | Fault::NotFound { .. }
        | Fault::Internal { .. } => None,
    }
}

/// The same in two or three words.
pub(crate) fn fault_title(ui: &App, fault: &Fault) -> SharedString {
    ui.global::<Faults>().invoke_title(match fault {
        Fault::DeviceFull => FaultKind::Full,
        Fault::Busy => FaultKind::Busy,
        Fault::Refused { .. } => FaultKind::Refused,
        Fault::NewerVersion { .. } => FaultKind::Newer,
        Fault::Damaged { .. } => FaultKind::Damaged,
        Fault::NotFound { .. } => FaultKind::NotFound,
        Fault::Internal { .. } => FaultKind::Internal,
    })
}

/// What is pressed once a notice has been read.
pub(crate) fn got_it(ui: &App) -> SharedString {
    ui.global::<Faults>().invoke_got_it()
}

/// Why a reader may not; empty where they may.
pub(crate) fn leave(ui: &App, leave: &Leave) -> SharedString {
    let rule = |word: &str| {
        ui.global::<Faults>()
            .invoke_refused(word.into(), "".into(), "".into(), "".into())
    };
    match leave {
        Leave::Yes => SharedString::new(),
        Leave::NotAdmitted => rule("not_admitted"),
        Leave::Role => rule("role"),
        Leave::NothingOpen => rule("nothing_open"),
        Leave::Gaps(count) => ui.global::<Words>().invoke_gaps(super::count(*count)),
    }
}
