//! Exchange: everything two devices say to each other at one meeting, as steps. A frame or
//! a local change goes in, frames and events come out; the wire is somebody else's.
//!
//! ```text
//! open      hello, an offer for each ledger the peer may have, listed
//! offer     heads equal: in step · else: begin a conversation and say what there is
//! message   take, commit, say stored, answer if there is more to say; the messages of one
//!           turn about several ledgers are committed together
//! stored    note what the peer holds
//! change    offer or say what is new, to a peer that may have it
//! in step   photographs and sounds, piece by piece (see `files`)
//! ```
//! Who may have what is asked of the depot at every frame, never remembered: a device that
//! is revoked or taken off a course in mid-meeting gets nothing more.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use tracing::warn;

use super::by_entries::ByEntries;
use super::depot::{Depot, DepotError, Reach};
use super::files::Files;
use super::taking::{Message, Part};
use super::{LinkEvent, Parting};
use crate::course::LedgerId;
use crate::entry::DeviceKey;
use crate::ledger::Heads;
use crate::sync::{
    ClockGap, Conversation, Frame, PROTOCOL_LEAST, PROTOCOL_VERSION, Piece, Position, Refused,
    SyncError, Unpacked,
};

/// The most ledgers a peer may name at one meeting.
const MOST_LEDGERS: usize = 100_000;

/// One meeting with one admitted device.
pub struct Exchange {
    pub(super) depot: Arc<dyn Depot>,
    pub(super) peer: DeviceKey,
    /// Ledgers that go entry by entry.
    pub(super) by_entries: BTreeMap<LedgerId, ByEntries>,
    /// Ledgers being talked about.
    pub(super) talks: BTreeMap<LedgerId, Conversation>,
    /// What we hold, as last looked at.
    pub(super) ours: BTreeMap<LedgerId, Position>,
    /// What we last told the peer that we hold. It may be behind: entries also arrive from
    /// other devices, and a look does not speak.
    pub(super) told: BTreeMap<LedgerId, Heads>,
    /// What the peer has said it holds.
    pub(super) theirs: BTreeMap<LedgerId, Position>,
    /// The last turn in which the peer said what it holds, by ledger.
    pub(super) turns: BTreeMap<LedgerId, u32>,
    /// Our own count of what was said.
    pub(super) turn: u32,
    /// Ledgers refused by either side; tried again at the next tick or change.
    pub(super) refused: BTreeSet<LedgerId>,
    /// Ledgers that both may have and that differ.
    pub(super) apart: BTreeSet<LedgerId>,
    /// Photographs and sounds on their way.
    pub(super) files: Files,
    pub(super) greeted: bool,
    pub(super) listed: bool,
    pub(super) in_step: bool,
    pub(super) frames: Vec<Frame>,
    pub(super) events: Vec<LinkEvent>,
    pub(super) arrived: BTreeSet<LedgerId>,
    pub(super) reach: Reach,
    /// Ledgers of which something arrived in this turn that may change who may have what.
    pub(super) due: BTreeSet<LedgerId>,
}

impl std::fmt::Debug for Exchange {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Exchange with {}", self.peer.short())
    }
}

/// What a step of an exchange gave.
#[derive(Debug)]
pub struct Outcome {
    /// Frames to send, in order.
    pub frames: Vec<Frame>,
    /// Events to tell.
    pub events: Vec<LinkEvent>,
    /// Ledgers in which entries have arrived, for the other meetings to pass on.
    pub arrived: BTreeSet<LedgerId>,
    /// Whether what arrived may change who may have what.
    pub reach: Reach,
}

impl Exchange {
    /// A meeting with a device that the depot admits.
    pub fn new(depot: Arc<dyn Depot>, peer: DeviceKey) -> Self {
        Self {
            depot,
            peer,
            by_entries: BTreeMap::new(),
            talks: BTreeMap::new(),
            ours: BTreeMap::new(),
            told: BTreeMap::new(),
            theirs: BTreeMap::new(),
            turns: BTreeMap::new(),
            turn: 0,
            refused: BTreeSet::new(),
            apart: BTreeSet::new(),
            files: Files::default(),
            greeted: false,
            listed: false,
            in_step: false,
            frames: Vec::new(),
            events: Vec::new(),
            arrived: BTreeSet::new(),
            reach: Reach::AsBefore,
            due: BTreeSet::new(),
        }
    }

    /// With whom.
    pub const fn peer(&self) -> DeviceKey {
        self.peer
    }

    /// Whether this ledger is in step with the peer, as far as either has said.
    pub fn is_in_step(&self, ledger: &LedgerId) -> bool {
        !self.apart.contains(ledger)
    }

