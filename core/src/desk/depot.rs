//! Depot: the desk as the link sees it. Who may connect and who may have which ledger is
//! answered here, from the shop's ledger; every answer is for now and for one question.
//!
//! - A device may connect whose certificate counts, names its link key, has not ended and
//!   was not revoked; and, before the shop's ledger has come, the device that let us in.
//! - The shop's ledger goes to all of them. A course's ledger goes to the shop and to the
//!   course's staff, a person's ledger to whoever may have a course the person is enrolled
//!   in; and only between two devices that may both have it.

use std::collections::BTreeSet;
use std::net::SocketAddr;
use std::sync::{Arc, Weak};

use zeroize::Zeroizing;

use super::exchange::{Brought, BroughtOrNot};
use super::shelf::Shelf;
use super::{Admission, Change, Desk, DeskError, Listener, Request};
use crate::course::{EntryId, LedgerId, Role, StaffId};
use crate::entry::{Body, DeviceKey};
use crate::ledger::{Heads, Ledger, Mishap};
use crate::link::pairing::{Guest, Joined, Paired, Welcome};
use crate::link::{Arrival, Depot, DepotError, Link, Peer, PieceTaken, Reach, TakeStep};
use crate::stamp::Stamps;
use crate::store::{PeerRow, StoreError};
use crate::sync::{FileId, FilePlace, Position};
use crate::trust::{PAIRING_DOMAIN, TrustBook};

impl Shelf {
    /// The signing key of the device with this link key, if it may connect now.
    fn admitted(&self, link: &DeviceKey) -> Result<Option<DeviceKey>, DeskError> {
        let Some(book) = &self.book else {
            return Ok(None);
        };
        let today = self.today();
        let certified: Vec<_> = book
            .certificates()
            .map(|(_, certificate)| certificate)
            .filter(|certificate| certificate.link.as_ref() == Some(link))
            .collect();
        // A first day ahead of us is our own slow clock more often than anything else.
        let good = certified.iter().find(|certificate| {
            certificate.until.is_none_or(|until| today <= until)
                && !book.is_revoked(&certificate.key)
        });
        if !certified.is_empty() {
            return Ok(good.map(|certificate| certificate.key));
        }
        let friend =
            self.store.peers()?.into_iter().find(|peer| {
                peer.link.as_ref() == Some(link) && book.certificate(&peer.key).is_none()
            });
        Ok(friend
            .map(|peer| peer.key)
            .filter(|key| !book.is_revoked(key)))
    }

    /// The signing key of the device with this link key, admitted or not any more.
    pub(super) fn signing_key(&self, link: &DeviceKey) -> Result<Option<DeviceKey>, DeskError> {
        let certified = self.book.as_ref().and_then(|book| {
            book.certificates()
                .find(|(_, certificate)| certificate.link.as_ref() == Some(link))
        });
        if let Some((_, certificate)) = certified {
            return Ok(Some(certificate.key));
        }
        let peers = self.store.peers()?;
        let peer = peers
            .into_iter()
            .find(|peer| peer.link.as_ref() == Some(link));
        Ok(peer.map(|peer| peer.key))
    }

    /// Who this device is to the link: the shop where the root key lies, else as certified.
    fn own_access(&self) -> Option<Access> {
        let book = self.book.as_ref()?;
        let own = self.device.key.public();
        if book.is_revoked(&own) {
            return None;
        }
        if self.device.root.is_some() {
            return Some(Access::Shop);
        }
        Access::of(book, &own)
    }

    fn access_of(&self, link: &DeviceKey) -> Result<Option<Access>, DeskError> {
        let key = self.admitted(link)?;
        let book = self.book.as_ref();
        Ok(key.zip(book).and_then(|(key, book)| Access::of(book, &key)))
    }

    fn access_to(&mut self, access: Access, ledger: &LedgerId) -> Result<bool, DeskError> {
        match access {
            Access::Shop => Ok(true),
            Access::Staff(staff, vouched) => Ok(self.may_have(&staff, ledger)?
                && match vouched {
                    Some(vouched) => self.may_have(&vouched, ledger)?,
                    None => true,
                }),
        }
    }

