//! A stranger: a raw endpoint that says whatever a test wants, with any key it was given.

use std::time::Duration;

use iroh::endpoint::{Connection, ConnectionError, RecvStream, SendStream, presets};
use iroh::{Endpoint, EndpointAddr, PublicKey, RelayMode, SecretKey, TransportAddr};
use tallywater_core::link::{LINK_ALPN, PAIR_ALPN, Place};
use tallywater_core::sync::Frame;
use tokio::runtime::Handle;
use tokio::sync::oneshot;

use super::links::loopback;

/// Long after which a test that waits has failed.
const GUARD: Duration = Duration::from_secs(90);

/// The stranger and its socket, on a thread of its own until it is dropped.
pub(crate) struct Stranger {
    pub(crate) runtime: Handle,
    pub(crate) endpoint: Endpoint,
    _stop: oneshot::Sender<()>,
}

/// A connection the stranger has made, with the stream it opened.
pub(crate) struct Knock<'a> {
    by: &'a Stranger,
    pub(crate) connection: Connection,
    /// `None` where the other had closed before a stream was open.
    send: Option<SendStream>,
    recv: Option<RecvStream>,
}

impl Stranger {
    pub(crate) fn new(seed: [u8; 32]) -> Self {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .unwrap();
        let endpoint = runtime
            .block_on(async {
                Endpoint::builder(presets::Minimal)
                    .secret_key(SecretKey::from_bytes(&seed))
                    .relay_mode(RelayMode::Disabled)
                    .clear_ip_transports()
                    .bind_addr(loopback())
                    .unwrap()
                    .bind()
                    .await
            })
            .unwrap();
        let (stop, stopped) = oneshot::channel();
        let handle = runtime.handle().clone();
        std::thread::spawn(move || runtime.block_on(stopped));
        Self {
            runtime: handle,
            endpoint,
            _stop: stop,
        }
    }

    fn wait<T>(&self, what: &str, future: impl Future<Output = T>) -> T {
        self.runtime
            .block_on(async { tokio::time::timeout(GUARD, future).await })
            .unwrap_or_else(|_| panic!("never came about: {what}"))
    }

    pub(crate) fn connect(&self, place: &Place, alpn: &[u8]) -> Connection {
        let key = PublicKey::from_bytes(&place.key.0).unwrap();
        let addresses = place.addresses.iter().copied().map(TransportAddr::Ip);
        let at = EndpointAddr::from_parts(key, addresses);
        self.wait("a connection", self.endpoint.connect(at, alpn))
            .unwrap()
    }

    /// Connects as a paired device would, and opens its control stream.
    pub(crate) fn knock(&self, place: &Place) -> Knock<'_> {
        let connection = self.connect(place, LINK_ALPN);
        let send = self.wait("a stream", connection.open_uni()).ok();
        Knock {
            by: self,
            connection,
            send,
            recv: None,
        }
    }

    /// Connects as one who has a code would.
    pub(crate) fn knock_to_pair(&self, place: &Place) -> Knock<'_> {
        let connection = self.connect(place, PAIR_ALPN);
        let (send, recv) = self.wait("a stream", connection.open_bi()).unwrap();
        Knock {
            by: self,
            connection,
            send: Some(send),
            recv: Some(recv),
        }
    }
}

impl Knock<'_> {
    pub(crate) fn send_bytes(&mut self, bytes: &[u8]) {
        // What the other does not want to hear any more is its right.
        if let Some(send) = &mut self.send {
            let _ = self.by.runtime.block_on(send.write_all(bytes));
        }
    }

    pub(crate) fn send(&mut self, frame: &Frame) {
        self.send_bytes(&frame.encode().unwrap());
    }

    /// The frame on the peer's next stream or on the one that is open; `None` when the
    /// connection has been closed.
    pub(crate) fn hear(&mut self) -> Option<Frame> {
        let Self {
            by,
            connection,
            recv,
            ..
        } = self;
        by.wait("a frame", async {
            if recv.is_none() {
                *recv = Some(connection.accept_uni().await.ok()?);
            }
            let stream = recv.as_mut()?;
            let mut length = [0; 4];
            stream.read_exact(&mut length).await.ok()?;
            let mut bytes = vec![0; Frame::length(length).unwrap()];
            stream.read_exact(&mut bytes).await.ok()?;
            Frame::decode(&bytes).unwrap()
        })
    }

    /// Everything the peer says until it says this, on its control stream.
    pub(crate) fn hear_until(&mut self, is: impl Fn(&Frame) -> bool) -> Vec<Frame> {
        let mut heard = Vec::new();
        while let Some(frame) = self.hear() {
            let last = is(&frame);
            heard.push(frame);
            if last {
                return heard;
            }
        }
        panic!("the connection was closed first: {heard:#?}");
    }

    /// Bytes of the stream, as many as these.
    pub(crate) fn hear_bytes(&mut self, bytes: &mut [u8]) -> bool {
        let Self { by, recv, .. } = self;
        let stream = recv.as_mut().unwrap();
        by.wait("bytes", stream.read_exact(bytes)).is_ok()
    }

    /// The code the connection was closed with by the other side.
    pub(crate) fn closed_with(&self) -> u64 {
        match self.by.wait("the end", self.connection.closed()) {
            ConnectionError::ApplicationClosed(close) => close.error_code.into(),
            other => panic!("closed otherwise: {other}"),
        }
    }

    pub(crate) fn is_open(&self) -> bool {
        // Lets the socket's task run, so that a close that has arrived is seen.
        std::thread::sleep(Duration::from_millis(50));
        self.connection.close_reason().is_none()
    }
}
