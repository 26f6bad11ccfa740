//! The link across the border: on and off the network, pairing with a code, who is in reach,
//! and where the data is held. No call here is in the way of a tap.

use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::sync::{Arc, MutexGuard, PoisonError};

use tallywater_core::course::{LedgerId, StaffId};
use tallywater_core::desk::{Online, ShowError};
use tallywater_core::entry::DeviceKey;
use tallywater_core::link::pairing::{Code, Guest, PairingError};
use tallywater_core::link::{self as core, Discovery, LinkConfig, LinkError, Patience, Place};
use tallywater_core::{desk, sync};

use crate::cross::{Asked as _, Shown, mirror};
use crate::link_news::{LinkListener, Telling};
use crate::{Fault, Moment, Role, StaffName, Tallywater};

mirror! {
    /// Why a device is not connected.
    shown enum Parting = core::Parting {
        Stopped,
        TheyStopped,
        NotReached,
        Lost,
        Slow,
        NotAdmitted,
        TurnedAway,
        Version,
        Broken,
        BrokenThere,
        Replaced,
        OwnStore,
        Other,
    }

    /// Why a code is no longer good.
    shown enum CodeEnd = core::pairing::PairingEnd {
        Used,
        TooManyTries,
        TimedOut,
        Hidden,
    }

    /// What another device holds of what is here.
    shown enum Held = sync::Held {
        HereOnly { changes: u32 },
        There,
        NotKnown,
    }
}

/// How this device stands on the network.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct LinkView {
    /// Whether it listens and looks.
    pub online: bool,
    /// Where it can be reached, as one types it on another device where they cannot find
    /// each other.
    pub place: Option<String>,
    /// The code that is being shown.
    pub code: Option<ShownCode>,
    /// Why the last code is no longer good.
    pub code_ended: Option<CodeEnd>,
    /// The other devices of the shop.
    pub devices: Vec<DeviceLink>,
}

/// A code that is being shown.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ShownCode {
    /// Six digits.
    pub code: String,
    /// Whose device it lets in.
    pub staff: StaffName,
    /// As what.
    pub role: Role,
    /// How many seconds it is still good.
    pub seconds: u32,
    /// How many wrong tries are left.
    pub tries: u8,
}

/// How things stand with another device of the shop.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct DeviceLink {
    /// Its key, as the list of devices has it.
    pub key: String,
    /// What it is called; the beginning of its key while its certificate has not come.
    pub name: String,
    /// Whether it is connected now.
    pub connected: bool,
    /// Whether both hold the same of all they share.
    pub in_step: bool,
    /// Why it is not connected, if it was tried.
    pub parted: Option<Parting>,
    /// Whole minutes its clock is ahead of this one's, negative when behind, if that is
    /// worth saying.
    pub clock_minutes: Option<i32>,
    /// When it was last met.
    pub seen: Option<Moment>,
}

/// A device nearby that shows a code.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct NearbyDevice {
    /// Where it is: goes back into [`Tallywater::pair`].
    pub place: String,
    /// The first digits of its key, which both screens show: the network carries no name.
    pub fingerprint: String,
}

/// Where a course is held, its people counted with it, or the shop's own book.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct HeldRow {
    /// The course; `None` for the shop's own book.
    pub course: Option<String>,
    /// What it is called, if it is known here.
    pub title: Option<String>,
    /// How many entries are here.
    pub entries: u32,
    /// What the shop's own computers hold of it.
    pub by_shop: Held,
    /// What each other device that may have it holds.
    pub by_each: Vec<HeldBy>,
}

/// What another device holds.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct HeldBy {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub name: String,
    /// What it holds.
    pub held: Held,
}

/// Entries of a device that was shut out, which arrived later.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct LateEntries {
    /// In which ledger.
    pub ledger: String,
    /// Which: go into the request that accepts them.
    pub entries: Vec<String>,
}

#[uniffi::export]
impl Tallywater {
    /// Goes on the network: listens at these addresses (any free port of every interface if
    /// none is given), looks for devices nearby if asked to, and from then on exchanges
    /// with paired devices whenever they are there. Does nothing if it is there already.
    pub fn go_online(
        &self,
        listen: Vec<String>,
        find_nearby: bool,
        listener: Option<Arc<dyn LinkListener>>,
    ) -> Result<(), Fault> {
        let mut online = self.online();
        if online.is_some() {
            return Ok(());
        }
        let listen: Result<Vec<SocketAddr>, _> = listen.iter().map(|at| at.parse()).collect();
        let config = LinkConfig {
            listen: listen.map_err(|_| Fault::rule("bad_address").of("listen"))?,
            discovery: if find_nearby {
                Discovery::LocalNetwork
            } else {
                Discovery::KnownAddresses
            },
            patience: Patience::default(),
        };
        let telling = Telling {
            desk: Arc::clone(&self.desk),
            listener,
        };
        let gone = Online::go(&self.desk, &config, Arc::new(telling));
        *online = Some(Arc::new(gone.map_err(|error| Fault::from(&error))?));
        Ok(())
    }