    pub(super) fn may_share(
        &mut self,
        peer: &DeviceKey,
        ledger: &LedgerId,
    ) -> Result<bool, DeskError> {
        if self.admitted(peer)?.is_none() {
            return Ok(false);
        }
        if matches!(ledger, LedgerId::Shop(_)) {
            return Ok(*ledger == self.device.shop_ledger()?);
        }
        let (Some(own), Some(peer)) = (self.own_access(), self.access_of(peer)?) else {
            return Ok(false);
        };
        Ok(!self.is_forgotten(ledger)?
            && self.access_to(own, ledger)?
            && self.access_to(peer, ledger)?)
    }

    fn shares(&mut self, peer: &DeviceKey) -> Result<Vec<Position>, DeskError> {
        if self.admitted(peer)?.is_none() {
            return Ok(Vec::new());
        }
        let shop = self.position(&self.device.shop_ledger()?)?;
        let (Some(own), Some(peer)) = (self.own_access(), self.access_of(peer)?) else {
            return Ok(vec![shop]);
        };
        let (mut courses, mut people) = (Vec::new(), Vec::new());
        let mut both = BTreeSet::new();
        for position in self.positions()? {
            match &position.ledger {
                LedgerId::Shop(_) => {}
                LedgerId::Course(_) => {
                    if self.access_to(own, &position.ledger)?
                        && self.access_to(peer, &position.ledger)?
                    {
                        both.insert(position.ledger);
                        courses.push(position);
                    }
                }
                LedgerId::Person(_) => people.push(position),
            }
        }
        let everyone = (own, peer) == (Access::Shop, Access::Shop);
        let mut enrolled = self.store.enrolled()?;
        enrolled.retain(|course, _| both.contains(course));
        let enrolled: BTreeSet<_> = enrolled.into_values().flatten().collect();
        let forgotten = self.shop()?.0.standing.forgotten();
        people.retain(|position| match &position.ledger {
            LedgerId::Person(student) => {
                (everyone || enrolled.contains(student)) && !forgotten.contains(student)
            }
            LedgerId::Shop(_) | LedgerId::Course(_) => false,
        });
        Ok([vec![shop], courses, people].concat())
    }

    fn looked_for(&self) -> Result<Vec<Peer>, DeskError> {
        let Some(book) = &self.book else {
            return Ok(Vec::new());
        };
        let met = self.store.peers()?;
        let own = self.device.link_key();
        let certified = book.certificates().filter_map(|(_, one)| one.link);
        let friends = met.iter().filter_map(|peer| peer.link);
        let mut peers = Vec::new();
        for key in certified.chain(friends).collect::<BTreeSet<DeviceKey>>() {
            if key != own && self.admitted(&key)?.is_some() {
                let row = met.iter().find(|peer| peer.link == Some(key));
                let address = row.and_then(|row| row.address.as_deref()?.parse().ok());
                let addresses = address.into_iter().collect();
                peers.push(Peer { key, addresses });
            }
        }
        Ok(peers)
    }
}

/// What a device may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Access {
    /// Everything.
    Shop,
    /// The courses this member of staff works on; of a device that an instructor admitted,
    /// those of them that the instructor works on too. Else an instructor could read every
    /// colleague's course by way of a device of their own.
    Staff(StaffId, Option<StaffId>),
}

impl Access {
    fn of(book: &TrustBook, key: &DeviceKey) -> Option<Self> {
        let writer = book.writer(key)?;
        Some(match writer.role {
            Role::Shop => Self::Shop,
            Role::Instructor | Role::Assistant => Self::Staff(writer.staff, book.vouched_by(key)),
        })
    }
}