    /// Whether both hold the same of everything they share, as far as either has said.
    pub fn all_in_step(&self) -> bool {
        self.greeted && self.listed && self.apart.is_empty()
    }

    /// What the last steps gave; taken once.
    pub fn outcome(&mut self) -> Outcome {
        let in_step = self.all_in_step();
        if in_step && !self.in_step {
            let peer = self.peer;
            self.events.push(LinkEvent::InStep { peer });
        }
        self.in_step = in_step;
        Outcome {
            frames: std::mem::take(&mut self.frames),
            events: std::mem::take(&mut self.events),
            arrived: std::mem::take(&mut self.arrived),
            reach: std::mem::replace(&mut self.reach, Reach::AsBefore),
        }
    }

    /// The first words.
    ///
    /// # Errors
    /// [`Parting`] when the device is not admitted or the depot fails.
    pub fn open(&mut self) -> Result<(), Parting> {
        self.check_admitted()?;
        self.frames.push(Frame::Hello {
            version: PROTOCOL_VERSION,
            least: PROTOCOL_LEAST,
            clock: self.depot.stamps().now().timestamp_millis(),
        });
        self.offer_all()?;
        self.frames.push(Frame::Listed);
        Ok(())
    }

    fn check_admitted(&self) -> Result<(), Parting> {
        match self.depot.admits(&self.peer) {
            Ok(true) => Ok(()),
            Ok(false) => Err(Parting::TurnedAway),
            Err(error) => Err(own_store(&error)),
        }
    }

    fn offer_all(&mut self) -> Result<(), Parting> {
        let shares = self.depot.shares(&self.peer).map_err(|e| own_store(&e))?;
        for position in shares {
            if !self.ours.contains_key(&position.ledger) {
                self.offer(position);
            }
        }
        Ok(())
    }

    fn offer(&mut self, position: Position) {
        let turn = self.next_turn();
        self.frames.push(Frame::Offer {
            turn,
            position: position.clone(),
        });
        self.told.insert(position.ledger, position.heads.clone());
        self.we_hold(position);
    }

    /// Hears one frame.
    ///
    /// # Errors
    /// [`Parting`]: the meeting is over.
    pub fn hear(&mut self, frame: Frame) -> Result<(), Parting> {
        self.hear_all(vec![frame])
    }

    /// Hears frames that came one after the other: what their messages bring into several
    /// ledgers is committed together, and who may have what is considered once.
    ///
    /// # Errors
    /// [`Parting`]: the meeting is over.
    pub fn hear_all(&mut self, frames: Vec<Frame>) -> Result<(), Parting> {
        self.hear_turn(frames.into_iter().map(|frame| (frame, None)).collect())
    }

    /// The same of frames of which some messages were taken apart before their turn.
    pub(super) fn hear_turn(
        &mut self,
        frames: Vec<(Frame, Option<Unpacked>)>,
    ) -> Result<(), Parting> {
        let mut messages: Vec<Message> = Vec::new();
        for (frame, unpacked) in frames {
            if self.greeted
                && let Frame::Message {
                    ledger,
                    turn,
                    more,
                    bytes,
                } = frame
            {
                let message = Message {
                    ledger,
                    turn,
                    more,
                    pieces: vec![Part { bytes, unpacked }],
                };
                let message = match messages.last_mut() {
                    Some(last) => last.goes_on_with(message),
                    None => Some(message),
                };
                let Some(message) = message else {
                    continue;
                };
                if !message.goes_with(&messages) {
                    self.take_all(std::mem::take(&mut messages))?;
                }
                messages.push(message);
            } else {
                self.take_all(std::mem::take(&mut messages))?;
                self.hear_frame(frame)?;
            }
        }
        self.take_all(messages)?;
        let due = std::mem::take(&mut self.due);
        if !due.is_empty() {
            self.reconsider(&due)?;
        }
        self.go_on_with_files()
    }

