//! Seeker: looks for one paired device until it is met, and again whenever it is lost.

use std::net::SocketAddr;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use iroh::{EndpointAddr, PublicKey};
use tokio::sync::Notify;
use tokio::task::AbortHandle;
use tokio::time::{Instant, timeout};
use tracing::debug;

use super::backoff::Backoff;
use super::hub::{Dialled, Note, Shared};
use super::meeting::closed;
use super::{LINK_ALPN, LinkEvent, Parting};
use crate::entry::DeviceKey;

/// How many addresses are tried for one device.
const MOST_ADDRESSES: usize = 8;
/// A meeting that lasted this long was a good one: the next wait is short again.
const GOOD: Duration = Duration::from_secs(10);

/// The seeker's handle; dropping it ends the search.
pub(super) struct Seeker {
    inner: Arc<Inner>,
    task: AbortHandle,
}

#[derive(Default)]
struct Inner {
    addresses: Mutex<Vec<SocketAddr>>,
    look: Notify,
    ended: Notify,
}

impl Drop for Seeker {
    fn drop(&mut self) {
        self.task.abort();
    }
}

impl Seeker {
    pub(super) fn start(shared: Arc<Shared>, peer: DeviceKey) -> Self {
        let inner = Arc::new(Inner::default());
        let task = tokio::spawn(seek(shared, peer, Arc::clone(&inner)));
        Self {
            inner,
            task: task.abort_handle(),
        }
    }

    /// The device may be at these addresses, before any other.
    pub(super) fn look_at(&self, addresses: &[SocketAddr]) {
        let mut known = self
            .inner
            .addresses
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        let older = std::mem::take(&mut *known);
        known.extend(addresses);
        known.extend(older.into_iter().filter(|at| !addresses.contains(at)));
        known.truncate(MOST_ADDRESSES);
    }

    /// Do not wait any longer.
    pub(super) fn look_now(&self) {
        self.inner.look.notify_one();
    }

    /// The meeting is over.
    pub(super) fn ended(&self) {
        self.inner.ended.notify_one();
    }
}

async fn seek(shared: Arc<Shared>, peer: DeviceKey, inner: Arc<Inner>) {
    let Ok(key) = PublicKey::from_bytes(&peer.0) else {
        // A key that is no point of the curve can be on the list and nowhere else.
        return;
    };
    let mut backoff = Backoff::new(&shared.patience);
    loop {
        if shared.states.is_connected(&peer) {
            let since = Instant::now();
            inner.ended.notified().await;
            if since.elapsed() > GOOD {
                backoff.reset();
            }
        } else {
            let why = tokio::select! {
                why = dial(&shared, key, &inner) => why,
                // Where it is has just been learnt: a try that does not know it takes seconds
                // to give up.
                () = inner.look.notified() => {
                    backoff.reset();
                    continue;
                }
            };
            match why {
                None => {
                    let since = Instant::now();
                    inner.ended.notified().await;
                    if since.elapsed() > GOOD {
                        backoff.reset();
                    }
                }
                Some(why) => {
                    if !shared.states.is_connected(&peer) && shared.states.parted(peer, why) {
                        shared.tell(LinkEvent::Parted { peer, why });
                    }
                }
            }
        }
        let mut chance = [128];
        // Without chance, all wait the same: no harm in it.
        let _ = shared.depot.stamps().chance(&mut chance);
        let [chance] = chance;
        tokio::select! {
            () = tokio::time::sleep(backoff.next(chance)) => (),
            () = inner.look.notified() => backoff.reset(),
        }
    }
}

/// Dials once; `None` when the connection was handed to the hub.
async fn dial(shared: &Shared, key: PublicKey, inner: &Inner) -> Option<Parting> {
    let addresses = {
        let known = inner
            .addresses
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        known.clone()
    };
    let at = EndpointAddr::from_parts(key, addresses.into_iter().map(iroh::TransportAddr::Ip));
    let dialled = timeout(
        shared.patience.connect,
        shared.endpoint.connect(at, LINK_ALPN),
    )
    .await;
    match dialled {
        Ok(Ok(connection)) => {
            // A device that turns us away closes at once: hear that before it counts.
            if let Some(reason) = connection.close_reason() {
                return Some(closed(&reason));
            }
            shared.note(Note::Connected(connection, Dialled::Here));
            None
        }
        Ok(Err(error)) => {
            debug!(%error, "not reached");
            Some(Parting::NotReached)
        }
        Err(_) => Some(Parting::NotReached),
    }
}
