//! Ask: a question over everything else, before something is done.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};

use super::Shell;
use crate::ui::{AppDoor, Ask};

/// What an answer does.
pub(crate) type Deed = Box<dyn FnOnce(&Rc<Shell>)>;

/// A question that was put.
pub(crate) struct Asked {
    first: Deed,
    second: Option<Deed>,
}

/// Which way out was taken.
pub(crate) enum Way {
    First,
    Second,
    No,
}

/// A question to be put: in words, and with what its answers do.
pub(crate) struct Question {
    /// In a few words.
    pub(crate) title: SharedString,
    /// What would follow.
    pub(crate) says: SharedString,
    /// The first way, and what it does.
    pub(crate) first: (SharedString, Deed),
    /// The second, if there is one.
    pub(crate) second: Option<(SharedString, Deed)>,
    /// Whether the first must be held, so that it is meant.
    pub(crate) hold: bool,
}

impl Shell {
    /// Puts a question; nothing is done before it is answered.
    pub(crate) fn ask(&self, question: Question) {
        let Some(ui) = self.ui() else { return };
        let (second, deed) = question.second.unzip();
        ui.global::<AppDoor>().set_ask(Ask {
            title: question.title,
            says: question.says,
            first: question.first.0,
            second: second.unwrap_or_default(),
            hold: question.hold,
        });
        self.asked.replace(Some(Asked {
            first: question.first.1,
            second: deed,
        }));
    }

    /// The question is answered.
    pub(crate) fn answer(self: &Rc<Self>, way: Way) {
        let asked = self.asked.take();
        if let Some(ui) = self.ui() {
            ui.global::<AppDoor>().set_ask(Ask::default());
        }
        let Some(asked) = asked else { return };
        match (way, asked.second) {
            (Way::First, _) => (asked.first)(self),
            (Way::Second, Some(second)) => second(self),
            (Way::Second, None) | (Way::No, _) => {}
        }
    }
}