    fn hear_frame(&mut self, frame: Frame) -> Result<(), Parting> {
        if !self.greeted && !matches!(frame, Frame::Hello { .. }) {
            return Err(Parting::Broken);
        }
        match frame {
            Frame::Hello {
                version,
                least,
                clock,
            } => self.greet(version, least, clock),
            Frame::Offer { turn, position } => self.consider(turn, position),
            Frame::Listed => {
                self.listed = true;
                Ok(())
            }
            // Said before a hello; any other is taken with those of its turn.
            Frame::Message { .. } => Err(Parting::Broken),
            Frame::Stored { turn, position } => self.stored(turn, position),
            Frame::Level {
                ledger,
                turn: _,
                entries,
                digest,
            } => self.hear_level(ledger, entries, digest),
            Frame::List {
                ledger,
                turn: _,
                ids,
            } => self.hear_list(ledger, ids),
            Frame::Entries {
                ledger,
                turn: _,
                sealed,
            } => self.hear_entries(ledger, &sealed),
            Frame::Ask(at) => {
                self.hear_ask(at);
                Ok(())
            }
            Frame::Piece { at, bytes } => self.hear_piece(at, &bytes),
            Frame::Lacking { ledger: _, file } => {
                self.hear_lacking(file);
                Ok(())
            }
            Frame::Refused { ledger, why } => {
                self.stop_talking(&ledger);
                if self.ours.contains_key(&ledger) {
                    self.refused.insert(ledger);
                    self.compare(ledger);
                    let peer = self.peer;
                    self.events.push(LinkEvent::Refused { peer, ledger, why });
                }
                Ok(())
            }
        }
    }

    fn greet(&mut self, version: u16, least: u16, clock: i64) -> Result<(), Parting> {
        if self.greeted {
            return Err(Parting::Broken);
        }
        if version < PROTOCOL_LEAST || least > PROTOCOL_VERSION {
            return Err(Parting::Version);
        }
        self.greeted = true;
        if let Some(gap) = ClockGap::worth_saying(self.depot.stamps().now(), clock) {
            let peer = self.peer;
            self.events.push(LinkEvent::ClockDiffers { peer, gap });
        }
        Ok(())
    }

    /// The peer holds something of a ledger.
    fn consider(&mut self, turn: u32, position: Position) -> Result<(), Parting> {
        let ledger = position.ledger;
        if self.theirs.len() >= MOST_LEDGERS && !self.theirs.contains_key(&ledger) {
            return Err(Parting::Broken);
        }
        if !self.is_news(ledger, turn) {
            return Ok(());
        }
        if !self.may_share(&ledger)? {
            // Remembered all the same: the shop's ledger may arrive a moment later and say
            // otherwise.
            self.theirs.insert(ledger, position);
            self.refuse(ledger, Refused::NotYours);
            return Ok(());
        }
        self.refused.remove(&ledger);
        self.talks.remove(&ledger);
        let by_entries = self.by_entries.contains_key(&ledger)
            || (self.depot.by_entries(&self.peer, &ledger)).map_err(|error| own_store(&error))?;
        if by_entries {
            // Its heads say nothing here, unless they are ours.
            let here = self.stands_or_begins(&ledger)?;
            if here.heads != position.heads {
                self.theirs.insert(ledger, position);
                return self.go_by_entries(ledger);
            }
        }
        self.they_hold(position)?;
        self.speak(ledger)
    }

    /// Says what there is to say about a ledger, beginning the conversation if need be.
    pub(super) fn speak(&mut self, ledger: LedgerId) -> Result<(), Parting> {
        if self.by_entries.contains_key(&ledger) {
            return self.speak_entries(ledger);
        }
        let theirs = self.their_heads(&ledger);
        // Most of a shop's courses are level at most meetings, and need not be opened for it.
        if !self.talks.contains_key(&ledger)
            && let Some(here) = self.stands(&ledger)?
            && here.heads == theirs
        {
            self.tell_if_level(&here);
            self.we_hold(here);
            return Ok(());
        }
        let mut talk = self.talks.remove(&ledger);
        let mut said: Result<Vec<Piece>, SyncError> = Ok(Vec::new());
        let here = self.look(&ledger, &mut |here| {
            if talk.is_none() && theirs == here.heads() {
                return;
            }
            let talk = talk.get_or_insert_with(|| Conversation::begin(here, &theirs));
            said = talk.say(here);
        })?;
        if let Some(talk) = talk {
            self.talks.insert(ledger, talk);
        }
        let pieces = said.map_err(|error| self.broken(&error))?;
        if pieces.is_empty() {
            self.tell_if_level(&here);
        } else {
            self.told.insert(ledger, here.heads.clone());
        }
        self.we_hold(here);
        let turn = self.next_turn();
        let message = |piece: Piece| Frame::Message {
            ledger,
            turn,
            more: piece.more,
            bytes: piece.bytes,
        };
        self.frames.extend(pieces.into_iter().map(message));
        Ok(())
    }

