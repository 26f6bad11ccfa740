//! Conversation: what this device and one peer say about one ledger, at one meeting.
//!
//! Around `automerge::sync`, with four things changed, each for a reason:
//! - It begins from the heads that the peer offered, so a peer that is merely behind gets
//!   what it lacks in the first message.
//! - A long message goes out in pieces of about 512 KiB, oldest changes first. Each is
//!   stored as it arrives: a meeting cut short loses one piece, not the whole sync, and no
//!   tap waits for more than one piece.
//! - Packed messages are neither sent nor taken: they could unpack to any size.
//! - An answer that would say nothing new is not sent, so a peer that claims heads it does
//!   not have cannot keep both sides talking for ever.

use std::collections::BTreeSet;

use automerge::sync::{Have, Message, MessageVersion, State, SyncDoc as _};
use automerge::{Change, ChangeHash};

use super::SyncError;
use super::noted::note;
use super::unpacked::Unpacked;
use crate::ledger::{Ahead, Heads, Ledger, LedgerError, Lent, Taken, guarded, ready};

/// From which size on a message is cut into pieces, in bytes.
pub const PIECE_BYTES: usize = 512 << 10;
/// The most bytes of a kept file in one frame: a quarter of a piece of entries, so that a mark made
/// while a photograph is on its way waits for less.
pub const FILE_PIECE_BYTES: usize = 128 << 10;

/// The most bytes of changes that may wait for others: so much may a peer make this device
/// keep in memory for one ledger, and no longer than it is met.
const MOST_WAITING: usize = 4 << 20;

/// What two devices have said about one ledger since they met.
#[derive(Debug, Clone, Default)]
pub struct Conversation {
    state: State,
    /// What we said last, and what we had heard when we said it.
    last: Option<Said>,
    /// Changes that hang on others which have not come. They are kept here and not in the
    /// ledger, so many and no more, and go with the meeting.
    waiting: Vec<Change>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Said {
    heads: Vec<ChangeHash>,
    need: Vec<ChangeHash>,
    heard_heads: Option<Vec<ChangeHash>>,
    heard_need: Option<Vec<ChangeHash>>,
}

/// One message, or a piece of one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// The bytes.
    pub bytes: Vec<u8>,
    /// Whether more pieces of the same message follow.
    pub more: bool,
}

/// What hearing a message gave. Nothing has happened yet: the caller stores what was
/// taken, adopts it, and then lets the conversation move on with [`Conversation::heard`].
#[derive(Debug)]
pub struct Heard {
    /// The changes, applied to the ledger or a clone of it; `None` if the message brought none.
    pub taken: Option<Taken>,
    state: State,
    waiting: Vec<Change>,
}

/// A message that may be taken.
struct Fit {
    /// The message without its changes.
    message: Message,
    /// Those of its changes that can be applied now.
    now: Vec<Change>,
    /// Whether it came with changes.
    brings: bool,
    waiting: Vec<Change>,
    /// What was read of them ahead.
    ahead: Ahead,
}

impl Conversation {
    /// Begins from the heads the peer says it has stored. They are only a hint: a peer that
    /// claims too much will lack what it claimed, and nobody else.
    pub fn begin(ledger: &Ledger, theirs: &Heads) -> Self {
        let known: Vec<ChangeHash> = theirs
            .iter()
            .map(|hash| ChangeHash(*hash))
            .filter(|hash| ledger.has(hash))
            .collect();
        let mut conversation = Self::default();
        if known.len() == theirs.iter().count() && !known.is_empty() {
            conversation.settle(known);
            conversation.state.have_responded = false;
        } else {
            conversation.state.shared_heads = known;
        }
        conversation
    }

    /// Both have stored exactly this.
    fn settle(&mut self, heads: Vec<ChangeHash>) {
        self.state = State {
            shared_heads: heads.clone(),
            last_sent_heads: heads.clone(),
            their_heads: Some(heads.clone()),
            their_need: Some(Vec::new()),
            their_have: Some(vec![Have {
                last_sync: heads,
                ..Have::default()
            }]),
            have_responded: true,
            ..State::default()
        };
        self.last = None;
    }

    /// What there is to say now; empty when there is nothing to add.
    ///
    /// # Errors
    /// [`SyncError::Ledger`]; what was heard last cannot be answered.
    pub fn say(&mut self, ledger: &Ledger) -> Result<Vec<Piece>, SyncError> {
        let mut state = self.state.clone();
        let message = guarded("make a sync message", || {
            Ok::<_, LedgerError>(ledger.document().generate_sync_message(&mut state))
        })?;
        let Some(mut message) = message else {
            self.state = state;
            return Ok(Vec::new());
        };
        if !self.waiting.is_empty() {
            message.need = missing(&self.waiting, ledger);
        }
        let said = Said {
            heads: message.heads.clone(),
            need: message.need.clone(),
            heard_heads: state.their_heads.clone(),
            heard_need: state.their_need.clone(),
        };
        if message.changes.is_empty() && self.last.as_ref() == Some(&said) {
            return Ok(Vec::new());
        }
        self.state = state;
        self.last = Some(said);
        Ok(pieces(message))
    }

    /// Hears a message, on a clone.
    ///
    /// # Errors
    /// [`SyncError`]; the ledger and the conversation are as they were.
    pub fn hear(&self, ledger: &Ledger, bytes: &[u8]) -> Result<Heard, SyncError> {
        let fit = self.fit(ledger, Unpacked::of(bytes)?)?;
        let (before, brought) = (ledger.heads(), !fit.now.is_empty());
        let taken = ledger.take_ready(fit.now)?;
        let mut state = self.state.clone();
        note(&mut state, &before, taken.ledger(), fit.message, brought)?;
        Ok(Heard {
            taken: (fit.brings || brought).then_some(taken),
            state,
            waiting: fit.waiting,
        })
    }

