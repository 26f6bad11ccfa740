//! Events: what the link tells whoever listens. A listener is called from a thread of the
//! link's own with no lock held, one event after another; it may call back in and take its
//! time, and delays nothing but later events.

use super::Parting;
use super::pairing::PairingEnd;
use crate::course::LedgerId;
use crate::entry::DeviceKey;
use crate::sync::{ClockGap, Refused};

/// Something happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LinkEvent {
    /// A paired device is connected.
    Met {
        /// Which.
        peer: DeviceKey,
    },
    /// A paired device is no longer connected, or could not be.
    Parted {
        /// Which.
        peer: DeviceKey,
        /// Why.
        why: Parting,
    },
    /// The other device's clock is more than two minutes off ours.
    ClockDiffers {
        /// Which device.
        peer: DeviceKey,
        /// By how much.
        gap: ClockGap,
    },
    /// Entries have arrived and are committed.
    Arrived {
        /// From which device.
        peer: DeviceKey,
        /// In which ledger.
        ledger: LedgerId,
        /// How many are new.
        new: usize,
        /// How many entries are here now.
        here: u32,
        /// How many the other device has, as far as it said: progress is `here` of these.
        there: u32,
    },
    /// The other device has said that it has committed entries.
    Stored {
        /// Which device.
        peer: DeviceKey,
        /// Of which ledger.
        ledger: LedgerId,
        /// How many entries are here.
        here: u32,
        /// How many it has stored.
        there: u32,
    },
    /// Both devices hold the same of every ledger they share.
    InStep {
        /// With which device.
        peer: DeviceKey,
    },
    /// The other device will not exchange a ledger.
    Refused {
        /// Which device.
        peer: DeviceKey,
        /// Which ledger.
        ledger: LedgerId,
        /// Why.
        why: Refused,
    },
    /// What arrived could not be stored here.
    NotStored {
        /// From which device.
        peer: DeviceKey,
        /// Of which ledger.
        ledger: LedgerId,
        /// Whether because the disk is full.
        full: bool,
    },
    /// Somebody typed a wrong code.
    WrongCode {
        /// How many tries are left.
        left: u8,
    },
    /// The code that was shown is no longer good.
    CodeEnded {
        /// Why.
        why: PairingEnd,
    },
}

/// Who wants to know.
pub trait Listener: Send + Sync + 'static {
    /// Something happened.
    fn link_event(&self, event: LinkEvent);
}
