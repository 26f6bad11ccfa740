//! Meeting: one connection with one admitted device, from the first frame to the last.
//! Carries the frames of an [`Exchange`] over lanes; what they mean is not known here.

use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use iroh::endpoint::{Connection, ConnectionError, RecvStream};
use tokio::sync::{Notify, Semaphore, mpsc, watch};
use tokio::task::JoinSet;
use tokio::time::{Instant, MissedTickBehavior, interval, sleep_until, timeout};
use tracing::{debug, warn};

use super::hub::{News, Shared};
use super::in_hand::InHand;
use super::lane::{self, BUDGET_KIB, Heard, Lane, Waiting};
use super::{Exchange, LinkEvent, Outcome, Parting};
use crate::course::LedgerId;
use crate::sync::{Frame, PIECE_BYTES};

/// How many frames may wait to be heard; the budget of bytes is the lane's.
const INBOX: usize = 256;
/// So long after something was heard what the peer said of its own disk is written down, unless
/// a commit took it along before.
const REST: Duration = Duration::from_millis(250);

/// How much of one long message is taken together, in bytes.
const TOGETHER: usize = 4 * PIECE_BYTES;

/// Frames that wait to be heard.
struct Inbox {
    frames: mpsc::Receiver<Heard>,
    /// One that was too long for the turn before.
    left: Option<Heard>,
}

impl Inbox {
    /// The frames of the next turn: as many as are here, and together no longer than a piece, so
    /// that no tap waits for more than before; pieces of one message, which come to less the
    /// more of them there are, up to [`TOGETHER`].
    async fn turn(&mut self) -> Option<Vec<Heard>> {
        let first = match self.left.take() {
            Some(left) => left,
            None => self.frames.recv().await?,
        };
        let mut length = first.length;
        let mut turn = vec![first];
        while let Ok(next) = self.frames.try_recv() {
            length = length.saturating_add(next.length);
            let goes_on = turn.iter().all(|one| one.goes_on_with(&next));
            if length > if goes_on { TOGETHER } else { PIECE_BYTES } {
                self.left = Some(next);
                break;
            }
            turn.push(next);
        }
        Some(turn)
    }
}

/// What is new since the meeting last looked.
#[derive(Debug, Default)]
pub(super) struct Pending {
    news: Mutex<Option<News>>,
    notify: Notify,
}

impl Pending {
    pub(super) fn add(&self, news: &News) {
        let mut pending = self.news.lock().unwrap_or_else(PoisonError::into_inner);
        match pending.as_mut() {
            Some(pending) => {
                pending.ledgers.extend(&news.ledgers);
                pending.reach = pending.reach.max(news.reach);
            }
            None => *pending = Some(news.clone()),
        }
        drop(pending);
        self.notify.notify_one();
    }

    fn take(&self) -> Option<News> {
        let mut pending = self.news.lock().unwrap_or_else(PoisonError::into_inner);
        pending.take()
    }
}

/// One meeting.
pub(super) struct Meeting {
    pub(super) connection: Connection,
    pub(super) shared: Arc<Shared>,
    pub(super) pending: Arc<Pending>,
    /// Why the hub wants it to end.
    pub(super) stop: watch::Receiver<Option<Parting>>,
}

impl Meeting {
    /// Runs until one side ends it, and closes the connection with the reason.
    pub(super) async fn run(mut self, exchange: Exchange) -> Parting {
        let peer = exchange.peer();
        let connection = self.connection.clone();
        let why = match self.talk(exchange).await {
            Ok(never) => match never {},
            Err(why) => why,
        };
        self.rest().await;
        // When the other side closed first, its reason is the better one.
        let why = match connection.close_reason() {
            Some(reason) => closed(&reason),
            None => why,
        };
        connection.close(u32::from(why.code()).into(), b"");
        debug!(peer = %peer.short(), ?why, "meeting over");
        why
    }

    /// Has written down what the peer said it holds.
    async fn rest(&self) {
        if let Err(error) = self.shared.ask(|depot| depot.rest()).await {
            warn!(%error, "what a device holds was not written down");
        }
    }

