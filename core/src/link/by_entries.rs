//! By entries: a ledger between two devices whose histories of it do not go together.
//!
//! Somebody wrote the next number in another device's session, or did more than to add
//! entries; the engine refuses the one history or the other. That is a matter of this one
//! ledger and of these two devices: every other goes on as before, and of this one the
//! entries are carried over by themselves, since each is named by its content and needs no
//! history.
//!
//! ```text
//! level     equal digests: in step · else: list, once
//! list      send what is not on it · send our own list if it has more than we
//! entries   take, commit, say level
//! ```

use std::collections::BTreeSet;

use tracing::warn;

use super::depot::DepotError;
use super::{Exchange, LinkEvent, Parting};
use crate::course::{EntryId, LedgerId};
use crate::entry::MOST_PAYLOAD;
use crate::ledger::{Ledger, Mishap};
use crate::sync::{Frame, PIECE_BYTES, Position, Refused, SyncError};

/// The longest sealed entry: payload, and less than 200 bytes around it.
const MOST_SEALED: usize = MOST_PAYLOAD + 200;

/// One ledger that goes entry by entry.
#[derive(Debug, Default)]
pub(super) struct ByEntries {
    /// What the peer has, as far as it said or was sent it.
    theirs: BTreeSet<EntryId>,
    /// Whether the peer's list has come.
    heard: bool,
    /// Digest of what the peer has committed, as last said.
    their_digest: Option<[u8; 32]>,
    /// Ours, as last looked at.
    our_digest: [u8; 32],
    /// What we had when we last said so.
    said: Option<[u8; 32]>,
    /// What we had when we last listed it.
    listed: Option<[u8; 32]>,
}

impl ByEntries {
    /// Whether both hold the same.
    pub(super) fn is_level(&self) -> bool {
        self.their_digest == Some(self.our_digest)
    }
}

impl Exchange {
    /// A peer's history of a ledger was refused: notes it, and goes on by entries.
    pub(super) fn refuse_history(
        &mut self,
        ledger: LedgerId,
        error: &SyncError,
    ) -> Result<(), Parting> {
        warn!(peer = %self.peer().short(), %error, "a history was refused; on by entries");
        let (what, entry) = match error {
            SyncError::Ledger(error) => error.mishap(),
            SyncError::Malformed | SyncError::NotPlain(_) | SyncError::TooMuch => {
                (Mishap::Apart, None)
            }
        };
        self.note(&ledger, what, entry)?;
        if what != Mishap::Apart {
            self.note(&ledger, Mishap::Apart, None)?;
        }
        self.go_by_entries(ledger)
    }

    fn note(&self, ledger: &LedgerId, what: Mishap, entry: Option<EntryId>) -> Result<(), Parting> {
        let noted = self.depot.mishap(&self.peer(), ledger, what, entry);
        noted.map_err(|error| super::exchange::own_store(&error))
    }

    /// From here on this ledger goes by entries with this peer. Says what we have.
    pub(super) fn go_by_entries(&mut self, ledger: LedgerId) -> Result<(), Parting> {
        self.stop_talking(&ledger);
        self.by_entries.entry(ledger).or_default();
        self.say_level(ledger)
    }

    /// Looks at what we have, and tells the peer if it has not heard so.
    fn say_level(&mut self, ledger: LedgerId) -> Result<(), Parting> {
        let mut digest = [0; 32];
        let here = self.look(&ledger, &mut |here| digest = here.digest())?;
        let turn = self.next_turn();
        let Some(by) = self.by_entries.get_mut(&ledger) else {
            return Ok(());
        };
        by.our_digest = digest;
        if by.said != Some(digest) {
            by.said = Some(digest);
            self.push(Frame::Level {
                ledger,
                turn,
                entries: here.entries,
                digest,
            });
        }
        self.we_hold(here);
        Ok(())
    }

    /// Something is new here: sends what the peer has not.
    pub(super) fn speak_entries(&mut self, ledger: LedgerId) -> Result<(), Parting> {
        if self.by_entries.get(&ledger).is_some_and(|by| by.heard) {
            self.send_missing(ledger)?;
        }
        self.say_level(ledger)
    }

    /// Sends every entry that the peer has not.
    fn send_missing(&mut self, ledger: LedgerId) -> Result<(), Parting> {
        let theirs = self.by_entries.get(&ledger).map(|by| by.theirs.clone());
        let theirs = theirs.unwrap_or_default();
        let mut missing: Vec<(EntryId, Vec<u8>)> = Vec::new();
        self.look(&ledger, &mut |here: &Ledger| {
            missing = here
                .in_order()
                .into_iter()
                .filter(|id| !theirs.contains(id))
                .filter_map(|id| Some((id, here.bytes_of(&id)?)))
                .collect();
        })?;
        let (mut piece, mut size) = (Vec::new(), 0);
        for (id, bytes) in missing {
            if let Some(by) = self.by_entries.get_mut(&ledger) {
                by.theirs.insert(id);
            }
            if size > 0 && size + bytes.len() > PIECE_BYTES {
                self.send_entries(ledger, std::mem::take(&mut piece));
                size = 0;
            }
            size += bytes.len();
            piece.push(bytes);
        }
        if !piece.is_empty() {
            self.send_entries(ledger, piece);
        }
        Ok(())
    }

