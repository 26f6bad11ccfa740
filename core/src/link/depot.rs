//! Depot: what the link asks of the room that keeps the ledgers. The seam between this
//! room, which knows sockets, and the desk, which knows trust and the store.
//!
//! Every call is blocking and short, may come from several threads at once, and is made
//! with no lock of the link held. Whatever a call reports as taken has been committed to
//! the disk: the link tells the peer "stored" on the strength of it.

use std::collections::BTreeSet;
use std::net::SocketAddr;
use std::sync::Arc;

use zeroize::Zeroizing;

use super::pairing::{Guest, Joined, Paired, Welcome};
use crate::course::{EntryId, LedgerId};
use crate::entry::DeviceKey;
use crate::ledger::{Heads, Ledger, LedgerError, Lent, Mishap, Taken};
use crate::stamp::Stamps;
use crate::sync::{FileId, FilePlace, Position, SyncError};

/// A device to look for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Peer {
    /// Its link key.
    pub key: DeviceKey,
    /// Where it was met last, newest first.
    pub addresses: Vec<SocketAddr>,
}

/// What came of taking changes from a peer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Arrival {
    /// How many entries were new.
    pub new: usize,
    /// What is now committed here.
    pub position: Position,
    /// Whether it may change who may have what.
    pub reach: Reach,
}

/// Whether something recorded may change who may have which ledger: a device admitted or
/// revoked, a course listed, a student enrolled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reach {
    /// It cannot.
    AsBefore,
    /// It may: something of the shop's ledger, everybody's ledgers; something of a course,
    /// those of its people.
    Changed,
}

/// What became of a piece of a photograph or a sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PieceTaken {
    /// It is committed, or not needed any more.
    Taken,
    /// It was the last, and the whole is not what the entry names: all of it was dropped.
    Wrong,
}

/// A step that looks at a ledger and may bring changes. It may be run again if the ledger
/// moved on in between; what the last run returned is what counts.
pub type TakeStep<'a> = &'a mut dyn FnMut(&mut Lent) -> Result<Option<Taken>, SyncError>;

