//! Holding: what either side of a meeting has of each ledger, as far as it said, and what is
//! not exchanged any more.

use tracing::{debug, warn};

use super::depot::DepotError;
use super::exchange::own_store;
use super::{Exchange, LinkEvent, Parting};
use crate::course::LedgerId;
use crate::ledger::{Heads, Ledger};
use crate::sync::{Frame, Position, Refused, SyncError};

impl Exchange {
    pub(super) fn may_share(&self, ledger: &LedgerId) -> Result<bool, Parting> {
        let may = self.depot.may_share(&self.peer, ledger);
        may.map_err(|error| own_store(&error))
    }

    pub(super) fn look(
        &self,
        ledger: &LedgerId,
        step: &mut dyn FnMut(&Ledger),
    ) -> Result<Position, Parting> {
        let mut position = None;
        let looked = self.depot.look(ledger, &mut |here| {
            step(here);
            position = Some(Position {
                ledger: *ledger,
                entries: u32::try_from(here.lines().len()).unwrap_or(u32::MAX),
                heads: here.heads(),
            });
        });
        looked.map_err(|error| own_store(&error))?;
        position.ok_or(Parting::OwnStore)
    }

    /// Where a ledger stands here; `None` if it is not here.
    pub(super) fn stands(&self, ledger: &LedgerId) -> Result<Option<Position>, Parting> {
        let stands = self.depot.stands(ledger);
        stands.map_err(|error| own_store(&error))
    }

    /// The same, of one that is not here as an empty one stands.
    pub(super) fn stands_or_begins(&self, ledger: &LedgerId) -> Result<Position, Parting> {
        match self.stands(ledger)? {
            Some(here) => Ok(here),
            None => self.look(ledger, &mut |_| ()),
        }
    }

    pub(super) const fn next_turn(&mut self) -> u32 {
        self.turn = self.turn.saturating_add(1);
        self.turn
    }

    /// Whether this is later than what the peer last said it holds of the ledger, or the
    /// same turn's next piece. What was overtaken on the way is passed over.
    pub(super) fn is_news(&mut self, ledger: LedgerId, turn: u32) -> bool {
        let last = self.turns.entry(ledger).or_default();
        let news = turn >= *last;
        *last = turn.max(*last);
        news
    }

    pub(super) fn their_heads(&self, ledger: &LedgerId) -> Heads {
        let theirs = self.theirs.get(ledger);
        theirs
            .map(|theirs| theirs.heads.clone())
            .unwrap_or_default()
    }

    pub(super) fn we_hold(&mut self, position: Position) {
        let ledger = position.ledger;
        self.ours.insert(ledger, position);
        self.compare(ledger);
    }

    pub(super) fn they_hold(&mut self, position: Position) -> Result<(), Parting> {
        let ledger = position.ledger;
        let said = self.depot.peer_stored(&self.peer, &ledger, &position.heads);
        said.map_err(|error| own_store(&error))?;
        self.theirs.insert(ledger, position);
        self.compare(ledger);
        Ok(())
    }

    pub(super) fn compare(&mut self, ledger: LedgerId) {
        let theirs = self.theirs.get(&ledger).map(|theirs| &theirs.heads);
        let apart = match self.by_entries.get(&ledger) {
            Some(by) => !by.is_level(),
            None => (self.ours.get(&ledger)).is_some_and(|ours| theirs != Some(&ours.heads)),
        };
        if apart && !self.refused.contains(&ledger) {
            self.apart.insert(ledger);
        } else {
            self.apart.remove(&ledger);
        }
    }

    pub(super) fn refuse(&mut self, ledger: LedgerId, why: Refused) {
        debug!(peer = %self.peer.short(), ?why, "a ledger was refused");
        self.forget(&ledger);
        self.frames.push(Frame::Refused { ledger, why });
    }

    pub(super) fn push(&mut self, frame: Frame) {
        self.frames.push(frame);
    }

    /// The conversation about a ledger is over.
    pub(super) fn stop_talking(&mut self, ledger: &LedgerId) {
        self.talks.remove(ledger);
    }

    /// Nothing more is said about a ledger, as far as we know it here.
    pub(super) fn forget(&mut self, ledger: &LedgerId) {
        self.talks.remove(ledger);
        self.by_entries.remove(ledger);
        self.ours.remove(ledger);
        self.told.remove(ledger);
        self.refused.remove(ledger);
        self.apart.remove(ledger);
    }

    pub(super) fn not_stored(
        &mut self,
        ledger: LedgerId,
        error: &DepotError,
    ) -> Result<(), Parting> {
        let full = *error == DepotError::Full;
        let why = match error {
            DepotError::Full => Refused::Full,
            DepotError::Failed { .. } | DepotError::Sync(_) | DepotError::OtherShop => {
                Refused::CannotStore
            }
            DepotError::Closed => return Err(Parting::Stopped),
        };
        warn!(peer = %self.peer.short(), %error, "what arrived was not stored");
        let peer = self.peer;
        self.events
            .push(LinkEvent::NotStored { peer, ledger, full });
        self.frames.push(Frame::Refused { ledger, why });
        self.talks.remove(&ledger);
        self.refused.insert(ledger);
        self.compare(ledger);
        Ok(())
    }

    pub(super) fn broken(&self, error: &SyncError) -> Parting {
        warn!(peer = %self.peer.short(), %error, "what the peer said was refused");
        Parting::Broken
    }
}