/// Whether what changed may alter who may have what: anything in the shop's ledger, and in a
/// course whatever is not a cell, such as an enrolment.
fn reach_of(changes: &[Change]) -> Reach {
    let alters = |change: &Change| match change.ledger {
        LedgerId::Shop(_) => true,
        LedgerId::Course(_) => change.wider,
        LedgerId::Person(_) => false,
    };
    if changes.iter().any(alters) {
        Reach::Changed
    } else {
        Reach::AsBefore
    }
}

fn arrival(brought: Brought) -> Arrival {
    Arrival {
        new: brought.new,
        reach: reach_of(&brought.changes),
        position: brought.position,
    }
}

pub(super) fn depot_error(error: DeskError) -> DepotError {
    match error {
        DeskError::Store(StoreError::Full { .. }) => DepotError::Full,
        DeskError::Ledger(error) => error.into(),
        error @ (DeskError::Store(_)
        | DeskError::Refused(_)
        | DeskError::Format(_)
        | DeskError::NoChance(_)
        | DeskError::Keys(_)
        | DeskError::NotFound { .. }
        | DeskError::NotStarted
        | DeskError::Stopped
        | DeskError::Started) => DepotError::Failed {
            during: "answer the link",
            detail: error.to_string(),
        },
    }
}

impl Depot for Desk {
    fn link_seed(&self) -> Result<Zeroizing<[u8; 32]>, DepotError> {
        Ok(self.shelf().device.link.clone())
    }

    fn stamps(&self) -> Arc<dyn Stamps> {
        Arc::clone(&self.shelf().stamps)
    }

    fn peers(&self) -> Result<Vec<Peer>, DepotError> {
        self.shelf().looked_for().map_err(depot_error)
    }

    fn admits(&self, peer: &DeviceKey) -> Result<bool, DepotError> {
        let admitted = self.shelf().admitted(peer).map_err(depot_error)?;
        Ok(admitted.is_some())
    }

    fn shares(&self, peer: &DeviceKey) -> Result<Vec<Position>, DepotError> {
        self.shelf().shares(peer).map_err(depot_error)
    }

    fn may_share(&self, peer: &DeviceKey, ledger: &LedgerId) -> Result<bool, DepotError> {
        self.shelf().may_share(peer, ledger).map_err(depot_error)
    }

    fn stands(&self, ledger: &LedgerId) -> Result<Option<Position>, DepotError> {
        self.shelf().stands(ledger).map_err(depot_error)
    }

    fn people_of(&self, course: &LedgerId) -> Result<BTreeSet<LedgerId>, DepotError> {
        let mut shelf = self.shelf();
        if !shelf.holds(course).map_err(depot_error)? {
            return Ok(BTreeSet::new());
        }
        let ledger = shelf.ledger(course).map_err(depot_error)?;
        let entries = ledger.lines().values().filter_map(|line| line.entry());
        let people = entries.filter_map(|entry| {
            if let Body::Enrolment(enrolment) = &entry.body {
                Some(LedgerId::Person(enrolment.student))
            } else {
                None
            }
        });
        Ok(people.collect())
    }

    fn look(&self, ledger: &LedgerId, step: &mut dyn FnMut(&Ledger)) -> Result<(), DepotError> {
        let mut shelf = self.shelf();
        let held = shelf.holds(ledger).map_err(depot_error)?;
        step(shelf.ledger(ledger).map_err(depot_error)?);
        if !held {
            shelf.close(ledger).map_err(depot_error)?;
        }
        Ok(())
    }

    fn take(
        &self,
        from: &DeviceKey,
        ledger: &LedgerId,
        step: TakeStep<'_>,
    ) -> Result<Arrival, DepotError> {
        let brought = {
            let mut shelf = self.shelf();
            let from = shelf.signing_key(from).map_err(depot_error)?;
            shelf.bring_from(from, ledger, step).map_err(depot_error)?
        };
        let brought = brought.map_err(DepotError::Sync)?;
        self.tell_arrived(&brought.changes);
        Ok(arrival(brought))
    }

