//! Card: what each device hands the other once the code has been proved.

use chrono::NaiveDate;

use crate::course::{Role, StaffId};
use crate::entry::{Consent, DeviceKey};

/// The longest device name, in bytes.
pub(super) const MOST_NAME: usize = 240;

/// A device's own card, made for one connection.
#[derive(Clone, PartialEq, Eq)]
pub struct Card {
    /// The key that signs its entries.
    pub signing: DeviceKey,
    /// What the device is called: "Blue tablet".
    pub device: String,
    /// That key's signature, under [`PAIRING_DOMAIN`](crate::trust::PAIRING_DOMAIN), over the
    /// proof it was asked for.
    pub signature: [u8; 64],
    /// The joiner's word that the other may admit it; zeros on the card of the one that shows
    /// the code, which is admitted by nobody here.
    pub consent: Consent,
}

/// Written by hand: a device is often called after a person.
impl std::fmt::Debug for Card {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Card of {}", self.signing.short())
    }
}

/// A device that has proved the code: to be certified.
#[derive(Clone, PartialEq, Eq)]
pub struct Paired {
    /// The key that signs its entries.
    pub signing: DeviceKey,
    /// The key that opens its connections.
    pub link: DeviceKey,
    /// What the device is called.
    pub device: String,
    /// What it brings along: nothing, or a school that was started alone.
    pub brought: Vec<u8>,
    /// Its word that this device may admit it.
    pub consent: Consent,
}

impl std::fmt::Debug for Paired {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Paired({})", self.signing.short())
    }
}

/// For whom a code is shown: what the device that proves it will be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Guest {
    /// Whose device.
    pub staff: StaffId,
    /// In which role.
    pub role: Role,
    /// Last day on which it is admitted; `None` for no end.
    pub until: Option<NaiveDate>,
}

/// What a new device needs to begin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Welcome {
    /// The shop's root key.
    pub root: DeviceKey,
}

/// What a device has joined.
#[derive(Clone, PartialEq, Eq)]
pub struct Joined {
    /// The shop's root key: whom everything hangs on.
    pub root: DeviceKey,
    /// The signing key of the device that let us in.
    pub signing: DeviceKey,
    /// Its link key: it may connect before the shop's ledger has come.
    pub link: DeviceKey,
    /// What it is called.
    pub device: String,
    /// Where it was met.
    pub at: Option<std::net::SocketAddr>,
}

impl std::fmt::Debug for Joined {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Joined({})", self.root.short())
    }
}

/// Whether a device name can stand on a screen: one line of 1 to 80 characters.
pub(crate) fn is_name(name: &str) -> bool {
    name.len() <= MOST_NAME
        && !name.trim().is_empty()
        && name.chars().count() <= 80
        && !name.chars().any(char::is_control)
}
