//! Link: how devices find each other on a local network and exchange ledgers whenever they
//! meet. The only room with async code in it.
//!
//! ```text
//!            blocking                       async, on one thread of its own
//! desk  <->  Link  <- commands, events ->   hub -> one meeting a peer -> lanes (QUIC streams)
//!   ^                                              |
//!   +------- Depot (blocking, short) --------------+  on worker threads
//! ```
//! **Transport.** QUIC by iroh, with relays off and nothing asked of the internet. A device
//! is dialled by its link key, so an impostor at the right address fails in the TLS
//! handshake. Addresses come from mDNS, from where the device was met last, or are given.
//! Both ends listen and both dial; two connections between the same two are settled by the
//! smaller key.
//!
//! **Who gets in.** A connection with the protocol name [`LINK_ALPN`] from a key that the
//! depot does not admit is closed before a single frame: no ledger is named. [`PAIR_ALPN`]
//! is answered only while a code is shown ([`pairing`]).
//!
//! **What is said.** Each side opens one-way streams: the first for control frames, then one
//! for each ledger that has something to say, closed when the two are in step. Frames are
//! those of [`crate::sync::Frame`]; what they mean is [`Exchange`], which has no socket in
//! it. A message is answered with "stored" only after the depot's commit, so "held by the
//! shop" is what the shop has said it stored.
//!
//! **Photographs and sounds** come after all that, piece by piece, and only while both hold the
//! same of everything they share (`files`).
//!
//! **What a failure means.** A meeting that breaks off loses nothing: what was stored is
//! stored, and the next meeting begins from the heads each side has. [`Parting`] says why,
//! in terms a person can act on. A slow or hostile peer costs its own connection: a frame
//! must arrive within half a minute of its first byte, at most 16 MiB of frames are held for
//! a peer, two long messages among them taken apart (`in_hand`), and connections and streams
//! are counted.
//!
//! Nothing in a log names a person: devices appear by the first digits of their keys.

mod backoff;
mod by_entries;
mod crowd;
mod depot;
mod door;
mod endpoint;
mod event;
mod exchange;
mod files;
mod handle;
mod holding;
mod hub;
mod in_hand;
mod lane;
mod meeting;
mod nearby;
pub mod pairing;
mod parting;
mod patience;
mod seeker;
mod state;
mod taking;

pub use depot::{Arrival, Depot, DepotError, Peer, PieceTaken, Reach, TakeStep};
pub use endpoint::{Discovery, LinkConfig};
pub use event::{LinkEvent, Listener};
pub use exchange::{Exchange, Outcome};
pub use handle::{BadPlace, Link, Place};
pub use parting::Parting;
pub use patience::Patience;
pub use state::PeerState;

/// The protocol name of a meeting between paired devices.
pub const LINK_ALPN: &[u8] = b"tallywater/link/2";
/// The protocol name of a pairing.
pub const PAIR_ALPN: &[u8] = b"tallywater/pair/1";

/// The link could not be opened, or is closed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LinkError {
    /// No socket could be bound: the network is off, or the port is taken.
    #[error("could not listen on the network: {detail}")]
    Bind {
        /// What the system said.
        detail: String,
    },
    /// A port that was asked for is taken, or may not be used.
    #[error("could not listen on the port that was asked for: {detail}")]
    PortTaken {
        /// What the system said.
        detail: String,
    },
    /// The depot did not give what is needed.
    #[error(transparent)]
    Depot(DepotError),
    /// The operating system gave no thread or no chance.
    #[error("could not {during}: {detail}")]
    System {
        /// What was being done.
        during: &'static str,
        /// What the system said.
        detail: String,
    },
    /// The link has been closed.
    #[error("the link is closed")]
    Closed,
}
