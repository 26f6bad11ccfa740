//! The link's handle: blocking calls from outside, and the thread behind them.

use std::collections::{BTreeMap, BTreeSet};
use std::net::SocketAddr;
use std::str::FromStr;
use std::sync::{Arc, Mutex, PoisonError, mpsc as std_mpsc};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use iroh::{EndpointAddr, PublicKey, TransportAddr};
use tokio::runtime::Runtime;
use tokio::sync::{mpsc, oneshot};
use tracing::info;

use super::door::{self, Door};
use super::hub::{Hub, News, Note, Shared};
use super::nearby::{Nearby, watch};
use super::pairing::{Code, Guest, Joined, PairingEnd, PairingError, Showing};
use super::state::States;
use super::{Depot, LinkConfig, LinkError, LinkEvent, Listener, PeerState, Reach, endpoint};
use crate::course::LedgerId;
use crate::entry::DeviceKey;

/// How long closing waits for steps that are under way in the store.
const CLOSING: Duration = Duration::from_secs(5);

/// Where a device is that shows a code: its key, and addresses if they are known.
///
/// Written `key@address`, for a network on which devices cannot look for each other; the
/// key alone is enough where they can.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The device's link key.
    pub key: DeviceKey,
    /// Addresses; none where the key is enough.
    pub addresses: Vec<SocketAddr>,
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.key)?;
        self.addresses.iter().try_for_each(|at| write!(f, "@{at}"))
    }
}

impl FromStr for Place {
    type Err = BadPlace;

    fn from_str(text: &str) -> Result<Self, BadPlace> {
        let mut parts = text.trim().split('@');
        let key = parts.next().and_then(|key| key.parse().ok());
        let addresses = parts.map(str::parse).collect::<Result<_, _>>();
        match (key, addresses) {
            (Some(key), Ok(addresses)) => Ok(Self { key, addresses }),
            (None, _) => Err(BadPlace { what: "key" }),
            (Some(_), Err(_)) => Err(BadPlace { what: "address" }),
        }
    }
}

/// A text that names no place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the {what} cannot be read; it is written key@address:port")]
pub struct BadPlace {
    /// Which part: "key" or "address".
    pub what: &'static str,
}

/// The link: listens and looks for paired devices from [`Link::open`] until it is closed or
/// dropped. Every call returns at once, except [`Link::open`], [`Link::join`] and
/// [`Link::close`].
pub struct Link {
    shared: Arc<Shared>,
    nearby: Nearby,
    handle: tokio::runtime::Handle,
    threads: Mutex<Vec<JoinHandle<()>>>,
}

impl std::fmt::Debug for Link {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Link of {}", self.key().short())
    }
}

impl Link {
    /// Opens the socket and starts listening and looking.
    ///
    /// # Errors
    /// [`LinkError`]; nothing is left running.
    pub fn open(
        depot: Arc<dyn Depot>,
        listener: Arc<dyn Listener>,
        config: &LinkConfig,
    ) -> Result<Self, LinkError> {
        let seed = depot.link_seed().map_err(LinkError::Depot)?;
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .thread_name("link-worker")
            .max_blocking_threads(64)
            .build()
            .map_err(|error| system("start the link", &error))?;
        let (endpoint, mdns) = runtime.block_on(endpoint::bind(&seed, config))?;
        let (events, told) = std_mpsc::channel();
        let (notes, heeded) = mpsc::unbounded_channel();
        let shared = Arc::new(Shared {
            depot,
            endpoint: Arc::new(endpoint),
            patience: config.patience,
            states: States::default(),
            door: Door::default(),
            events,
            notes,
        });
        info!(key = %endpoint::key(&shared.endpoint).short(), "listening");
        let nearby = Nearby::default();
        let handle = runtime.handle().clone();
        let teller = thread::Builder::new()
            .name("link-teller".into())
            .spawn(move || told.iter().for_each(|event| listener.link_event(event)))
            .map_err(|error| system("start the link", &error))?;
        let hub = Hub::new(Arc::clone(&shared));
        let watching = nearby.clone();
        let watched = Arc::clone(&shared);
        let run = move || {
            run(
                &runtime,
                hub.run(heeded),
                mdns.map(|mdns| watch(mdns, watching, watched)),
            );
            runtime.shutdown_timeout(CLOSING);
        };
        let runner = thread::Builder::new()
            .name("link".into())
            .spawn(run)
            .map_err(|error| system("start the link", &error))?;
        Ok(Self {
            shared,
            nearby,
            handle,
            threads: Mutex::new(vec![runner, teller]),
        })
    }

    /// This device's link key.
    pub fn key(&self) -> DeviceKey {
        endpoint::key(&self.shared.endpoint)
    }

    /// Where this device can be reached, for a device on a network where they cannot look
    /// for each other.
    pub fn place(&self) -> Place {
        Place {
            key: self.key(),
            addresses: endpoint::addresses(&self.shared.endpoint),
        }
    }

    /// Something was recorded here: it goes to every connected device that may have it. An
    /// entry that the link itself brought in needs no telling.
    pub fn changed(&self, ledgers: impl IntoIterator<Item = LedgerId>, reach: Reach) {
        let ledgers: BTreeSet<LedgerId> = ledgers.into_iter().collect();
        self.shared.note(Note::Changed(News { ledgers, reach }));
    }