    async fn talk(&mut self, exchange: Exchange) -> Result<std::convert::Infallible, Parting> {
        let peer = exchange.peer();
        let patience = self.shared.patience;
        let mut tasks = JoinSet::new();
        let mut lanes = Lanes {
            connection: self.connection.clone(),
            waiting: Arc::default(),
            control: None,
            files: None,
            ledgers: BTreeMap::new(),
        };
        let mut exchange = self
            .step(exchange, &mut lanes, &mut tasks, Exchange::open)
            .await?;

        let (inbox, frames) = mpsc::channel(INBOX);
        let mut heard = Inbox { frames, left: None };
        let budget = Arc::new(Semaphore::new(BUDGET_KIB));
        // The first stream is the control stream; nothing else is read before its hello.
        let control = timeout(patience.connect, self.connection.accept_uni()).await;
        let mut control = control
            .map_err(|_| Parting::Slow)?
            .map_err(|error| closed(&error))?;
        let hello = timeout(
            patience.connect,
            lane::read(&mut control, &patience, &budget),
        )
        .await;
        let hello = hello.map_err(|_| Parting::Slow)??.ok_or(Parting::Broken)?;
        exchange = self
            .step(exchange, &mut lanes, &mut tasks, |exchange| {
                exchange.hear(hello.frame)
            })
            .await?;
        self.shared.states.met(peer);
        self.shared.tell(LinkEvent::Met { peer });
        if let Some(at) = remote(&self.connection) {
            self.shared.met(peer, at).await;
        }
        let in_hand = InHand::new();
        let read_lane = |stream: RecvStream| {
            let (inbox, budget) = (inbox.clone(), Arc::clone(&budget));
            read_all(stream, patience, budget, in_hand.clone(), inbox)
        };
        tasks.spawn(read_lane(control));
        let mut tick = interval(patience.tick);
        tick.set_missed_tick_behavior(MissedTickBehavior::Delay);
        tick.reset();
        let mut rest_at = None;
        loop {
            tokio::select! {
                Some(turn) = heard.turn() => {
                    exchange = self
                        .step(exchange, &mut lanes, &mut tasks, |exchange| {
                            // What they take up goes when they have been dealt with.
                            let (frames, _shares): (Vec<_>, Vec<_>) =
                                turn.into_iter().map(Heard::split).unzip();
                            exchange.hear_turn(frames)
                        })
                        .await?;
                    rest_at.get_or_insert_with(|| Instant::now() + REST);
                }
                () = sleep_until(rest_at.unwrap_or_else(Instant::now)), if rest_at.is_some() => {
                    rest_at = None;
                    self.rest().await;
                }
                () = self.pending.notify.notified() => {
                    if let Some(news) = self.pending.take() {
                        exchange = self
                            .step(exchange, &mut lanes, &mut tasks, move |exchange| {
                                exchange.changed(&news.ledgers, news.reach)
                            })
                            .await?;
                    }
                }
                stream = self.connection.accept_uni() => {
                    let stream = stream.map_err(|error| closed(&error))?;
                    tasks.spawn(read_lane(stream));
                }
                _ = tick.tick() => {
                    exchange = self.step(exchange, &mut lanes, &mut tasks, Exchange::tick).await?;
                }
                Some(ended) = tasks.join_next() => ended.map_err(|_| Parting::Lost)??,
                _ = self.stop.changed() => {
                    let why = *self.stop.borrow();
                    return Err(why.unwrap_or(Parting::Stopped));
                }
            }
        }
    }