    fn take_all(
        &self,
        from: &DeviceKey,
        steps: Vec<(LedgerId, TakeStep<'_>)>,
    ) -> Result<Vec<Result<Arrival, DepotError>>, DepotError> {
        let all = {
            let mut shelf = self.shelf();
            let from = shelf.signing_key(from).map_err(depot_error)?;
            shelf.bring_all_from(from, steps).map_err(depot_error)?
        };
        let brought = all.iter().flatten().flatten();
        let changes: Vec<Change> = brought.flat_map(|one| one.changes.clone()).collect();
        self.tell_arrived(&changes);
        let one = |brought: BroughtOrNot| {
            let brought = brought.map_err(depot_error)?;
            brought.map(arrival).map_err(DepotError::Sync)
        };
        Ok(all.into_iter().map(one).collect())
    }

    fn by_entries(&self, peer: &DeviceKey, ledger: &LedgerId) -> Result<bool, DepotError> {
        let shelf = self.shelf();
        let Some(key) = shelf.signing_key(peer).map_err(depot_error)? else {
            return Ok(false);
        };
        let known = shelf.store.has_mishap(ledger, &key, Mishap::Apart);
        known.map_err(|error| depot_error(error.into()))
    }

    fn mishap(
        &self,
        peer: &DeviceKey,
        ledger: &LedgerId,
        what: Mishap,
        entry: Option<EntryId>,
    ) -> Result<(), DepotError> {
        let mut shelf = self.shelf();
        let key = shelf.signing_key(peer).map_err(depot_error)?;
        let noted = shelf.note_mishap(ledger, key.as_ref(), what, entry);
        drop(shelf);
        noted.map_err(depot_error)?;
        self.tell(&[Change::mishap(*ledger)]);
        Ok(())
    }

    fn peer_stored(
        &self,
        peer: &DeviceKey,
        ledger: &LedgerId,
        heads: &Heads,
    ) -> Result<(), DepotError> {
        let mut shelf = self.shelf();
        let Some(key) = shelf.signing_key(peer).map_err(depot_error)? else {
            return Ok(());
        };
        shelf.note_said(key, ledger, heads).map_err(depot_error)
    }

    fn rest(&self) -> Result<(), DepotError> {
        self.shelf().write_said().map_err(depot_error)
    }

    fn lacks(
        &self,
        peer: &DeviceKey,
        passed: &BTreeSet<FileId>,
    ) -> Result<Option<FilePlace>, DepotError> {
        self.lacks_file(peer, passed)
    }

    fn piece(&self, peer: &DeviceKey, at: &FilePlace) -> Result<Option<Vec<u8>>, DepotError> {
        self.piece_of_file(peer, at).map_err(depot_error)
    }

    fn take_piece(
        &self,
        peer: &DeviceKey,
        at: &FilePlace,
        bytes: &[u8],
    ) -> Result<PieceTaken, DepotError> {
        self.take_piece_of_file(peer, at, bytes)
            .map_err(depot_error)
    }

    fn met(&self, peer: &DeviceKey, at: SocketAddr) -> Result<(), DepotError> {
        let mut shelf = self.shelf();
        let Some(key) = shelf.signing_key(peer).map_err(depot_error)? else {
            return Ok(());
        };
        let row = PeerRow {
            key,
            link: Some(*peer),
            address: Some(at.to_string()),
            seen: Some(shelf.stamps.now()),
        };
        let put = shelf.store.put_peer(&row);
        put.map_err(|error| depot_error(error.into()))
    }

    fn prove(&self, proof: &[u8; 32]) -> Result<(DeviceKey, [u8; 64]), DepotError> {
        let shelf = self.shelf();
        let key = &shelf.device.key;
        Ok((key.public(), key.sign(PAIRING_DOMAIN, proof)))
    }

    fn device_name(&self) -> Result<String, DepotError> {
        let shelf = self.shelf();
        let (_, book) = shelf.shop().map_err(depot_error)?;
        let own = book.certificate(&shelf.device.key.public());
        own.map(|certificate| certificate.device.clone())
            .ok_or_else(|| depot_error(crate::entry::Refusal::NotAdmitted.into()))
    }

    fn brings(&self) -> Result<Vec<u8>, DepotError> {
        let handover = self.shelf().handover().map_err(depot_error)?;
        Ok(handover.unwrap_or_default())
    }

    /// A device that pairs again as what it is already gets the same welcome.
    fn admit(&self, paired: &Paired, guest: &Guest) -> Result<Welcome, DepotError> {
        if !self.knows_shop() {
            return self.befriend(paired);
        }
        let known = {
            let shelf = self.shelf();
            let (_, book) = shelf.shop().map_err(depot_error)?;
            book.certificate(&paired.signing)
                .is_some_and(|certificate| {
                    certificate.staff == guest.staff
                        && certificate.role == guest.role
                        && certificate.link == Some(paired.link)
                        && !book.is_revoked(&paired.signing)
                })
        };
        if !paired.brought.is_empty() {
            self.take_over(paired, guest).map_err(depot_error)?;
        } else if !known {
            let admission = Admission {
                staff: guest.staff,
                role: guest.role,
                device: paired.device.clone(),
                key: paired.signing,
                link: Some(paired.link),
                until: guest.until,
            };
            self.record(Request::AdmitPaired(admission, paired.consent))
                .map_err(depot_error)?;
        }
        let root = self.shop_root().ok_or(DeskError::NotStarted);
        root.map(|root| Welcome { root }).map_err(depot_error)
    }

    fn join(&self, joined: &Joined) -> Result<(), DepotError> {
        let mut guard = self.shelf();
        let shelf = &mut *guard;
        match shelf.device.shop {
            Some(root) if root == joined.root => (),
            Some(_) if shelf.may_leave(joined) => {
                shelf.leave_for(joined.root).map_err(depot_error)?;
            }
            Some(_) => return Err(DepotError::OtherShop),
            None => {
                let join = shelf.device.join(joined.root, &mut shelf.store);
                join.map_err(depot_error)?;
                shelf.open_shop().map_err(depot_error)?;
            }
        }
        let row = PeerRow {
            key: joined.signing,
            link: Some(joined.link),
            address: joined.at.map(|at| at.to_string()),
            seen: Some(shelf.stamps.now()),
        };
        let put = shelf.store.put_peer(&row);
        put.map_err(|error| depot_error(error.into()))
    }
}

impl Desk {
    /// A shop's new computer, restored from its recovery sheet, has no book yet and so knows
    /// no certificate: whoever proves the code brings the book. Nothing is issued, or the
    /// device would have two certificates once the book has come.
    fn befriend(&self, paired: &Paired) -> Result<Welcome, DepotError> {
        let mut shelf = self.shelf();
        let root = shelf
            .device
            .root
            .as_ref()
            .map(crate::trust::SecretKey::public);
        let root = root.ok_or_else(|| depot_error(crate::entry::Refusal::NotAdmitted.into()))?;
        let friend = PeerRow {
            key: paired.signing,
            link: Some(paired.link),
            address: None,
            seen: None,
        };
        let put = shelf.store.put_peer(&friend);
        put.map_err(|error| depot_error(error.into()))?;
        Ok(Welcome { root })
    }
}

/// Rings the link whenever something is recorded here, or comes from a file. Held weakly: the
/// link holds the desk, and the desk its listeners.
#[derive(Debug)]
pub struct LinkBell(Weak<Link>);

impl LinkBell {
    /// A bell for this link, to be given to [`Desk::listen`].
    pub fn new(link: &Arc<Link>) -> Self {
        Self(Arc::downgrade(link))
    }
}

impl Listener for LinkBell {
    fn changed(&self, change: &Change) {
        let Some(link) = self.0.upgrade() else {
            return;
        };
        let reach = reach_of(std::slice::from_ref(change));
        link.changed([change.ledger], reach);
    }

    /// The meeting that brought it answers and passes it on by itself. Rung besides, it would
    /// say after every piece of a long message what it says after the last.
    fn arrived(&self, _: &Change) {}
}