    /// How long it waits, for what.
    pub fn patience(&self) -> super::Patience {
        self.shared.patience
    }

    /// Looks for every paired device now instead of after the next wait: a person came back
    /// to the screen, or the network changed.
    pub fn look(&self) {
        self.shared.note(Note::Look(None));
    }

    /// Looks for a paired device at this place.
    pub fn look_at(&self, place: Place) {
        let look = (place.key, place.addresses);
        self.shared.note(Note::Look(Some(look)));
    }

    /// How things stand with each paired device that was looked for or met.
    pub fn peers(&self) -> BTreeMap<DeviceKey, PeerState> {
        self.shared.states.all()
    }

    /// Devices on the local network that show a code right now.
    pub fn nearby(&self) -> Vec<Place> {
        self.nearby.all()
    }

    /// Draws a code and lets in one device that proves it, for two minutes, as this guest.
    /// A code that was shown before is no longer good.
    ///
    /// # Errors
    /// [`LinkError::System`] when the operating system gives no chance.
    pub fn show_code(&self, guest: Guest) -> Result<Code, LinkError> {
        let code = Code::draw(self.shared.depot.stamps().as_ref())
            .map_err(|error| system("draw a code", &error))?;
        let life = self.shared.patience.code_life;
        let showing = Showing::new(code.clone(), guest, Instant::now(), life);
        let (replaced, shown) = self.shared.door.show(showing);
        if replaced {
            self.code_ended(PairingEnd::Hidden);
        }
        super::nearby::announce(&self.shared.endpoint, true);
        let shared = Arc::clone(&self.shared);
        self.handle.spawn(async move {
            if shown.times_out().await {
                super::nearby::announce(&shared.endpoint, false);
                let why = PairingEnd::TimedOut;
                shared.tell(LinkEvent::CodeEnded { why });
            }
        });
        Ok(code)
    }

    /// Takes the code back.
    pub fn hide_code(&self) {
        if self.shared.door.hide() {
            self.code_ended(PairingEnd::Hidden);
        }
        super::nearby::announce(&self.shared.endpoint, false);
    }

    fn code_ended(&self, why: PairingEnd) {
        self.shared.tell(LinkEvent::CodeEnded { why });
    }

    /// Joins with the code that was typed, at the device that shows it, under this name.
    /// Waits for the answer, at most as long as [`super::Patience::pairing`].
    ///
    /// # Errors
    /// [`PairingError`]; nothing is paired on this side.
    pub fn join(&self, place: &Place, code: &Code, device: &str) -> Result<Joined, PairingError> {
        let key = PublicKey::from_bytes(&place.key.0).map_err(|_| PairingError::NotReached)?;
        let addresses = place.addresses.iter().copied().map(TransportAddr::Ip);
        let at = EndpointAddr::from_parts(key, addresses);
        let (answer, answered) = oneshot::channel();
        let shared = Arc::clone(&self.shared);
        let (code, device) = (code.clone(), device.to_owned());
        self.handle.spawn(async move {
            // Nobody waits any more only when the link is being closed.
            let _ = answer.send(door::join(&shared, at, &code, &device).await);
        });
        answered
            .blocking_recv()
            .unwrap_or(Err(PairingError::NotReached))
    }

    /// Says goodbye to every connected device, closes the socket and waits for it. What was
    /// stored is stored; what was under way is taken up at the next meeting.
    pub fn close(&self) {
        self.shared.note(Note::Stop);
        let mut threads = self.threads.lock().unwrap_or_else(PoisonError::into_inner);
        let threads = std::mem::take(&mut *threads);
        let Some(runner) = threads.into_iter().next() else {
            return;
        };
        // A listener that closes the link is called from the teller, which ends by itself
        // when the link has gone; the runner never calls out.
        let _ = runner.join();
        self.hide_code();
    }
}

impl Drop for Link {
    fn drop(&mut self) {
        self.close();
    }
}

fn run(
    runtime: &Runtime,
    hub: impl Future<Output = ()>,
    watch: Option<impl Future<Output = ()> + Send + 'static>,
) {
    runtime.block_on(async {
        let watching = watch.map(tokio::spawn);
        hub.await;
        if let Some(watching) = watching {
            watching.abort();
        }
    });
}

fn system(during: &'static str, error: &dyn std::fmt::Display) -> LinkError {
    LinkError::System {
        during,
        detail: error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_read_as_it_is_written() {
        let key = DeviceKey([0xab; 32]);
        for addresses in [
            vec![],
            vec!["127.0.0.1:4000"],
            vec!["10.0.0.2:1", "[::1]:2"],
        ] {
            let addresses = addresses.iter().map(|at| at.parse().unwrap()).collect();
            let place = Place { key, addresses };
            assert_eq!(place.to_string().parse(), Ok(place));
        }
        let what = |text: &str| text.parse::<Place>().unwrap_err().what;
        assert_eq!(what("127.0.0.1:4000"), "key");
        assert_eq!(what(&format!("{key}@nowhere")), "address");
    }
}
