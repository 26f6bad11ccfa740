//! Online: a desk on the network. It opens the link, rings it for every mark, and keeps
//! what a screen asks of it later: the code that is shown, the clocks that differ, when a
//! device was last met.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use chrono::{DateTime, FixedOffset};

use super::depot::LinkBell;
use super::{Desk, DeskError};
use crate::entry::{DeviceKey, Refusal};
use crate::link::pairing::{Code, Guest, Joined, MOST_TRIES, PairingEnd, PairingError};
use crate::link::{self, Depot, Link, LinkConfig, LinkError, LinkEvent, Parting, Place};
use crate::sync::ClockGap;

/// A desk that listens and looks for its paired devices, until this is dropped.
pub struct Online {
    desk: Arc<Desk>,
    link: Arc<Link>,
    heard: Arc<Heard>,
}

impl std::fmt::Debug for Online {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Online({:?})", self.link)
    }
}

/// A code that is being shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShownCode {
    /// The six digits.
    pub code: Code,
    /// For whom.
    pub guest: Guest,
    /// How many seconds it is still good.
    pub seconds: u64,
    /// How many wrong tries are left.
    pub tries: u8,
}

/// How things stand with one of the devices of the shop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceMet {
    /// Its signing key.
    pub key: DeviceKey,
    /// Whether it is connected now.
    pub connected: bool,
    /// Whether both hold the same of all they share.
    pub in_step: bool,
    /// Why it is not connected, if it was tried.
    pub parted: Option<Parting>,
    /// How far its clock is off ours, if that is worth saying.
    pub clock: Option<ClockGap>,
    /// When it was last met.
    pub seen: Option<DateTime<FixedOffset>>,
}

/// Could not show a code.
#[derive(Debug, thiserror::Error)]
pub enum ShowError {
    /// The desk refuses: this device may not admit that guest.
    #[error(transparent)]
    Desk(#[from] DeskError),
    /// The link could not.
    #[error(transparent)]
    Link(#[from] LinkError),
}

/// What the link has said so far.
#[derive(Default)]
struct State {
    clocks: BTreeMap<DeviceKey, ClockGap>,
    shown: Option<(Code, Guest, Instant)>,
    tries: u8,
    ended: Option<PairingEnd>,
}

struct Heard {
    state: Mutex<State>,
    listener: Arc<dyn link::Listener>,
}

impl std::fmt::Debug for Heard {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Heard(..)")
    }
}

impl Heard {
    fn state(&self) -> MutexGuard<'_, State> {
        // Plain values: a panic elsewhere leaves them as good as they were.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl link::Listener for Heard {
    fn link_event(&self, event: LinkEvent) {
        match &event {
            LinkEvent::Met { peer } => {
                self.state().clocks.remove(peer);
            }
            LinkEvent::ClockDiffers { peer, gap } => {
                self.state().clocks.insert(*peer, *gap);
            }
            LinkEvent::WrongCode { left } => self.state().tries = *left,
            LinkEvent::CodeEnded { why } => {
                let mut state = self.state();
                state.shown = None;
                state.ended = Some(*why);
            }
            LinkEvent::Parted { .. }
            | LinkEvent::Arrived { .. }
            | LinkEvent::Stored { .. }
            | LinkEvent::InStep { .. }
            | LinkEvent::Refused { .. }
            | LinkEvent::NotStored { .. } => {}
        }
        self.listener.link_event(event);
    }
}

impl Online {
    /// Puts a desk on the network. The listener hears every event, from a thread of the
    /// link's own.
    ///
    /// # Errors
    /// [`LinkError`]; nothing is left running.
    pub fn go(
        desk: &Arc<Desk>,
        config: &LinkConfig,
        listener: Arc<dyn link::Listener>,
    ) -> Result<Self, LinkError> {
        let heard = Arc::new(Heard {
            state: Mutex::default(),
            listener,
        });
        let depot: Arc<dyn Depot> = Arc::<Desk>::clone(desk);
        let hearing: Arc<dyn link::Listener> = Arc::<Heard>::clone(&heard);
        let link = Arc::new(Link::open(depot, hearing, config)?);
        desk.listen(Arc::new(LinkBell::new(&link)));
        Ok(Self {
            desk: Arc::clone(desk),
            link,
            heard,
        })
    }

    /// The link behind it: where this device is, what is nearby, looking now.
    pub fn link(&self) -> &Link {
        &self.link
    }

