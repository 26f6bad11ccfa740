//! Recording: a request in, and the list of acts that can be taken back.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{Fault, Receipt, Request};

use super::Shell;
use crate::ui::{AppDoor, Told, Words};
use crate::words;

/// What one tap did.
#[derive(Debug)]
struct Act {
    /// Of what was recorded last: of the act itself, or of its undoing.
    receipt: Receipt,
    told: Told,
}

/// What was done on this device since it was started, the first first.
#[derive(Debug, Default)]
pub(crate) struct Acts {
    list: Vec<Act>,
    /// The one that the header tells of.
    telling: Option<usize>,
}

impl Acts {
    /// The latest that stands.
    fn last(&self) -> Option<usize> {
        self.list.iter().rposition(|act| !act.told.undone)
    }

    /// The first that was taken back after it.
    fn next(&self) -> Option<usize> {
        let after = self.last().map_or(0, |last| last.saturating_add(1));
        (after < self.list.len()).then_some(after)
    }
}

impl Shell {
    /// Records what was asked for. What could not be recorded is said at once, and nothing
    /// on screen shows it as saved.
    pub fn record(self: &Rc<Self>, request: Request) -> Option<Receipt> {
        self.settled(self.desk().record(request))
    }

    /// The same, for one whose refusal is a question: it is handed to `refused`, and said only
    /// where that answers `false`.
    pub(crate) fn record_or(
        self: &Rc<Self>,
        request: Request,
        refused: impl FnOnce(&Fault) -> bool,
    ) -> Option<Receipt> {
        match self.desk().record(request) {
            Err(fault) if refused(&fault) => None,
            done => self.settled(done),
        }
    }

    /// The same for several things that one tap asked for and one undo takes back: all of them
    /// or none.
    pub(crate) fn record_all(self: &Rc<Self>, requests: Vec<Request>) -> Option<Receipt> {
        self.settled(self.desk().record_all(requests))
    }

    /// What was recorded by a door of its own: shown, and taken back by the same undo.
    pub(crate) fn recorded(self: &Rc<Self>, receipt: Receipt) {
        self.settled(Ok(receipt));
    }

    /// The same, where a door of its own could not record it as well: that is said at once.
    pub(crate) fn settled(self: &Rc<Self>, done: Result<Receipt, Fault>) -> Option<Receipt> {
        let receipt = match done {
            Ok(receipt) => receipt,
            Err(fault) => {
                self.settle(Some(&fault));
                return None;
            }
        };
        // A press that was the same as the one before recorded nothing.
        if !receipt.entries.is_empty() {
            self.tell(&receipt);
        }
        self.settle(None);
        Some(receipt)
    }

    /// Takes back the latest act that stands.
    pub(crate) fn undo(self: &Rc<Self>) {
        let last = self.acts.borrow().last();
        if let Some(act) = last {
            self.turn(act);
        }
    }

    /// Brings back the act that was taken back last.
    pub(crate) fn redo(self: &Rc<Self>) {
        let next = self.acts.borrow().next();
        if let Some(act) = next {
            self.turn(act);
        }
    }

    /// Takes an act back, or brings it back.
    pub(crate) fn turn(self: &Rc<Self>, act: usize) {
        let receipt = {
            let acts = self.acts.borrow();
            acts.list.get(act).map(|act| act.receipt.clone())
        };
        let Some(receipt) = receipt else { return };
        match self.desk().undo(receipt) {
            Ok(receipt) => {
                let mut acts = self.acts.borrow_mut();
                if let Some(turned) = acts.list.get_mut(act) {
                    turned.told.undone = !turned.told.undone;
                    turned.receipt = receipt;
                    turned.told.id = self.another();
                }
                acts.telling = Some(act);
                drop(acts);
                self.show_told();
                self.settle(None);
            }
            Err(fault) => self.settle(Some(&fault)),
        }
    }

    /// What was done, the latest first, each with its place in the list.
    pub(crate) fn acts(&self) -> Vec<(usize, Told)> {
        let acts = self.acts.borrow();
        let all = acts.list.iter().enumerate().rev();
        all.map(|(place, act)| (place, act.told.clone())).collect()
    }

    /// The header has told it long enough: the act stays in the list.
    pub(crate) fn told_over(&self) {
        self.acts.borrow_mut().telling = None;
        self.show_told();
    }

    /// Forgets what was done: another desk stands behind the window.
    pub(crate) fn forget_acts(&self) {
        self.acts.take();
        self.show_told();
    }

    fn another(&self) -> SharedString {
        self.told.set(self.told.get().wrapping_add(1));
        slint::format!("{}", self.told.get())
    }

    fn tell(&self, receipt: &Receipt) {
        let Some(ui) = self.ui() else { return };
        // The school's own book has no row of a course: the kind says what it was.
        let says = match (&receipt.told, &receipt.kind) {
            (Some(row), _) => {
                let people = usize::try_from(receipt.people).unwrap_or(1);
                Some(words::told(&ui, row, people))
            }
            (None, Some(kind)) => Some(Told {
                what: ui.global::<Words>().invoke_entry(words::entry(kind)),
                ..Told::default()
            }),
            (None, None) => None,
        };
        let Some(says) = says.filter(|_| !receipt.undo.is_empty()) else {
            return self.told_over();
        };
        let told = Told {
            id: self.another(),
            ..says
        };
        let mut acts = self.acts.borrow_mut();
        acts.list.push(Act {
            receipt: receipt.clone(),
            told,
        });
        acts.telling = Some(acts.list.len().saturating_sub(1));
        drop(acts);
        self.show_told();
    }

    fn show_told(&self) {
        let Some(ui) = self.ui() else { return };
        let acts = self.acts.borrow();
        let told = acts.telling.and_then(|act| acts.list.get(act));
        let door = ui.global::<AppDoor>();
        door.set_told(told.map(|act| act.told.clone()).unwrap_or_default());
        door.set_can_undo(acts.last().is_some());
        door.set_can_redo(acts.next().is_some());
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
        self.say(words::fault_title(&ui, fault), words::fault(&ui, fault));
        self.header_room(fault);
    }

    /// Says something over whatever screen is shown, until it is read or something goes in.
    pub(crate) fn say(&self, title: SharedString, says: SharedString) {
        let Some(ui) = self.ui() else { return };
        let door = ui.global::<AppDoor>();
        door.set_notice_title(title);
        door.set_notice_says(says);
        door.set_notice_action(words::got_it(&ui));
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
