//! Recording: a request in, and the bar that takes it back.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{Fault, Receipt, Request};

use super::Shell;
use crate::ui::{AppDoor, Told};
use crate::words;

/// What was recorded last, and whether it stands undone.
#[derive(Debug, Default)]
pub(crate) struct Last {
    /// In the order they were recorded.
    receipts: Vec<Receipt>,
    told: Told,
}

impl Shell {
    /// Records what was asked for. What could not be recorded is said at once, and nothing
    /// on screen shows it as saved.
    pub fn record(self: &Rc<Self>, request: Request) -> Option<Receipt> {
        self.record_all(vec![request]).pop()
    }

    /// The same for several things that one tap asked for and one undo takes back. Ends at
    /// the first that could not be recorded; answers the receipts of those that were.
    pub(crate) fn record_all(self: &Rc<Self>, requests: Vec<Request>) -> Vec<Receipt> {
        let desk = self.desk();
        let mut receipts = Vec::new();
        let mut failed = None;
        for request in requests {
            match desk.record(request) {
                Ok(receipt) => receipts.push(receipt),
                Err(fault) => {
                    failed = Some(fault);
                    break;
                }
            }
        }
        if !receipts.is_empty() {
            self.tell(&receipts);
        }
        self.settle(failed.as_ref());
        receipts
    }

    /// What was recorded by a door of its own: shown, and taken back by the same undo.
    pub(crate) fn recorded(self: &Rc<Self>, receipts: &[Receipt]) {
        self.tell(receipts);
        self.settle(None);
    }

    /// Undo, and after it redo: each takes back what was recorded last, the latest first.
    pub(crate) fn turn(self: &Rc<Self>) {
        let desk = self.desk();
        let receipts = self.last.borrow().receipts.clone();
        let mut turned = Vec::new();
        let mut failed = None;
        for receipt in receipts.into_iter().rev() {
            match desk.undo(receipt) {
                Ok(receipt) => turned.push(receipt),
                Err(fault) => {
                    failed = Some(fault);
                    break;
                }
            }
        }
        if !turned.is_empty() {
            let mut last = self.last.borrow_mut();
            last.told.undone = !last.told.undone;
            last.receipts = turned;
        }
        self.show_told();
        self.settle(failed.as_ref());
    }

    /// The undo bar's time is over.
    pub(crate) fn told_over(&self) {
        self.last.take();
        self.show_told();
    }

    fn tell(&self, receipts: &[Receipt]) {
        let Some(ui) = self.ui() else { return };
        let row = receipts.last().and_then(|receipt| receipt.told.as_ref());
        let undo = receipts.iter().all(|receipt| receipt.undo.is_some());
        self.told.set(self.told.get().wrapping_add(1));
        *self.last.borrow_mut() = match row {
            Some(row) if undo => Last {
                receipts: receipts.to_vec(),
                told: Told {
                    id: slint::format!("{}", self.told.get()),
                    ..words::told(&ui, row, receipts.len())
                },
            },
            Some(_) | None => Last::default(),
        };
        self.show_told();
    }

    fn show_told(&self) {
        if let Some(ui) = self.ui() {
            let told = self.last.borrow().told.clone();
            ui.global::<AppDoor>().set_told(told);
        }
    }

    /// Draws what changed. A fault that was shown is over once something went in.
    fn settle(self: &Rc<Self>, failed: Option<&Fault>) {
        match failed {
            Some(fault) => self.fault(fault),
            None => self.standing_notices(),
        }
        self.take_news();
    }

    /// Shows what went wrong, until it is read or something goes in.
    pub fn fault(&self, fault: &Fault) {
        let Some(ui) = self.ui() else { return };
        let door = ui.global::<AppDoor>();
        door.set_notice_title(words::fault_title(&ui, fault));
        door.set_notice_says(words::fault(&ui, fault));
        door.set_notice_action(words::got_it(&ui));
        self.header_room(fault);
    }

    /// Shows what holds for the whole device, or nothing.
    pub(crate) fn standing_notices(&self) {
        let Some(ui) = self.ui() else { return };
        let door = ui.global::<AppDoor>();
        door.set_notice_title("".into());
        door.set_notice_says("".into());
        door.set_notice_action("".into());
    }
}