    /// Draws a code for this guest and shows it.
    ///
    /// # Errors
    /// [`ShowError::Desk`] if this device may not admit such a guest, or the person is not
    /// on the staff.
    pub fn show_code(&self, guest: Guest) -> Result<ShownCode, ShowError> {
        self.desk.may_admit(&guest)?;
        let code = self.link.show_code(guest)?;
        {
            let mut state = self.heard.state();
            let ends = Instant::now() + self.link.patience().code_life;
            state.shown = Some((code.clone(), guest, ends));
            state.tries = MOST_TRIES;
            state.ended = None;
        }
        let seconds = self.link.patience().code_life.as_secs();
        Ok(ShownCode {
            code,
            guest,
            seconds,
            tries: MOST_TRIES,
        })
    }

    /// The code that is shown; `None` when it is not good any more.
    pub fn shown_code(&self) -> Option<ShownCode> {
        let state = self.heard.state();
        let (code, guest, ends) = state.shown.clone()?;
        let left = ends.checked_duration_since(Instant::now())?;
        Some(ShownCode {
            code,
            guest,
            // Rounded up: one that says 0 is over.
            seconds: left.as_secs() + u64::from(left.subsec_nanos() > 0),
            tries: state.tries,
        })
    }

    /// Why the last code is no longer good; `None` before one was shown and while it is.
    pub fn code_ended(&self) -> Option<PairingEnd> {
        self.heard.state().ended
    }

    /// Takes the code back.
    pub fn hide_code(&self) {
        self.heard.state().shown = None;
        self.link.hide_code();
    }

    /// Joins the shop of the device that shows this code. See [`Link::join`].
    ///
    /// # Errors
    /// [`PairingError`]; nothing is paired on this side.
    pub fn join(&self, place: &Place, code: &Code, device: &str) -> Result<Joined, PairingError> {
        self.link.join(place, code, device)
    }

    /// How things stand with every other device of the shop, by signing key.
    ///
    /// # Errors
    /// [`DeskError`].
    pub fn devices(&self) -> Result<Vec<DeviceMet>, DeskError> {
        let states = self.link.peers();
        let clocks = self.heard.state().clocks.clone();
        let met = self.desk.last_met()?;
        let rows = met.into_iter().map(|(key, link, seen)| {
            let state = link.and_then(|link| states.get(&link)).copied();
            let state = state.unwrap_or_default();
            DeviceMet {
                key,
                connected: state.connected,
                in_step: state.in_step,
                parted: state.parted,
                clock: link.and_then(|link| clocks.get(&link)).copied(),
                seen,
            }
        });
        Ok(rows.collect())
    }

    /// Says goodbye and closes the socket. Dropping does the same.
    pub fn close(&self) {
        self.link.close();
    }
}

/// A device of the shop: its signing key, its link key, and when it was last met.
type LastMet = (DeviceKey, Option<DeviceKey>, Option<DateTime<FixedOffset>>);

impl Desk {
    /// Whether this device may admit a guest now.
    ///
    /// # Errors
    /// [`DeskError::Refused`] names what forbids it.
    pub fn may_admit(&self, guest: &Guest) -> Result<(), DeskError> {
        let shelf = self.shelf();
        if shelf.shop()?.0.standing.staff_name(&guest.staff).is_none() {
            return Err(Refusal::Unknown { what: "staff" }.into());
        }
        shelf.may_issue(guest.role)
    }

    /// Every other device that this one knows of, and when it was last met.
    pub(super) fn last_met(&self) -> Result<Vec<LastMet>, DeskError> {
        let shelf = self.shelf();
        let (_, book) = shelf.shop()?;
        let own = shelf.device.key.public();
        let seen: BTreeMap<DeviceKey, _> = shelf
            .store
            .peers()?
            .into_iter()
            .map(|peer| (peer.key, (peer.link, peer.seen)))
            .collect();
        let mut devices: BTreeMap<DeviceKey, LastMet> = seen
            .iter()
            .map(|(key, (link, at))| (*key, (*key, *link, *at)))
            .collect();
        for (_, certificate) in book.certificates() {
            let at = seen.get(&certificate.key).and_then(|(_, at)| *at);
            devices.insert(certificate.key, (certificate.key, certificate.link, at));
        }
        devices.remove(&own);
        Ok(devices.into_values().collect())
    }

    /// The signing key of the device with this link key; `None` for a stranger.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn device_of_link(&self, link: &DeviceKey) -> Result<Option<DeviceKey>, DeskError> {
        self.shelf().signing_key(link)
    }
}
