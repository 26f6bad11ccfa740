//! Device: what the shell asks of the machine it is held in the hand of, as seldom as it can.
//!
//! The glass stays lit while somebody is in the water, and only then; what devices nearby say
//! to all is heard while the program is in front; the volume keys are its own where they do
//! something. What the machine does for that is behind [`crate::system::System`].

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::ComponentHandle;
use slint::platform::WindowEvent;
use tallywater_bindings::AtHand;

use super::Shell;
use crate::system::VolumeKey;
use crate::ui::{Keys, Screen};

/// What the machine was last asked for.
#[derive(Debug, Default)]
pub(super) struct Device {
    lit: Cell<bool>,
    hears: Cell<bool>,
    behind: Cell<bool>,
    taken: RefCell<Vec<VolumeKey>>,
}

impl Device {
    /// Another machine's system knows nothing of what this one was asked for.
    pub(super) fn forget(&self) {
        self.lit.set(false);
        self.hears.set(false);
        self.taken.take();
    }
}

impl Shell {
    /// Keeps the glass lit while anybody is in the water of a session, unless the program is
    /// behind another.
    pub(super) fn lit_while_wet(&self) {
        self.lit_of(self.at_hand().as_ref());
    }

    /// The same, of what was read already. Where nothing can be read nobody is known to be in
    /// the water, and whoever looks is told why; a device of no school has nothing to say about
    /// it.
    pub(super) fn lit_of(&self, at: Option<&AtHand>) {
        let wet = at.is_some_and(|at| at.in_water > 0);
        let lit = wet && !self.device.behind.get();
        if self.device.lit.replace(lit) != lit {
            self.system().stay_lit(lit);
        }
    }

    /// Hears what devices nearby say to all, or no longer.
    pub(super) fn hear_nearby(&self, hears: bool) {
        if self.device.hears.replace(hears) != hears {
            self.system().hear_nearby(hears);
        }
    }

    /// Takes the volume keys that do something on this screen: both while a key is learned, and
    /// in a line-up those that were learned. The others change the volume as ever.
    pub(crate) fn take_keys(&self) {
        let Some(ui) = self.ui() else { return };
        let (keys, screen) = (ui.global::<Keys>(), self.route().screen);
        let lines_up = matches!(screen, Screen::LineUp | Screen::Bare);
        let learned = [
            keys.get_next(),
            keys.get_met(),
            keys.get_not_yet(),
            keys.get_undo(),
        ];
        let does = |key: &VolumeKey| learned.iter().any(|one| one == key.text());
        let wanted = |key: &VolumeKey| keys.get_learning() > 0 || (lines_up && does(key));
        let taken: Vec<VolumeKey> = VolumeKey::ALL.into_iter().filter(wanted).collect();
        if *self.device.taken.borrow() != taken {
            self.device.taken.replace(taken.clone());
            self.system().take_keys(&taken);
        }
    }

    /// A volume key that is taken was pressed: the window is given it as any other key.
    pub fn volume_key(self: &Rc<Self>, key: VolumeKey) {
        let Some(ui) = self.ui() else { return };
        let text: slint::SharedString = key.text().into();
        let window = ui.window();
        // What the toolkit cannot do with a key it cannot do with the next one either.
        let _ = window.dispatch_event_with_result(WindowEvent::KeyPressed { text: text.clone() });
        let _ = window.dispatch_event_with_result(WindowEvent::KeyReleased { text });
    }

    /// The program went behind another, or the glass went dark. It may never come back: what
    /// was shown as saved is on the disk already, so nothing is to be done in haste.
    pub fn went_behind(&self) {
        self.device.behind.set(true);
        self.hear_nearby(false);
        self.lit_while_wet();
        crate::screen::files::leave(self, None);
    }

    /// The program is in front again, perhaps days later: what is shown is asked for anew.
    pub fn came_back(self: &Rc<Self>) {
        if !self.device.behind.replace(false) {
            return;
        }
        self.hear_nearby(self.desk().link().is_ok_and(|link| link.online));
        self.take_news();
        self.show_again();
    }
}