    fn send_entries(&mut self, ledger: LedgerId, sealed: Vec<Vec<u8>>) {
        let turn = self.next_turn();
        self.push(Frame::Entries {
            ledger,
            turn,
            sealed,
        });
    }

    /// Sends the list of what we have, unless the peer has just had it.
    fn list(&mut self, ledger: LedgerId) -> Result<(), Parting> {
        let mut ids = Vec::new();
        let mut digest = [0; 32];
        self.look(&ledger, &mut |here| {
            ids = here.lines().keys().copied().collect();
            digest = here.digest();
        })?;
        let turn = self.next_turn();
        let by = self.by_entries.entry(ledger).or_default();
        if by.listed != Some(digest) {
            by.listed = Some(digest);
            self.push(Frame::List { ledger, turn, ids });
        }
        Ok(())
    }

    /// The peer says what it has committed.
    pub(super) fn hear_level(
        &mut self,
        ledger: LedgerId,
        entries: u32,
        digest: [u8; 32],
    ) -> Result<(), Parting> {
        if !self.enter(ledger)? {
            return Ok(());
        }
        if let Some(by) = self.by_entries.get_mut(&ledger) {
            by.their_digest = Some(digest);
        }
        self.say_level(ledger)?;
        let level = self
            .by_entries
            .get(&ledger)
            .is_some_and(ByEntries::is_level);
        if level {
            let here = self.look(&ledger, &mut |_| ())?;
            // It holds all that we have, whatever its history of it.
            let position = Position { entries, ..here };
            self.they_hold(position)
        } else {
            self.list(ledger)
        }
    }

    /// The peer lists what it has.
    pub(super) fn hear_list(&mut self, ledger: LedgerId, ids: Vec<EntryId>) -> Result<(), Parting> {
        if !self.enter(ledger)? {
            return Ok(());
        }
        let mut more = false;
        self.look(&ledger, &mut |here| {
            more = ids.iter().any(|id| !here.lines().contains_key(id));
        })?;
        let by = self.by_entries.entry(ledger).or_default();
        // What was sent at this meeting is not sent again, however often it asks.
        by.theirs.extend(ids);
        by.heard = true;
        self.send_missing(ledger)?;
        if more {
            self.list(ledger)?;
        }
        self.say_level(ledger)
    }

    /// The peer sends entries.
    pub(super) fn hear_entries(
        &mut self,
        ledger: LedgerId,
        sealed: &[Vec<u8>],
    ) -> Result<(), Parting> {
        if !self.enter(ledger)? {
            return Ok(());
        }
        if sealed.iter().any(|one| one.len() > MOST_SEALED) {
            return Err(Parting::Broken);
        }
        let pieces: Vec<&[u8]> = sealed.iter().map(Vec::as_slice).collect();
        let arrival = self.depot.take(&self.peer(), &ledger, &mut |here| {
            Ok(Some(here.look()?.take_entries(&pieces)?))
        });
        let arrival = match arrival {
            Ok(arrival) => arrival,
            Err(DepotError::Sync(SyncError::TooMuch)) => {
                self.refuse(ledger, Refused::TooMuch);
                return Ok(());
            }
            Err(error) => return self.not_stored(ledger, &error),
        };
        if let Some(by) = self.by_entries.get_mut(&ledger) {
            let ids = pieces
                .iter()
                .map(|bytes| crate::entry::content_id(&ledger, bytes));
            by.theirs.extend(ids);
        }
        self.arrive(ledger, &arrival);
        self.say_level(ledger)?;
        self.follow_up(ledger, &arrival);
        Ok(())
    }

    /// Whether the ledger may be shared and goes by entries from here on: a peer that speaks
    /// so has refused our history.
    fn enter(&mut self, ledger: LedgerId) -> Result<bool, Parting> {
        if !self.may_share(&ledger)? {
            self.refuse(ledger, Refused::NotYours);
            return Ok(false);
        }
        if !self.by_entries.contains_key(&ledger) {
            self.note(&ledger, Mishap::Apart, None)?;
            self.go_by_entries(ledger)?;
        }
        Ok(true)
    }
}

/// Tells a listener that entries have come.
impl Exchange {
    pub(super) fn arrive(&mut self, ledger: LedgerId, arrival: &super::Arrival) {
        if arrival.new == 0 {
            return;
        }
        self.arrived.insert(ledger);
        self.look_for_files();
        let there = self.theirs.get(&ledger).map_or(0, |theirs| theirs.entries);
        self.events.push(LinkEvent::Arrived {
            peer: self.peer(),
            ledger,
            new: arrival.new,
            here: arrival.position.entries,
            there: there.max(arrival.position.entries),
        });
    }
}
