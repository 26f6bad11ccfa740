//! What the link tells a shell: that a device came or went, that entries arrived or were
//! stored elsewhere. A screen draws itself anew from the views; this says when.

use std::sync::Arc;

use tallywater_core::desk::Desk;
use tallywater_core::entry::DeviceKey;
use tallywater_core::link::{LinkEvent, Listener};
use tallywater_core::sync;

use crate::cross::{Shown as _, mirror};
use crate::{CodeEnd, Fault, Parting};

mirror! {
    /// Why a device will not exchange a ledger.
    shown enum NotExchanged = sync::Refused {
        NotYours,
        Full,
        CannotStore,
        Malformed,
        TooMuch,
        Newer(code: u8),
    }
}

/// Something happened on the network. Devices by their signing keys.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum LinkNews {
    /// A paired device is connected.
    Met {
        /// Which.
        device: String,
    },
    /// A paired device is no longer connected, or could not be.
    Parted {
        /// Which.
        device: String,
        /// Why.
        why: Parting,
    },
    /// Its clock is more than two minutes off.
    ClockDiffers {
        /// Which.
        device: String,
        /// Whole minutes it is ahead; negative when it is behind.
        minutes: i32,
    },
    /// Entries have arrived and are stored.
    Arrived {
        /// From which device.
        device: String,
        /// In which ledger.
        ledger: String,
        /// How many are new.
        new: u32,
        /// How many are here now.
        here: u32,
        /// How many the other has: progress is `here` of these.
        there: u32,
    },
    /// Another device has said that it stored entries.
    Stored {
        /// Which.
        device: String,
        /// Of which ledger.
        ledger: String,
        /// How many are here.
        here: u32,
        /// How many it has stored.
        there: u32,
    },
    /// Both hold the same of all they share.
    InStep {
        /// With which device.
        device: String,
    },
    /// A device will not exchange a ledger.
    NotTaken {
        /// Which.
        device: String,
        /// Which ledger.
        ledger: String,
        /// Why.
        why: NotExchanged,
    },
    /// What arrived could not be stored here.
    NotStored {
        /// From which device.
        device: String,
        /// Of which ledger.
        ledger: String,
        /// Whether because the device is full.
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
        why: CodeEnd,
    },
}

/// Is told what happens on the network, on a thread of the link's own.
#[uniffi::export(with_foreign)]
pub trait LinkListener: Send + Sync {
    /// Something happened. A fault is not looked at.
    fn link_news(&self, news: LinkNews) -> Result<(), Fault>;
}

/// A shell's listener as the link knows one.
pub(crate) struct Telling {
    pub(crate) desk: Arc<Desk>,
    pub(crate) listener: Option<Arc<dyn LinkListener>>,
}

impl Telling {
    /// A device by its signing key, if it is known; by its link key otherwise.
    fn device(&self, link: &DeviceKey) -> String {
        let known = self.desk.device_of_link(link).ok().flatten();
        known.unwrap_or(*link).shown()
    }

    fn news(&self, event: LinkEvent) -> LinkNews {
        match event {
            LinkEvent::Met { peer } => LinkNews::Met {
                device: self.device(&peer),
            },
            LinkEvent::Parted { peer, why } => LinkNews::Parted {
                device: self.device(&peer),
                why: why.shown(),
            },
            LinkEvent::ClockDiffers { peer, gap } => LinkNews::ClockDiffers {
                device: self.device(&peer),
                minutes: crate::link::minutes(gap),
            },
            LinkEvent::Arrived {
                peer,
                ledger,
                new,
                here,
                there,
            } => LinkNews::Arrived {
                device: self.device(&peer),
                ledger: ledger.shown(),
                new: new.shown(),
                here,
                there,
            },
            LinkEvent::Stored {
                peer,
                ledger,
                here,
                there,
            } => LinkNews::Stored {
                device: self.device(&peer),
                ledger: ledger.shown(),
                here,
                there,
            },
            LinkEvent::InStep { peer } => LinkNews::InStep {
                device: self.device(&peer),
            },
            LinkEvent::Refused { peer, ledger, why } => LinkNews::NotTaken {
                device: self.device(&peer),
                ledger: ledger.shown(),
                why: why.shown(),
            },
            LinkEvent::NotStored { peer, ledger, full } => LinkNews::NotStored {
                device: self.device(&peer),
                ledger: ledger.shown(),
                full,
            },
            LinkEvent::WrongCode { left } => LinkNews::WrongCode { left },
            LinkEvent::CodeEnded { why } => LinkNews::CodeEnded { why: why.shown() },
        }
    }
}

impl Listener for Telling {
    fn link_event(&self, event: LinkEvent) {
        if let Some(listener) = &self.listener {
            // Whatever the shell's part says, it has happened.
            let _ = listener.link_news(self.news(event));
        }
    }
}
