//! Hub: the task that holds the meetings together. It lets connections in, settles which of
//! two stays, passes on what one peer brought to the others, and keeps the list of devices
//! to look for. Its own state belongs to one task; nothing here needs a lock.

use std::collections::{BTreeMap, BTreeSet};
use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, mpsc as std_mpsc};
use std::time::{Duration, Instant};

use iroh::Endpoint;
use iroh::endpoint::Connection;
use tokio::sync::{mpsc, watch};
use tokio::task::JoinSet;
use tokio::time::{interval, timeout};
use tracing::{debug, warn};

use super::crowd::Crowd;
use super::depot::{Depot, DepotError};
use super::door::Door;
use super::meeting::{Meeting, Pending};
use super::seeker::Seeker;
use super::state::States;
use super::{Exchange, LINK_ALPN, LinkEvent, PAIR_ALPN, Parting, Patience, Reach};
use crate::course::LedgerId;
use crate::entry::DeviceKey;

/// Connections whose handshake is under way at once; the next are refused unheard.
const MOST_HANDSHAKES: usize = 64;
/// How many of them are kept for addresses at which a device of the shop was met.
const KEPT_HANDSHAKES: usize = 16;
/// How many from one address.
const HANDSHAKES_EACH: usize = 12;
/// Above this many, an address must first prove that it is one.
const UNPROVED_HANDSHAKES: usize = 16;
/// Devices connected at once.
const MOST_MEETINGS: usize = 64;
/// Two connections made within this time were dialled by both sides at once.
const AT_ONCE: Duration = Duration::from_secs(3);

/// What every task of the link may use.
pub(super) struct Shared {
    pub(super) depot: Arc<dyn Depot>,
    pub(super) endpoint: Arc<Endpoint>,
    pub(super) patience: Patience,
    pub(super) states: States,
    pub(super) door: Door,
    pub(super) events: std_mpsc::Sender<LinkEvent>,
    pub(super) notes: mpsc::UnboundedSender<Note>,
}

/// What the hub is told.
pub(super) enum Note {
    /// Something was recorded here.
    Changed(News),
    /// Something arrived from a peer.
    Arrived(DeviceKey, News),
    /// A connection is made and admitted.
    Connected(Connection, Dialled),
    /// A meeting is over.
    Ended(DeviceKey, u64, Parting),
    /// Look for every device now; or for one, there.
    Look(Option<(DeviceKey, Vec<SocketAddr>)>),
    /// A device, paired or not, is near and can be reached there.
    Near(DeviceKey, Vec<SocketAddr>),
    /// The list of devices may have changed.
    Devices,
    /// Stop.
    Stop,
}

/// Ledgers in which something is new.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct News {
    pub(super) ledgers: BTreeSet<LedgerId>,
    pub(super) reach: Reach,
}

/// Who made a connection.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Dialled {
    Here,
    There,
}

impl Shared {
    /// Tells the listener, from its own thread.
    pub(super) fn tell(&self, event: LinkEvent) {
        // Nobody listens any more only when the link is being closed.
        let _ = self.events.send(event);
    }

    pub(super) fn note(&self, note: Note) {
        // As above: the hub has gone.
        let _ = self.notes.send(note);
    }

    pub(super) fn arrived(&self, from: DeviceKey, news: News) {
        self.note(Note::Arrived(from, news));
    }

    /// Asks the depot on a worker thread.
    pub(super) async fn ask<T: Send + 'static>(
        &self,
        question: impl FnOnce(&dyn Depot) -> Result<T, DepotError> + Send + 'static,
    ) -> Result<T, DepotError> {
        let depot = Arc::clone(&self.depot);
        let answer = tokio::task::spawn_blocking(move || question(&*depot)).await;
        answer.unwrap_or(Err(DepotError::Closed))
    }

    /// Notes where a device was met.
    pub(super) async fn met(&self, peer: DeviceKey, at: SocketAddr) {
        if let Err(error) = self.ask(move |depot| depot.met(&peer, at)).await {
            // Only a convenience for next time.
            warn!(%error, "where a device was met could not be kept");
        }
        self.note(Note::Devices);
    }
}

struct Running {
    id: u64,
    dialler: DeviceKey,
    since: Instant,
    pending: Arc<Pending>,
    stop: watch::Sender<Option<Parting>>,
}

