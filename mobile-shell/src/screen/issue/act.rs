//! What is done on the issue screen: pieces go out and come back, and faults are said.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{Fault, Request};

use super::{Kept, close, draw, issued, opened, proposed, row_of};
use crate::screen::papers;
use crate::shell::Shell;
use crate::ui::{App, IssueDoor, KitWords};
use crate::words;

/// The piece that asks for a reason, and what for: 0 faulty, 1 service, 2 test.
fn asks(fault: &Fault) -> Option<(String, i32)> {
    match fault {
        Fault::Refused { rule, what, id, .. } if rule == "piece_asks" => {
            let why = match what.as_deref() {
                Some("service") => 1,
                Some("test") => 2,
                _ => 0,
            };
            Some((id.clone()?, why))
        }
        Fault::Refused { .. }
        | Fault::DeviceFull
        | Fault::Busy
        | Fault::NewerVersion { .. }
        | Fault::Damaged { .. }
        | Fault::NotFound { .. }
        | Fault::Internal { .. } => None,
    }
}

/// Issues a piece to whoever is open. One that is faulty or past its date asks for a reason, in
/// its place in the lines or below them.
pub(super) fn issue(shell: &Rc<Shell>, piece: &str, below: bool, despite: Option<String>) {
    let Some(ui) = shell.ui() else { return };
    let Some((course, session, to)) = opened(shell) else {
        return;
    };
    let mut asked = None;
    let request = Request::IssueKit {
        course,
        session,
        piece: piece.to_owned(),
        to,
        despite,
        when: None,
    };
    let done = shell.record_or(request, |fault| {
        asked = asks(fault);
        asked.is_some()
    });
    let kept = shell.kept::<Kept>();
    if done.is_some() {
        return said(shell, ui.global::<KitWords>().invoke_issued(1));
    }
    if let Some((piece, why)) = asked {
        let door = ui.global::<IssueDoor>();
        door.set_reason("".into());
        door.set_asks_below(below);
        door.set_asks_says(why_asked(&ui, &kept, &piece, why));
        kept.asks.replace(Some(piece));
        draw(&ui, &kept);
    }
}

/// What is wrong with a piece that asks for a reason: as the list of choices has it, or in short.
fn why_asked(ui: &App, kept: &Kept, piece: &str, why: i32) -> SharedString {
    let says = ui.global::<KitWords>();
    let choices = kept.choices.borrow();
    if let Some(row) = choices.iter().find(|row| row.piece == piece) {
        let named = words::kit_row_name(ui, row);
        return says.invoke_asks(named, words::kit_wrongs(ui, &row.wrong));
    }
    says.invoke_wrong(why, "".into())
}

pub(super) fn issue_despite(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<IssueDoor>();
    let piece = shell.kept::<Kept>().asks.borrow().clone();
    let Some(piece) = piece else { return };
    let reason = door.get_reason().trim().to_owned();
    issue(shell, &piece, door.get_asks_below(), Some(reason));
}

/// Issues everything that is proposed to whoever is open: all of it, or nothing.
pub(super) fn issue_all(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let Some((course, session, to)) = opened(shell) else {
        return;
    };
    let pieces = {
        let kept = shell.kept::<Kept>();
        let (view, open) = (kept.view.borrow(), kept.open.borrow());
        proposed(view.as_ref().and_then(|view| row_of(view, &open)))
    };
    let many = words::count(pieces.len());
    let requests = pieces.into_iter().map(|piece| Request::IssueKit {
        course: course.clone(),
        session: session.clone(),
        piece,
        to: to.clone(),
        despite: None,
        when: None,
    });
    if shell.record_all(requests.collect()).is_some() {
        said(shell, ui.global::<KitWords>().invoke_issued(many));
    }
}

/// Says what was done, with nothing more being chosen or said.
fn said(shell: &Rc<Shell>, done: SharedString) {
    let Some(ui) = shell.ui() else { return };
    close(&ui, &shell.kept::<Kept>());
    shell.show_again();
    // What was printed before is not who has what any more.
    papers::leave(&ui);
    ui.global::<IssueDoor>().set_done(done);
}

/// Takes back what was issued by an entry; with a fault, where one was found.
pub(super) fn take_back(shell: &Rc<Shell>, entry: &str, fault: Option<String>) {
    let Some(ui) = shell.ui() else { return };
    let Some((course, _, _)) = opened(shell) else {
        return;
    };
    let recorded = shell.record(Request::ReturnKit {
        course,
        issue: entry.to_owned(),
        fault,
        when: None,
    });
    if recorded.is_some() {
        said(shell, ui.global::<KitWords>().invoke_back(1));
    }
}

/// Takes back everything that whoever is open has: all of it, or nothing.
pub(super) fn all_back(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let requests: Vec<Request> = {
        let kept = shell.kept::<Kept>();
        let (view, open) = (kept.view.borrow(), kept.open.borrow());
        let row = view.as_ref().and_then(|view| row_of(view, &open));
        let out = row.map(issued).unwrap_or_default().into_iter();
        out.map(|one| Request::ReturnKit {
            course: one.course.to_string(),
            issue: one.entry.to_string(),
            fault: None,
            when: None,
        })
        .collect()
    };
    let many = words::count(requests.len());
    if shell.record_all(requests).is_some() {
        said(shell, ui.global::<KitWords>().invoke_back(many));
    }
}

/// Reports the fault of the piece that was picked; it stays with whoever has it.
pub(super) fn report(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let piece = {
        let kept = shell.kept::<Kept>();
        let (view, open) = (kept.view.borrow(), kept.open.borrow());
        let row = view.as_ref().and_then(|view| row_of(view, &open));
        let picked = kept.picked.borrow();
        let mut out = row.map(issued).unwrap_or_default().into_iter();
        out.find(|one| picked.as_ref().is_some_and(|id| one.entry == *id))
            .map(|one| one.piece.piece.to_string())
    };
    let Some(piece) = piece else { return };
    let what = ui.global::<IssueDoor>().get_found().trim().to_owned();
    let recorded = shell.record(Request::ReportKitFault {
        piece,
        what,
        when: None,
    });
    if recorded.is_some() {
        said(shell, ui.global::<KitWords>().invoke_reported());
    }
}

pub(super) fn back_with_fault(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let picked = shell.kept::<Kept>().picked.borrow().clone();
    let Some(entry) = picked else { return };
    let what = ui.global::<IssueDoor>().get_found().trim().to_owned();
    take_back(shell, &entry, Some(what));
}