/// Where the ledgers are, and who may have them.
pub trait Depot: Send + Sync + 'static {
    /// The secret behind this device's link key. It is not the key that signs entries.
    ///
    /// # Errors
    /// [`DepotError`] when the key store gives it not.
    fn link_seed(&self) -> Result<Zeroizing<[u8; 32]>, DepotError>;

    /// Clock and chance.
    fn stamps(&self) -> Arc<dyn Stamps>;

    /// The devices to look for: everything paired and not revoked, without this one.
    ///
    /// # Errors
    /// [`DepotError`].
    fn peers(&self) -> Result<Vec<Peer>, DepotError>;

    /// Whether the device with this link key may connect now: paired, certified, within
    /// its dates and not revoked.
    ///
    /// # Errors
    /// [`DepotError`]; the device is turned away.
    fn admits(&self, peer: &DeviceKey) -> Result<bool, DepotError>;

    /// Every ledger that is here and that the device may have, the shop's first.
    ///
    /// # Errors
    /// [`DepotError`].
    fn shares(&self, peer: &DeviceKey) -> Result<Vec<Position>, DepotError>;

    /// Whether this ledger, here or not, may be exchanged with the device. The answer for
    /// one that does not exist is that for one the device may not have.
    ///
    /// # Errors
    /// [`DepotError`].
    fn may_share(&self, peer: &DeviceKey, ledger: &LedgerId) -> Result<bool, DepotError>;

    /// Where a ledger stands, without opening it; `None` if it is not here.
    ///
    /// # Errors
    /// [`DepotError`].
    fn stands(&self, ledger: &LedgerId) -> Result<Option<Position>, DepotError>;

    /// The ledgers of everybody who was ever enrolled in a course: what is recorded in it may
    /// change who may have them, and of no other ledger.
    ///
    /// # Errors
    /// [`DepotError`].
    fn people_of(&self, course: &LedgerId) -> Result<BTreeSet<LedgerId>, DepotError>;

    /// Runs the step on a ledger; on an empty one if it is not here.
    ///
    /// # Errors
    /// [`DepotError`].
    fn look(&self, ledger: &LedgerId, step: &mut dyn FnMut(&Ledger)) -> Result<(), DepotError>;

    /// Runs the step on a ledger, commits what it takes, and only then returns. A ledger
    /// that was not here begins with this.
    ///
    /// # Errors
    /// [`DepotError`]; nothing was taken.
    fn take(
        &self,
        from: &DeviceKey,
        ledger: &LedgerId,
        step: TakeStep<'_>,
    ) -> Result<Arrival, DepotError>;

    /// The same for several ledgers, each named once and the shop's only by itself, in one
    /// commit: what each step gave, in the order of the steps.
    ///
    /// # Errors
    /// [`DepotError`]; nothing was taken of any. Each may be tried by itself then.
    fn take_all(
        &self,
        from: &DeviceKey,
        steps: Vec<(LedgerId, TakeStep<'_>)>,
    ) -> Result<Vec<Result<Arrival, DepotError>>, DepotError>;

    /// Whether this ledger is exchanged with the device entry by entry, because their
    /// histories did not go together before.
    ///
    /// # Errors
    /// [`DepotError`].
    fn by_entries(&self, peer: &DeviceKey, ledger: &LedgerId) -> Result<bool, DepotError>;

    /// Something went wrong with one ledger, and the device brought it: noted for people to
    /// see.
    ///
    /// # Errors
    /// [`DepotError`].
    fn mishap(
        &self,
        peer: &DeviceKey,
        ledger: &LedgerId,
        what: Mishap,
        entry: Option<EntryId>,
    ) -> Result<(), DepotError>;

    /// The device has said what it has stored of a ledger. It is kept as said, in place of
    /// what it said before; whether it covers what is here, [`crate::sync::Held`] decides. It is
    /// on the disk with the next commit, or after [`Depot::rest`]; what takes something back, at
    /// once.
    ///
    /// # Errors
    /// [`DepotError`].
    fn peer_stored(
        &self,
        peer: &DeviceKey,
        ledger: &LedgerId,
        heads: &Heads,
    ) -> Result<(), DepotError>;

    /// Nothing is being heard just now: what devices have said is written down.
    ///
    /// # Errors
    /// [`DepotError`]; it is kept in memory, and tried again the next time.
    fn rest(&self) -> Result<(), DepotError>;

    /// The next piece of a photograph or a sound that is lacking here, of a ledger that the
    /// device may have; none of those in `passed`. `None` where nothing is.
    ///
    /// # Errors
    /// [`DepotError`].
    fn lacks(
        &self,
        peer: &DeviceKey,
        passed: &BTreeSet<FileId>,
    ) -> Result<Option<FilePlace>, DepotError>;

    /// The piece of a photograph or a sound that begins there, 1 byte to
    /// [`FILE_PIECE_BYTES`](crate::sync::FILE_PIECE_BYTES); `None` where it is not whole here or not the
    /// device's to have.
    ///
    /// # Errors
    /// [`DepotError`].
    fn piece(&self, peer: &DeviceKey, at: &FilePlace) -> Result<Option<Vec<u8>>, DepotError>;

    /// Commits a piece that was asked for.
    ///
    /// # Errors
    /// [`DepotError`]; it was not taken.
    fn take_piece(
        &self,
        peer: &DeviceKey,
        at: &FilePlace,
        bytes: &[u8],
    ) -> Result<PieceTaken, DepotError>;

    /// The device was met at this address; kept for the next time.
    ///
    /// # Errors
    /// [`DepotError`].
    fn met(&self, peer: &DeviceKey, at: SocketAddr) -> Result<(), DepotError>;

    /// What this device hands over when it joins: empty, or a school that was started alone.
    ///
    /// # Errors
    /// [`DepotError`].
    fn brings(&self) -> Result<Vec<u8>, DepotError>;

    /// This device's signing key, and its signature over the proof under
    /// [`super::pairing::PAIRING_DOMAIN`].
    ///
    /// # Errors
    /// [`DepotError`] when the key store gives it not.
    fn prove(&self, proof: &[u8; 32]) -> Result<(DeviceKey, [u8; 64]), DepotError>;

    /// What this device is called, as the shop's ledger says.
    ///
    /// # Errors
    /// [`DepotError`] for one that is not admitted to any shop.
    fn device_name(&self) -> Result<String, DepotError>;

    /// A device has proved that it knows the code that is shown for this guest: issue its
    /// certificate, and say what it needs to begin.
    ///
    /// # Errors
    /// [`DepotError`]; the device is not admitted.
    fn admit(&self, paired: &Paired, guest: &Guest) -> Result<Welcome, DepotError>;

    /// This device has been admitted: remember the shop's root and the device that let us
    /// in. The shop's ledger comes by the link afterwards.
    ///
    /// # Errors
    /// [`DepotError`].
    fn join(&self, joined: &Joined) -> Result<(), DepotError>;
}

/// Why the depot could not do it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DepotError {
    /// The disk is full.
    #[error("the disk is full")]
    Full,
    /// What the peer said could not be taken.
    #[error(transparent)]
    Sync(SyncError),
    /// This device belongs to another shop, and may not leave it.
    #[error("this device belongs to another shop")]
    OtherShop,
    /// The depot is being closed.
    #[error("the depot is closed")]
    Closed,
    /// Anything else, with what was being done.
    #[error("could not {during}: {detail}")]
    Failed {
        /// What was being done.
        during: &'static str,
        /// What was said, without a name or a note's text.
        detail: String,
    },
}

impl From<SyncError> for DepotError {
    fn from(error: SyncError) -> Self {
        Self::Sync(error)
    }
}

impl From<LedgerError> for DepotError {
    fn from(error: LedgerError) -> Self {
        Self::Sync(SyncError::Ledger(error))
    }
}