    /// The same on the ledger itself: it is left in place where the message brings nothing, or
    /// was refused before anything was tried.
    ///
    /// # Errors
    /// [`SyncError`]; the conversation is as it was.
    pub fn hear_lent(&self, lent: &mut Lent, bytes: &[u8]) -> Result<Heard, SyncError> {
        self.hear_unpacked(lent, Unpacked::of(bytes)?)
    }

    /// The same of a message that was taken apart before.
    ///
    /// # Errors
    /// [`SyncError`]; the conversation is as it was.
    pub(crate) fn hear_unpacked(
        &self,
        lent: &mut Lent,
        unpacked: Unpacked,
    ) -> Result<Heard, SyncError> {
        let here = lent.look()?;
        let fit = self.fit(here, unpacked)?;
        let (before, brought) = (here.heads(), !fit.now.is_empty());
        let mut state = self.state.clone();
        if !fit.brings && !brought {
            note(&mut state, &before, here, fit.message, brought)?;
            return Ok(Heard {
                taken: None,
                state,
                waiting: fit.waiting,
            });
        }
        let taken = lent.take()?.take_whole(fit.now, fit.ahead)?;
        note(&mut state, &before, taken.ledger(), fit.message, brought)?;
        Ok(Heard {
            taken: Some(taken),
            state,
            waiting: fit.waiting,
        })
    }

    /// Looks at a message before anything is done with it, and leaves out of it what hangs on
    /// changes that have not come.
    fn fit(&self, ledger: &Ledger, unpacked: Unpacked) -> Result<Fit, SyncError> {
        let Unpacked {
            message,
            changes,
            brings,
            ahead,
        } = unpacked;
        let mut all = self.waiting.clone();
        all.extend(changes);
        let (now, waiting) = ready(all, |hash| ledger.has(hash));
        if waiting
            .iter()
            .map(|one| one.raw_bytes().len())
            .sum::<usize>()
            > MOST_WAITING
        {
            return Err(SyncError::Ledger(LedgerError::Engine {
                during: "take changes",
                detail: "too many hang on others that have not come".into(),
            }));
        }
        Ok(Fit {
            message,
            now,
            brings,
            waiting,
            ahead,
        })
    }

    /// Moves on after what was heard has been stored. If both now hold the same there is
    /// nothing left to say.
    pub fn heard(&mut self, ledger: &Ledger, heard_state: HeardState) {
        self.state = heard_state.0;
        self.waiting = heard_state.1;
        let ours: Vec<ChangeHash> = ledger
            .heads()
            .iter()
            .map(|hash| ChangeHash(*hash))
            .collect();
        if self.state.their_heads.as_ref() == Some(&ours) {
            self.settle(ours);
        }
    }

    /// What the peer last said it has; `None` before it has said anything.
    pub fn theirs(&self) -> Option<Heads> {
        let heads = self.state.their_heads.as_ref()?;
        let bytes: Vec<u8> = heads.iter().flat_map(|hash| hash.0).collect();
        Heads::from_bytes(&bytes)
    }

    /// The peer has said what it stored. If that is all we have, the conversation starts
    /// over from there; what was sent since is remembered otherwise.
    pub fn stored(&mut self, ours: &Heads, theirs: &Heads) {
        if theirs == ours {
            self.settle(theirs.iter().map(|hash| ChangeHash(*hash)).collect());
        }
    }
}

/// The conversation's side of a [`Heard`].
#[derive(Debug)]
pub struct HeardState(State, Vec<Change>);

impl Heard {
    /// Takes the changes out, to be stored, and leaves the conversation's side.
    pub fn split(self) -> (Option<Taken>, HeardState) {
        (self.taken, HeardState(self.state, self.waiting))
    }
}

/// What waiting changes hang on and neither they nor the ledger have.
fn missing(waiting: &[Change], ledger: &Ledger) -> Vec<ChangeHash> {
    let here: BTreeSet<ChangeHash> = waiting.iter().map(Change::hash).collect();
    let deps = waiting.iter().flat_map(Change::deps);
    let missing: BTreeSet<ChangeHash> = deps
        .filter(|dep| !here.contains(dep) && !ledger.has(dep))
        .copied()
        .collect();
    missing.into_iter().collect()
}

/// Cuts a message: the changes in order, each piece with the same heads, and the question
/// what the peer has only on the last, so that it is answered once.
fn pieces(message: Message) -> Vec<Piece> {
    let total: usize = message.changes.iter().map(<[u8]>::len).sum();
    if total <= PIECE_BYTES {
        return vec![Piece {
            bytes: message.encode(),
            more: false,
        }];
    }
    let mut groups: Vec<Vec<Vec<u8>>> = Vec::new();
    let mut size = usize::MAX;
    for change in message.changes.iter() {
        size = size.saturating_add(change.len());
        if size > PIECE_BYTES {
            groups.push(Vec::new());
            size = change.len();
        }
        if let Some(group) = groups.last_mut() {
            group.push(change.to_vec());
        }
    }
    let last = groups.len().saturating_sub(1);
    let piece = |(index, group): (usize, Vec<Vec<u8>>)| {
        let more = index < last;
        let part = Message {
            heads: message.heads.clone(),
            need: if more {
                Vec::new()
            } else {
                message.need.clone()
            },
            have: if more {
                Vec::new()
            } else {
                message.have.clone()
            },
            changes: group.into(),
            flags: message.flags,
            version: MessageVersion::V1,
        };
        Piece {
            bytes: part.encode(),
            more,
        }
    };
    groups.into_iter().enumerate().map(piece).collect()
}

#[cfg(test)]
mod tests;
