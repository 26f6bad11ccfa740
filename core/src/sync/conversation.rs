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
mod tests {
    use uuid::Uuid;

    use super::super::plain;
    use super::*;
    use crate::course::{CourseId, LedgerId};

    struct Side {
        ledger: Ledger,
        conversation: Conversation,
    }

    impl Side {
        fn new(actor: u8) -> Self {
            let id = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
            Self {
                ledger: Ledger::new(id, [actor; 16]).unwrap(),
                conversation: Conversation::default(),
            }
        }

        fn add(&mut self, n: u128) {
            let text = [&n.to_be_bytes()[..], &[7; 400]].concat();
            self.ledger.add(&text).unwrap();
        }

        fn meet(&mut self, other: &Self) {
            self.conversation = Conversation::begin(&self.ledger, &other.ledger.heads());
        }

        fn say(&mut self) -> Vec<Piece> {
            self.conversation.say(&self.ledger).unwrap()
        }

        fn hear(&mut self, piece: &Piece) -> usize {
            let heard = self.conversation.hear(&self.ledger, &piece.bytes).unwrap();
            let (taken, state) = heard.split();
            let new = taken.as_ref().map_or(0, |taken| taken.entries.len());
            if let Some(taken) = taken {
                self.ledger.adopt(taken);
            }
            self.conversation.heard(&self.ledger, state);
            new
        }
    }

    /// Both say and hear until neither has anything to add; how many messages it took.
    fn talk(a: &mut Side, b: &mut Side) -> usize {
        let mut messages = 0;
        for _ in 0..100 {
            let (from_a, from_b) = (a.say(), b.say());
            if from_a.is_empty() && from_b.is_empty() {
                return messages;
            }
            messages += from_a.len() + from_b.len();
            from_a.iter().for_each(|piece| {
                b.hear(piece);
            });
            from_b.iter().for_each(|piece| {
                a.hear(piece);
            });
        }
        panic!("they never stop");
    }

    #[test]
    fn a_peer_that_is_merely_behind_gets_everything_in_the_first_message() {
        let (mut tablet, mut shop) = (Side::new(1), Side::new(2));
        (1..=20).for_each(|n| tablet.add(n));
        tablet.meet(&shop);
        shop.meet(&tablet);
        let first = tablet.say();
        assert_eq!(first.len(), 1);
        assert_eq!(shop.hear(&first[0]), 20);
        assert_eq!(shop.ledger.heads(), tablet.ledger.heads());
        assert_eq!(shop.say(), [], "the shop has nothing to add");
    }

    #[test]
    fn a_message_that_was_taken_apart_ahead_comes_to_the_same() {
        let (mut tablet, mut shop) = (Side::new(1), Side::new(2));
        (1..=1_500).for_each(|n| tablet.add(n));
        tablet.meet(&shop);
        shop.meet(&tablet);
        let pieces = tablet.say();
        assert!(pieces.len() > 1, "{}", pieces.len());
        // The second before the first: what it brings hangs on what has not come, and waits.
        let order = [&pieces[1], &pieces[0]];
        for (place, piece) in order.into_iter().chain(&pieces[2..]).enumerate() {
            let in_turn = shop.conversation.hear(&shop.ledger, &piece.bytes).unwrap();
            let mut lent = Lent::new(shop.ledger.clone());
            let unpacked = Unpacked::read_ahead(shop.ledger.id(), &piece.bytes).unwrap();
            let ahead = shop.conversation.hear_unpacked(&mut lent, unpacked);
            let ((taken, state), (ahead, ahead_state)) = (in_turn.split(), ahead.unwrap().split());
            let (taken, ahead) = (taken.unwrap(), ahead.unwrap());
            assert_eq!(taken.entries.is_empty(), place == 0);
            assert_eq!(taken.entries, ahead.entries);
            assert_eq!(taken.unsigned, ahead.unsigned);
            assert_eq!(taken.changes, ahead.changes);
            assert_eq!(state.0, ahead_state.0);
            assert_eq!(state.1.len(), ahead_state.1.len());
            shop.ledger.adopt(ahead);
            shop.conversation.heard(&shop.ledger, ahead_state);
        }
        assert_eq!(shop.ledger.lines().len(), 1_500);
    }

    #[test]
    fn both_sides_have_news_and_both_end_with_all_of_it() {
        let (mut a, mut b) = (Side::new(1), Side::new(2));
        (1..=10).for_each(|n| a.add(n));
        b.meet(&a);
        a.meet(&b);
        talk(&mut a, &mut b);
        (11..=15).for_each(|n| a.add(n));
        (16..=22).for_each(|n| b.add(n));
        a.meet(&b);
        b.meet(&a);
        talk(&mut a, &mut b);
        assert_eq!(a.ledger.heads(), b.ledger.heads());
        assert_eq!(a.ledger.lines().len(), 22);
    }

    #[test]
    fn one_more_entry_is_one_message_and_its_arrival_none() {
        let (mut a, mut b) = (Side::new(1), Side::new(2));
        (1..=50).for_each(|n| a.add(n));
        a.meet(&b);
        b.meet(&a);
        talk(&mut a, &mut b);
        a.conversation.stored(&a.ledger.heads(), &b.ledger.heads());
        a.add(51);
        let said = a.say();
        assert_eq!(said.len(), 1);
        assert!(said[0].bytes.len() < 1_000, "{}", said[0].bytes.len());
        assert_eq!(b.hear(&said[0]), 1);
        assert_eq!(b.say(), []);
        b.add(52);
        let said = b.say();
        assert_eq!(a.hear(&said[0]), 1);
        assert_eq!(a.ledger.heads(), b.ledger.heads());
    }