    /// Leaves the network. What was under way is taken up at the next meeting.
    pub fn go_offline(&self) {
        let gone = self.online().take();
        if let Some(online) = gone {
            online.close();
        }
    }

    /// How this device stands on the network.
    pub fn link(&self) -> Result<LinkView, Fault> {
        let online = self.online().clone();
        let names = self.device_names()?;
        let Some(online) = online else {
            return Ok(LinkView {
                online: false,
                place: None,
                code: None,
                code_ended: None,
                devices: Vec::new(),
            });
        };
        let now = self.desk.now();
        let devices = match online.devices() {
            Ok(devices) => devices,
            // Before the device has a shop there are none.
            Err(desk::DeskError::NotStarted) => Vec::new(),
            Err(error) => return Err(error.into()),
        };
        let code = match online.shown_code() {
            Some(shown) => Some(self.code_view(&shown)?),
            None => None,
        };
        Ok(LinkView {
            online: true,
            place: Some(online.link().place().to_string()),
            code,
            code_ended: online.code_ended().shown(),
            devices: devices
                .into_iter()
                .map(|met| DeviceLink {
                    key: met.key.shown(),
                    name: name_of(&names, &met.key),
                    connected: met.connected,
                    in_step: met.in_step,
                    parted: met.parted.shown(),
                    clock_minutes: met.clock.map(minutes),
                    seen: met.seen.map(|at| Moment::of(at, now)),
                })
                .collect(),
        })
    }

    /// Where everything here is held: the shop's book first, then the courses.
    pub fn held(&self) -> Result<Vec<HeldRow>, Fault> {
        let names = self.device_names()?;
        let rows = self.desk.held()?;
        let each = |(key, held): (DeviceKey, sync::Held)| HeldBy {
            key: key.shown(),
            name: name_of(&names, &key),
            held: held.shown(),
        };
        Ok(rows
            .into_iter()
            .map(|row| HeldRow {
                course: match row.ledger {
                    LedgerId::Course(id) => Some(id.shown()),
                    LedgerId::Shop(_) | LedgerId::Person(_) => None,
                },
                title: row.title,
                entries: row.entries,
                by_shop: row.by_shop.shown(),
                by_each: row.by_each.into_iter().map(each).collect(),
            })
            .collect())
    }

    /// Whether the shop holds this course; where none is given, everything on this device:
    /// the least that holds for any of it.
    pub fn held_by_shop(&self, course: Option<String>) -> Result<Held, Fault> {
        if let Some(course) = course {
            let id = LedgerId::Course(course.asked()?);
            return Ok(self.desk.held_by_shop(&id)?.shown());
        }
        let rows = self.desk.held()?;
        let here_only = rows.iter().filter_map(|row| match row.by_shop {
            sync::Held::HereOnly { changes } => Some(changes),
            sync::Held::There | sync::Held::NotKnown => None,
        });
        let changes = here_only.fold(0, |sum: u32, one| sum.saturating_add(one.shown()));
        let known = rows
            .iter()
            .all(|row| !matches!(row.by_shop, sync::Held::NotKnown));
        Ok(match (changes, known) {
            (0, true) => Held::There,
            (0, false) => Held::NotKnown,
            (changes, _) => Held::HereOnly { changes },
        })
    }

    /// Shows a code that lets in one device of this person, in this role, for two minutes.
    pub fn show_code(
        &self,
        staff: String,
        role: Role,
        until: Option<String>,
    ) -> Result<ShownCode, Fault> {
        let online = self.on_network()?;
        let guest = Guest {
            staff: staff.asked()?,
            role,
            until: until.asked()?,
        };
        match online.show_code(guest) {
            Ok(shown) => self.code_view(&shown),
            Err(ShowError::Desk(error)) => Err(error.into()),
            Err(ShowError::Link(error)) => Err(Fault::from(&error)),
        }
    }

    /// Takes the code back.
    pub fn hide_code(&self) {
        if let Some(online) = self.online().clone() {
            online.hide_code();
        }
    }