    /// The peer has committed something.
    fn stored(&mut self, turn: u32, position: Position) -> Result<(), Parting> {
        let ledger = position.ledger;
        if !self.may_share(&ledger)? {
            self.refuse(ledger, Refused::NotYours);
            return Ok(());
        }
        if !self.is_news(ledger, turn) || self.by_entries.contains_key(&ledger) {
            return Ok(());
        }
        let heads = position.heads.clone();
        let there = position.entries;
        self.they_hold(position)?;
        let here = self.stands_or_begins(&ledger)?;
        if let Some(talk) = self.talks.get_mut(&ledger) {
            talk.stored(&here.heads, &heads);
        }
        self.events.push(LinkEvent::Stored {
            peer: self.peer,
            ledger,
            here: here.entries,
            there,
        });
        self.tell_if_level(&here);
        self.we_hold(here);
        Ok(())
    }

    /// Tells the peer what we hold.
    pub(super) fn tell(&mut self, position: &Position) {
        let turn = self.next_turn();
        self.told.insert(position.ledger, position.heads.clone());
        self.frames.push(Frame::Stored {
            turn,
            position: position.clone(),
        });
    }

    /// Tells the peer that we hold the same, if it has not heard so: both may have had it
    /// from a third device, and then there is no message that would say it.
    fn tell_if_level(&mut self, here: &Position) {
        let theirs = self.theirs.get(&here.ledger).map(|theirs| &theirs.heads);
        if theirs == Some(&here.heads) && self.told.get(&here.ledger) != Some(&here.heads) {
            self.tell(here);
        }
    }

    /// Something was recorded here, or arrived from elsewhere.
    ///
    /// # Errors
    /// [`Parting`] when the device is no longer admitted or the depot fails.
    pub fn changed(&mut self, ledgers: &BTreeSet<LedgerId>, reach: Reach) -> Result<(), Parting> {
        self.look_for_files();
        if reach == Reach::Changed {
            self.reconsider(ledgers)?;
        }
        for &ledger in ledgers {
            if !self.may_share(&ledger)? {
                self.forget(&ledger);
            } else if self.ours.contains_key(&ledger) {
                self.refused.remove(&ledger);
                self.speak(ledger)?;
            } else {
                let here = self.stands_or_begins(&ledger)?;
                self.offer(here);
            }
        }
        self.go_on_with_files()
    }

    /// Who may have what may have changed by these ledgers. By the shop's: every ledger that
    /// either has named is looked at again, and what may be given now is offered. By a course's:
    /// those of its people, or a shop of many courses would look at all of them for each.
    fn reconsider(&mut self, by: &BTreeSet<LedgerId>) -> Result<(), Parting> {
        self.check_admitted()?;
        if by.iter().any(|one| matches!(one, LedgerId::Shop(_))) {
            let known = self.ours.keys().chain(self.theirs.keys());
            for ledger in known.copied().collect::<BTreeSet<_>>() {
                self.look_again(ledger)?;
            }
            return self.offer_all();
        }
        for course in by.iter().filter(|one| matches!(one, LedgerId::Course(_))) {
            let people = self.depot.people_of(course);
            for person in people.map_err(|error| own_store(&error))? {
                if self.ours.contains_key(&person) || self.theirs.contains_key(&person) {
                    self.look_again(person)?;
                } else if self.may_share(&person)?
                    && let Some(here) = self.stands(&person)?
                {
                    self.offer(here);
                }
            }
        }
        Ok(())
    }

    /// Whether a ledger that was named may still be exchanged, or may be now.
    fn look_again(&mut self, ledger: LedgerId) -> Result<(), Parting> {
        if !self.may_share(&ledger)? {
            self.forget(&ledger);
        } else if self.refused.remove(&ledger) || !self.ours.contains_key(&ledger) {
            self.speak(ledger)?;
        }
        Ok(())
    }

    /// Some time has passed: what was refused for want of room, or because news of a
    /// pairing or a course had not arrived, is offered once more.
    ///
    /// # Errors
    /// [`Parting`] when the device is no longer admitted or the depot fails.
    pub fn tick(&mut self) -> Result<(), Parting> {
        self.check_admitted()?;
        for ledger in std::mem::take(&mut self.refused) {
            if self.may_share(&ledger)? {
                let here = self.stands_or_begins(&ledger)?;
                self.offer(here);
            }
        }
        self.tick_files();
        self.go_on_with_files()
    }
}

pub(super) fn own_store(error: &DepotError) -> Parting {
    match error {
        DepotError::Closed => Parting::Stopped,
        DepotError::Full
        | DepotError::Sync(_)
        | DepotError::OtherShop
        | DepotError::Failed { .. } => {
            warn!(%error, "the depot could not answer");
            Parting::OwnStore
        }
    }
}