/// The hub.
pub(super) struct Hub {
    shared: Arc<Shared>,
    own: DeviceKey,
    meetings: BTreeMap<DeviceKey, Running>,
    seekers: BTreeMap<DeviceKey, Seeker>,
    tasks: JoinSet<()>,
    handshakes: Arc<Crowd>,
    /// Where devices of the shop were met.
    known: BTreeSet<IpAddr>,
    count: u64,
}

impl Hub {
    pub(super) fn new(shared: Arc<Shared>) -> Self {
        Self {
            own: super::endpoint::key(&shared.endpoint),
            shared,
            meetings: BTreeMap::new(),
            seekers: BTreeMap::new(),
            tasks: JoinSet::new(),
            handshakes: Crowd::new(MOST_HANDSHAKES, KEPT_HANDSHAKES, HANDSHAKES_EACH),
            known: BTreeSet::new(),
            count: 0,
        }
    }

    /// Runs until it is told to stop.
    pub(super) async fn run(mut self, mut notes: mpsc::UnboundedReceiver<Note>) {
        let endpoint = Arc::clone(&self.shared.endpoint);
        let mut tick = interval(self.shared.patience.tick);
        loop {
            tokio::select! {
                note = notes.recv() => match note {
                    Some(Note::Stop) | None => break,
                    Some(note) => self.heed(note).await,
                },
                incoming = endpoint.accept() => match incoming {
                    Some(incoming) => self.let_in(incoming),
                    None => break,
                },
                _ = tick.tick() => self.look_at_devices().await,
                Some(_) = self.tasks.join_next() => (),
            }
        }
        self.seekers.clear();
        for running in self.meetings.values() {
            running.stop.send_replace(Some(Parting::Stopped));
        }
        // The meetings close their connections with the reason; then the socket goes.
        let all_over = async { while self.tasks.join_next().await.is_some() {} };
        let _ = timeout(Duration::from_secs(2), all_over).await;
        endpoint.close().await;
    }

    async fn heed(&mut self, note: Note) {
        match note {
            Note::Changed(news) => self.pass_on(&news, None).await,
            Note::Arrived(from, news) => self.pass_on(&news, Some(from)).await,
            Note::Connected(connection, dialled) => self.connected(connection, dialled),
            Note::Ended(peer, id, why) => self.ended(peer, id, why),
            Note::Look(None) => self.seekers.values().for_each(Seeker::look_now),
            Note::Look(Some((peer, addresses))) => {
                if !self.seekers.contains_key(&peer) {
                    self.look_at_devices().await;
                }
                if let Some(seeker) = self.seekers.get(&peer) {
                    seeker.look_at(&addresses);
                    seeker.look_now();
                }
            }
            Note::Near(peer, addresses) => {
                if let Some(seeker) = self.seekers.get(&peer) {
                    seeker.look_at(&addresses);
                    seeker.look_now();
                }
            }
            Note::Devices => self.look_at_devices().await,
            Note::Stop => (),
        }
    }

    async fn pass_on(&mut self, news: &News, from: Option<DeviceKey>) {
        let others = self
            .meetings
            .iter()
            .filter(|(peer, _)| Some(**peer) != from);
        others.for_each(|(_, running)| running.pending.add(news));
        // Devices are listed in the shop's ledger.
        let is_shop = |ledger: &LedgerId| matches!(ledger, LedgerId::Shop(_));
        if news.reach == Reach::Changed && news.ledgers.iter().any(is_shop) {
            self.look_at_devices().await;
        }
    }

    /// Reads the list of devices to look for, and looks for those that are new on it.
    async fn look_at_devices(&mut self) {
        let peers = match self.shared.ask(|depot| depot.peers()).await {
            Ok(peers) => peers,
            Err(error) => {
                warn!(%error, "the list of devices could not be read");
                return;
            }
        };
        let listed: BTreeSet<DeviceKey> = peers.iter().map(|peer| peer.key).collect();
        self.seekers.retain(|key, _| listed.contains(key));
        let met = peers.iter().flat_map(|peer| &peer.addresses);
        self.known = met.map(|at| at.ip().to_canonical()).collect();
        for peer in peers {
            if peer.key == self.own {
                continue;
            }
            let seeker = self
                .seekers
                .entry(peer.key)
                .or_insert_with(|| Seeker::start(Arc::clone(&self.shared), peer.key));
            seeker.look_at(&peer.addresses);
        }
    }

