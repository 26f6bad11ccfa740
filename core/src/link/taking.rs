//! Taking: what the peer's messages bring. Those of one turn are about several ledgers, and go
//! into one commit: a flush of the disk costs more than all that is in most of them.

use super::depot::{Arrival, DepotError, Reach, TakeStep};
use super::{Exchange, Parting};
use crate::course::LedgerId;
use crate::ledger::{Heads, Lent, Taken};
use crate::sync::{Conversation, HeardState, Position, Refused, SyncError, Unpacked};

/// A message about one ledger.
#[derive(Debug)]
pub(super) struct Message {
    pub(super) ledger: LedgerId,
    pub(super) turn: u32,
    pub(super) more: bool,
    /// It, or as many pieces of it as came together.
    pub(super) pieces: Vec<Part>,
}

/// A message, or a piece of one, as it came.
#[derive(Debug)]
pub(super) struct Part {
    pub(super) bytes: Vec<u8>,
    /// The same taken apart before its turn, for the first time it is heard.
    pub(super) unpacked: Option<Unpacked>,
}

impl Part {
    fn unpack(&mut self) -> Result<Unpacked, SyncError> {
        match self.unpacked.take() {
            Some(unpacked) => Ok(unpacked),
            None => Unpacked::of(&self.bytes),
        }
    }
}

impl Message {
    /// Takes what follows a piece of the same message to it; it is given back where it does not.
    /// What the pieces mean is then worked out once, and they are flushed to the disk once.
    pub(super) fn goes_on_with(&mut self, next: Self) -> Option<Self> {
        let follows =
            self.more && self.ledger == next.ledger && !matches!(self.ledger, LedgerId::Shop(_));
        if !follows {
            return Some(next);
        }
        self.turn = next.turn;
        self.more = next.more;
        self.pieces.extend(next.pieces);
        None
    }

    /// Whether it can be committed with these. One about the shop's ledger goes alone, since it
    /// may say otherwise whose entries count; and two about one ledger go one after the other.
    pub(super) fn goes_with(&self, others: &[Self]) -> bool {
        let is_shop = |one: &Self| matches!(one.ledger, LedgerId::Shop(_));
        others.is_empty()
            || (!is_shop(self)
                && !others
                    .iter()
                    .any(|one| is_shop(one) || one.ledger == self.ledger))
    }
}

/// A message that is being taken, with what is said about its ledger.
struct Hearing {
    message: Message,
    theirs: Heads,
    talk: Option<Conversation>,
    state: Option<HeardState>,
}

impl Hearing {
    fn hear(&mut self, lent: &mut Lent) -> Result<Option<Taken>, SyncError> {
        if self.talk.is_none() {
            self.talk = Some(Conversation::begin(lent.look()?, &self.theirs));
        }
        let talk = self.talk.get_or_insert_default();
        let mut pieces = Vec::new();
        for piece in &mut self.message.pieces {
            pieces.push(piece.unpack()?);
        }
        let heard = talk.hear_unpacked(lent, Unpacked::together(pieces)?)?;
        let (taken, state) = heard.split();
        self.state = Some(state);
        Ok(taken)
    }
}

impl Exchange {
    /// The peer's messages about as many ledgers: taken, committed together, then answered.
    pub(super) fn take_all(&mut self, messages: Vec<Message>) -> Result<(), Parting> {
        let mut all = Vec::new();
        for message in messages {
            if !self.may_share(&message.ledger)? {
                self.refuse(message.ledger, Refused::NotYours);
                continue;
            }
            self.refused.remove(&message.ledger);
            if self.by_entries.contains_key(&message.ledger) {
                // Said before the peer knew that its history is refused.
                continue;
            }
            all.push(Hearing {
                theirs: self.their_heads(&message.ledger),
                talk: self.talks.remove(&message.ledger),
                state: None,
                message,
            });
        }
        self.take_together(all)
    }

    fn take_together(&mut self, mut all: Vec<Hearing>) -> Result<(), Parting> {
        if all.is_empty() {
            return Ok(());
        }
        let mut steps: Vec<_> = all
            .iter_mut()
            .map(|one| {
                let ledger = one.message.ledger;
                (ledger, move |lent: &mut Lent| one.hear(lent))
            })
            .collect();
        let steps = steps.iter_mut();
        let steps = steps.map(|(ledger, step)| (*ledger, step as TakeStep<'_>));
        match self.depot.take_all(&self.peer(), steps.collect()) {
            Ok(arrivals) => {
                // Each is on the disk, and is passed on, whatever another of them was.
                let mut done = Ok(());
                for (one, arrival) in all.into_iter().zip(arrivals) {
                    let taken = self.taken(one, arrival);
                    done = done.and(taken);
                }
                done
            }
            Err(error) => {
                let mut all = all.into_iter();
                match (all.next(), all.len()) {
                    (Some(one), 0) => self.taken(one, Err(error)),
                    // One of them may be what the disk has no room for, or fails at.
                    (first, _) => first
                        .into_iter()
                        .chain(all)
                        .try_for_each(|one| self.take_together(vec![one])),
                }
            }
        }
    }

    /// What came of one message.
    fn taken(&mut self, one: Hearing, arrival: Result<Arrival, DepotError>) -> Result<(), Parting> {
        let Hearing {
            message: Message {
                ledger, turn, more, ..
            },
            talk,
            mut state,
            ..
        } = one;
        let arrival = match arrival {
            Ok(arrival) => arrival,
            Err(DepotError::Sync(error @ SyncError::Ledger(_))) => {
                return self.refuse_history(ledger, &error);
            }
            Err(DepotError::Sync(SyncError::TooMuch)) => {
                self.refuse(ledger, Refused::TooMuch);
                return Ok(());
            }
            Err(DepotError::Sync(error)) => {
                self.refuse(ledger, Refused::Malformed);
                return Err(self.broken(&error));
            }
            Err(error) => return self.not_stored(ledger, &error),
        };
        let mut talk = talk.unwrap_or_default();
        let here = self.look(&ledger, &mut |here| {
            if let Some(state) = state.take() {
                talk.heard(here, state);
            }
        })?;
        // What a device names in a message is what it has committed, as with "stored".
        if let Some(heads) = talk.theirs()
            && self.is_news(ledger, turn)
        {
            let known = self.theirs.get(&ledger).map_or(0, |theirs| theirs.entries);
            let entries = if heads == here.heads {
                here.entries
            } else {
                known
            };
            self.they_hold(Position {
                ledger,
                entries,
                heads,
            })?;
        }
        self.talks.insert(ledger, talk);
        if self.told.get(&ledger) != Some(&arrival.position.heads) {
            self.tell(&arrival.position);
        }
        self.arrive(ledger, &arrival);
        self.we_hold(here);
        if !more {
            self.speak(ledger)?;
        }
        self.follow_up(ledger, &arrival);
        Ok(())
    }

    /// What arrived may change who may have what: considered at the end of the turn.
    pub(super) fn follow_up(&mut self, ledger: LedgerId, arrival: &Arrival) {
        if arrival.reach == Reach::Changed {
            self.reach = Reach::Changed;
            self.due.insert(ledger);
        }
    }
}