    /// Runs one step of the exchange on a worker thread, sends what it said and tells what
    /// happened. The frames of a step that ends the meeting are not sent: the close code
    /// says why.
    async fn step(
        &self,
        mut exchange: Exchange,
        lanes: &mut Lanes,
        tasks: &mut JoinSet<Result<(), Parting>>,
        step: impl FnOnce(&mut Exchange) -> Result<(), Parting> + Send + 'static,
    ) -> Result<Exchange, Parting> {
        let done = tokio::task::spawn_blocking(move || {
            let result = step(&mut exchange);
            let outcome = exchange.outcome();
            (exchange, outcome, result)
        });
        let (exchange, outcome, result) = done.await.map_err(|_| Parting::OwnStore)?;
        let Outcome {
            frames,
            events,
            arrived,
            reach,
        } = outcome;
        if !arrived.is_empty() {
            let ledgers = arrived;
            self.shared
                .arrived(exchange.peer(), News { ledgers, reach });
        }
        let mut in_step = exchange.all_in_step();
        for event in events {
            in_step |= matches!(event, LinkEvent::InStep { .. });
            self.shared.tell(event);
        }
        self.shared.states.in_step(&exchange.peer(), in_step);
        result?;
        for frame in &frames {
            lanes.send(frame, self.shared.patience, tasks)?;
        }
        lanes
            .ledgers
            .retain(|ledger, _| !exchange.is_in_step(ledger));
        Ok(exchange)
    }
}

/// Reads a lane to its end, into the inbox.
async fn read_all(
    mut stream: RecvStream,
    patience: super::Patience,
    budget: Arc<Semaphore>,
    in_hand: InHand,
    inbox: mpsc::Sender<Heard>,
) -> Result<(), Parting> {
    while let Some(mut heard) = lane::read(&mut stream, &patience, &budget).await? {
        in_hand.take(&mut heard).await;
        if inbox.send(heard).await.is_err() {
            break;
        }
    }
    Ok(())
}

struct Lanes {
    connection: Connection,
    waiting: Arc<Waiting>,
    control: Option<Lane>,
    /// Pieces of photographs and sounds, on a stream that yields to every other.
    files: Option<Lane>,
    ledgers: BTreeMap<LedgerId, Lane>,
}

impl Lanes {
    fn send(
        &mut self,
        frame: &Frame,
        patience: super::Patience,
        tasks: &mut JoinSet<Result<(), Parting>>,
    ) -> Result<(), Parting> {
        let yields = matches!(frame, Frame::Piece { .. });
        let open = || {
            let connection = self.connection.clone();
            let stream = async move {
                let stream = connection.open_uni().await.ok()?;
                if yields {
                    // Fails only for a stream that is closed, which writing notices.
                    let _ = stream.set_priority(-1);
                }
                Some(stream)
            };
            let (lane, write) = Lane::open(stream, patience, &self.waiting);
            tasks.spawn(write);
            lane
        };
        let lane = match frame {
            // What is said of a ledger after entries must not overtake them.
            Frame::Message { ledger, .. }
            | Frame::Entries { ledger, .. }
            | Frame::Level { ledger, .. } => self.ledgers.entry(*ledger).or_insert_with(open),
            Frame::Piece { .. } => self.files.get_or_insert_with(open),
            Frame::Hello { .. }
            | Frame::Offer { .. }
            | Frame::Listed
            | Frame::Stored { .. }
            | Frame::List { .. }
            | Frame::Ask(_)
            | Frame::Lacking { .. }
            | Frame::Refused { .. } => self.control.get_or_insert_with(open),
        };
        lane.send(frame)
    }
}

/// Where the other end is.
pub(super) fn remote(connection: &Connection) -> Option<SocketAddr> {
    let paths = connection.paths();
    let selected = paths.iter().find(iroh::endpoint::Path::is_selected);
    let path = selected.or_else(|| paths.iter().next())?;
    match path.remote_addr() {
        iroh::TransportAddr::Ip(at) => Some(*at),
        iroh::TransportAddr::Relay(_) | iroh::TransportAddr::Custom(_) | _ => None,
    }
}

/// Why a connection has ended.
pub(super) fn closed(error: &ConnectionError) -> Parting {
    match error {
        ConnectionError::ApplicationClosed(close) => Parting::of_code(close.error_code.into()),
        ConnectionError::LocallyClosed => Parting::Stopped,
        ConnectionError::VersionMismatch
        | ConnectionError::TransportError(_)
        | ConnectionError::ConnectionClosed(_)
        | ConnectionError::Reset
        | ConnectionError::TimedOut
        | ConnectionError::CidsExhausted => Parting::Lost,
    }
}