    /// An unknown somebody knocks: handshake within bounds, then by the name of the
    /// protocol asked for.
    fn let_in(&mut self, incoming: iroh::endpoint::Incoming) {
        let address = match iroh::TransportAddr::from(incoming.remote_addr()) {
            iroh::TransportAddr::Ip(at) => Some(at.ip().to_canonical()),
            iroh::TransportAddr::Relay(_) | iroh::TransportAddr::Custom(_) | _ => None,
        };
        let place = address.and_then(|address| {
            let known = self.known.contains(&address);
            self.handshakes.enter(address, known)
        });
        let Some(place) = place else {
            incoming.refuse();
            return;
        };
        if self.handshakes.count() > UNPROVED_HANDSHAKES && !incoming.remote_addr_validated() {
            // It must come back with a token sent to its address; fails only if validated.
            let _ = incoming.retry();
            return;
        }
        let shared = Arc::clone(&self.shared);
        self.tasks.spawn(async move {
            let connecting = timeout(shared.patience.handshake, incoming).await;
            let Ok(Ok(connection)) = connecting else {
                return;
            };
            let peer = DeviceKey(*connection.remote_id().as_bytes());
            match connection.alpn() {
                LINK_ALPN => {
                    let admitted = shared.ask(move |depot| depot.admits(&peer)).await;
                    drop(place);
                    if admitted == Ok(true) {
                        shared.note(Note::Connected(connection, Dialled::There));
                    } else {
                        debug!(peer = %peer.short(), "turned away");
                        let code = Parting::TurnedAway.code();
                        connection.close(u32::from(code).into(), b"");
                    }
                }
                PAIR_ALPN => {
                    drop(place);
                    shared.door.serve(&shared, connection).await;
                }
                _ => connection.close(0u32.into(), b""),
            }
        });
    }

    fn connected(&mut self, connection: Connection, dialled: Dialled) {
        let peer = DeviceKey(*connection.remote_id().as_bytes());
        let dialler = match dialled {
            Dialled::Here => self.own,
            Dialled::There => peer,
        };
        if let Some(running) = self.meetings.get(&peer) {
            let at_once = running.since.elapsed() < AT_ONCE && running.dialler != dialler;
            // Both sides come to the same answer, whichever they saw first.
            if at_once && running.dialler < dialler {
                connection.close(u32::from(Parting::Replaced.code()).into(), b"");
                return;
            }
            running.stop.send_replace(Some(Parting::Replaced));
        } else if self.meetings.len() >= MOST_MEETINGS {
            connection.close(u32::from(Parting::Other.code()).into(), b"");
            if let Some(seeker) = self.seekers.get(&peer) {
                seeker.ended();
            }
            return;
        }
        self.count += 1;
        let id = self.count;
        let (stop, stopped) = watch::channel(None);
        let pending = Arc::new(Pending::default());
        let meeting = Meeting {
            connection,
            shared: Arc::clone(&self.shared),
            pending: Arc::clone(&pending),
            stop: stopped,
        };
        let running = Running {
            id,
            dialler,
            since: Instant::now(),
            pending,
            stop,
        };
        self.meetings.insert(peer, running);
        let exchange = Exchange::new(Arc::clone(&self.shared.depot), peer);
        let shared = Arc::clone(&self.shared);
        self.tasks.spawn(async move {
            let why = meeting.run(exchange).await;
            shared.note(Note::Ended(peer, id, why));
        });
    }

    fn ended(&mut self, peer: DeviceKey, id: u64, why: Parting) {
        // One that was replaced leaves its successor alone.
        if self
            .meetings
            .get(&peer)
            .is_none_or(|running| running.id != id)
        {
            return;
        }
        self.meetings.remove(&peer);
        if self.shared.states.parted(peer, why) {
            self.shared.tell(LinkEvent::Parted { peer, why });
        }
        if let Some(seeker) = self.seekers.get(&peer) {
            seeker.ended();
        }
    }
}