    #[test]
    fn a_long_ledger_goes_in_pieces_and_each_is_kept() {
        let (mut tablet, mut shop) = (Side::new(1), Side::new(2));
        (1..=4_000).for_each(|n| tablet.add(n));
        tablet.meet(&shop);
        shop.meet(&tablet);
        let pieces = tablet.say();
        assert!(pieces.len() > 3, "{}", pieces.len());
        assert!(
            pieces
                .iter()
                .all(|piece| piece.bytes.len() < 2 * PIECE_BYTES)
        );
        let (last, before) = pieces.split_last().unwrap();
        assert!(before.iter().all(|piece| piece.more) && !last.more);
        let kept = shop.hear(&pieces[0]) + shop.hear(&pieces[1]);
        assert!(kept > 800, "{kept}");

        // The meeting is cut here; the next one takes up where it stopped.
        tablet.meet(&shop);
        shop.meet(&tablet);
        let again = tablet.say();
        assert_eq!(again.len(), pieces.len() - 2);
        let rest: usize = again.iter().map(|piece| shop.hear(piece)).sum();
        assert_eq!(kept + rest, 4_000);
        assert_eq!(shop.ledger.heads(), tablet.ledger.heads());
    }

    #[test]
    fn a_peer_that_claims_heads_it_does_not_have_gets_one_answer() {
        let (mut honest, mut liar) = (Side::new(1), Side::new(2));
        honest.add(1);
        liar.add(2);
        let made_up = Heads::from_bytes(&[9; 32]).unwrap();
        honest.conversation = Conversation::begin(&honest.ledger, &made_up);
        let claim = Message {
            heads: vec![ChangeHash([9; 32])],
            need: Vec::new(),
            have: vec![Have::default()],
            changes: automerge::sync::ChunkList::empty(),
            flags: None,
            version: MessageVersion::V1,
        };
        let claim = Piece {
            bytes: claim.encode(),
            more: false,
        };
        let mut answers = 0;
        for _ in 0..50 {
            honest.hear(&claim);
            answers += honest.say().len();
        }
        assert!(answers <= 2, "{answers}");
        assert_eq!(honest.ledger.lines().len(), 1);
    }

    #[test]
    fn a_filter_with_four_billion_probes_is_refused() {
        let side = Side::new(1);
        let mut bytes = vec![0x42, 0, 0, 1, 0];
        // One entry, 10 bits an entry, 2^32 - 1 probes, two bytes of bits.
        let filter = [1, 10, 0xff, 0xff, 0xff, 0xff, 0x0f, 0, 0];
        bytes.push(u8::try_from(filter.len()).unwrap());
        bytes.extend(filter);
        bytes.push(0);
        assert!(Message::decode(&bytes).is_ok(), "the engine would take it");
        let heard = side.conversation.hear(&side.ledger, &bytes);
        assert_eq!(heard.err(), Some(SyncError::Malformed));
    }

    #[test]
    fn what_hangs_on_a_change_that_has_not_come_waits_within_a_bound_and_outside_the_ledger() {
        let (mut a, mut b) = (Side::new(1), Side::new(2));
        let first = a.ledger.add(b"first").unwrap();
        let message = |change: Vec<u8>| Message {
            heads: Vec::new(),
            need: Vec::new(),
            have: Vec::new(),
            changes: vec![change].into(),
            flags: None,
            version: MessageVersion::V1,
        };
        let mut waiting = 0;
        let refused = loop {
            let added = a.ledger.add(&vec![waiting; 300_000]).unwrap();
            let heard = b
                .conversation
                .hear(&b.ledger, &message(added.change).encode());
            match heard {
                Ok(heard) => {
                    let (taken, state) = heard.split();
                    assert!(taken.is_none_or(|taken| taken.changes.is_empty()));
                    b.conversation.heard(&b.ledger, state);
                    waiting += 1;
                }
                Err(error) => break error,
            }
            assert!(waiting < 40, "four megabytes wait, and no more");
        };
        assert!(matches!(refused, SyncError::Ledger(_)));
        assert_eq!(waiting, 13);
        // What it hangs on comes: everything that waited is taken with it.
        let heard = b
            .conversation
            .hear(&b.ledger, &message(first.change).encode());
        let (taken, _) = heard.unwrap().split();
        assert_eq!(taken.unwrap().entries.len(), 14);
    }

    #[test]
    fn a_packed_message_is_refused() {
        let (mut a, b) = (Side::new(1), Side::new(2));
        a.add(1);
        let message = Message {
            heads: Vec::new(),
            need: Vec::new(),
            have: Vec::new(),
            changes: a.ledger.save().unwrap().into(),
            flags: None,
            version: MessageVersion::V2,
        };
        let heard = b.conversation.hear(&b.ledger, &message.encode());
        assert_eq!(
            heard.err(),
            Some(SyncError::NotPlain(plain::NotPlain::Packed))
        );
    }
}