    /// Devices nearby that show a code.
    pub fn nearby(&self) -> Vec<NearbyDevice> {
        let online = self.online().clone();
        let places = online.map_or_else(Vec::new, |online| online.link().nearby());
        places
            .into_iter()
            .map(|place| NearbyDevice {
                fingerprint: place.key.short(),
                place: place.to_string(),
            })
            .collect()
    }

    /// Joins the shop of the device that shows this code, under this device name. Waits for
    /// the answer, at most some twenty seconds: not to be called where a screen waits.
    pub fn pair(&self, place: String, code: String, device: String) -> Result<(), Fault> {
        let online = self.on_network()?;
        let place = place_of(&place)?;
        let code = Code::typed(&code).ok_or_else(|| Fault::rule("bad_code"))?;
        online.join(&place, &code, &device).map_err(pairing)?;
        Ok(())
    }

    /// Looks for every paired device now.
    pub fn meet_now(&self) {
        if let Some(online) = self.online().clone() {
            online.link().look();
        }
    }

    /// Looks for a paired device at this place: `key@address:port`.
    pub fn meet_at(&self, place: String) -> Result<(), Fault> {
        let place = place_of(&place)?;
        self.on_network()?.link().look_at(place);
        Ok(())
    }

    /// Entries of devices that were shut out, which arrived later.
    pub fn late_entries(&self) -> Result<Vec<LateEntries>, Fault> {
        let late = self.desk.late()?;
        Ok(late
            .into_iter()
            .map(|(ledger, entries)| LateEntries {
                ledger: ledger.shown(),
                entries: entries.shown(),
            })
            .collect())
    }
}

impl Tallywater {
    pub(crate) fn online(&self) -> MutexGuard<'_, Option<Arc<Online>>> {
        self.online.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn on_network(&self) -> Result<Arc<Online>, Fault> {
        let online = self.online().clone();
        online.ok_or_else(|| Fault::rule("offline"))
    }

    fn code_view(&self, shown: &desk::ShownCode) -> Result<ShownCode, Fault> {
        let staff: StaffId = shown.guest.staff;
        let name = self
            .desk
            .look_at_shop(self.units(), |reader| reader.people.staff_name(&staff))?;
        Ok(ShownCode {
            code: shown.code.to_string(),
            staff: name,
            role: shown.guest.role,
            seconds: u32::try_from(shown.seconds).unwrap_or(u32::MAX),
            tries: shown.tries,
        })
    }

    /// What the devices are called; empty before there is a shop.
    fn device_names(&self) -> Result<BTreeMap<DeviceKey, String>, Fault> {
        let read = self.desk.look_at_shop(self.units(), |reader| {
            let certified = reader.trust.certificates();
            certified
                .map(|(_, one)| (one.key, one.device.clone()))
                .collect()
        });
        match read {
            Ok(names) => Ok(names),
            Err(desk::DeskError::NotStarted) => Ok(BTreeMap::new()),
            Err(error) => Err(error.into()),
        }
    }
}

fn place_of(text: &str) -> Result<Place, Fault> {
    text.parse()
        .map_err(|bad: core::BadPlace| Fault::rule("bad_place").of(bad.what))
}

fn name_of(names: &BTreeMap<DeviceKey, String>, key: &DeviceKey) -> String {
    names.get(key).cloned().unwrap_or_else(|| key.short())
}

pub(crate) fn minutes(gap: sync::ClockGap) -> i32 {
    i32::try_from(gap.seconds / 60).unwrap_or(i32::MAX)
}

fn pairing(error: PairingError) -> Fault {
    match error {
        PairingError::WrongCode { left } => Fault::rule("wrong_code").value(left),
        PairingError::NoCode => Fault::rule("no_code"),
        PairingError::Busy => Fault::rule("pairing_busy"),
        PairingError::NotReached => Fault::rule("not_reached"),
        PairingError::Impostor => Fault::rule("impostor"),
        PairingError::Name => Fault::rule("bad_device_name").of("device"),
        PairingError::Version => Fault::rule("other_version"),
        PairingError::Broken => Fault::rule("pairing_broken"),
        PairingError::NotAdmitted => Fault::rule("not_let_in"),
        PairingError::OtherShop => Fault::rule("other_shop"),
        PairingError::OwnStore => Fault::rule("pairing_not_stored"),
    }
}

impl From<&LinkError> for Fault {
    fn from(error: &LinkError) -> Self {
        match error {
            LinkError::Bind { detail: _ } => Self::rule("cannot_listen"),
            LinkError::PortTaken { detail: _ } => Self::rule("port_taken"),
            LinkError::Closed => Self::rule("offline"),
            LinkError::Depot(_) | LinkError::System { .. } => Self::Internal {
                detail: error.to_string(),
            },
        }
    }
}
