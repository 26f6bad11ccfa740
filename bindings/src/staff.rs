//! Staff and devices.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{Day, Leave, Role, StaffName, StaffPaper};

mirror! {
    /// Staff and their devices.
    shown record StaffView = view::StaffView {
        shop: Option<String>,
        staff: Vec<StaffRow>,
        devices: Vec<DeviceRow>,
        may_add: Leave,
        may_revoke: Leave,
    }

    /// A member of staff.
    shown record StaffRow = view::StaffRow {
        name: StaffName,
        roles: Vec<Role>,
        teaches: Option<Role>,
        own: bool,
        devices: u32,
        courses: Vec<String>,
        papers: Vec<StaffPaperRow>,
        may_rename: Leave,
        after: Vec<String>,
    }

    /// Something that a member of staff renews.
    shown record StaffPaperRow = view::StaffPaperRow {
        what: StaffPaper,
        seen: Option<Day>,
        by: Option<StaffName>,
        until: Option<Day>,
        ended: bool,
    }

    /// A device.
    shown record DeviceRow = view::DeviceRow {
        key: String,
        fingerprint: String,
        name: String,
        staff: StaffName,
        role: Role,
        from: Option<Day>,
        until: Option<Day>,
        state: DeviceState,
        why: Option<String>,
        own: bool,
        may_revoke: Leave,
    }

    /// Whether a device may act.
    shown enum DeviceState = view::DeviceState {
        Root,
        Admitted,
        NotYet,
        Lapsed,
        Revoked,
    }
}
