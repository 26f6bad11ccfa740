//! Header: who, in which role, where the data is held, and what calls for an eye.

use slint::ComponentHandle;
use tallywater_bindings::{AtHand, Fault};

use super::Shell;
use crate::ui::{self, AppDoor, HeaderView, Room};
use crate::words;

impl Shell {
    /// Draws the header anew, of what is at hand by now. What cannot be read is not known.
    pub(super) fn header(&self, at: Option<AtHand>) {
        let Some(ui) = self.ui() else { return };
        let door = ui.global::<AppDoor>();
        let (desk, course) = (self.desk(), self.route().course);
        let mut view = HeaderView {
            room: door.get_header().room,
            ..HeaderView::default()
        };
        let state = desk.state();
        let lone = state.as_ref().is_ok_and(|state| state.lone);
        door.set_demo(state.as_ref().is_ok_and(|state| state.demo));
        if let Ok(state) = state {
            view.shop = state.shop.unwrap_or_default().into();
            if let Some(me) = state.me {
                view.me = me.name.name.into();
                view.role = words::role(&me.role);
            }
        }
        if let Ok(held) = desk.held_by_shop(course) {
            (view.held, view.here_only) = words::held(&held);
        }
        // There is nothing to be in step with: the device is its own school.
        if lone && view.held == ui::Held::NotKnown {
            view.held = ui::Held::HereOnly;
        }
        door.set_header(view);
        door.set_emergency(self.in_hand_of(at).session.is_some());
    }

    /// What a fault says of the room on this device.
    pub(super) fn header_room(&self, fault: &Fault) {
        let Some(ui) = self.ui() else { return };
        let door = ui.global::<AppDoor>();
        let mut view = door.get_header();
        view.room = match fault {
            Fault::DeviceFull => Room::Full,
            Fault::Damaged { .. } => Room::Damaged,
            Fault::NewerVersion { .. } => Room::Newer,
            Fault::Refused { rule, .. } if rule == "read_only" => Room::ReadOnly,
            Fault::Busy
            | Fault::Refused { .. }
            | Fault::NotFound { .. }
            | Fault::Internal { .. } => Room::Fine,
        };
        door.set_header(view);
    }
}
