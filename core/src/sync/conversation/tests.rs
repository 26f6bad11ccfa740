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
fn pieces_that_come_together_come_to_the_same_as_one_after_the_other() {
    let mut tablet = Side::new(1);
    (1..=3_000).for_each(|n| tablet.add(n));
    let pieces = {
        let shop = Side::new(2);
        tablet.meet(&shop);
        tablet.say()
    };
    assert!(pieces.len() > 2, "{}", pieces.len());
    let unpacked = |piece: &Piece, ahead: bool| {
        let id = tablet.ledger.id();
        let read = if ahead {
            Unpacked::read_ahead(id, &piece.bytes)
        } else {
            Unpacked::of(&piece.bytes)
        };
        read.unwrap()
    };
    let heard = |rows: &[&[Piece]]| {
        let mut shop = Side::new(2);
        shop.meet(&tablet);
        let (mut entries, mut changes) = (Vec::new(), Vec::new());
        for row in rows {
            let parts = (0..).zip(*row);
            let parts = parts.map(|(at, piece)| unpacked(piece, at % 2 == 1));
            let mut lent = Lent::new(shop.ledger.clone());
            let whole = Unpacked::together(parts.collect()).unwrap();
            let heard = shop.conversation.hear_unpacked(&mut lent, whole);
            let (taken, state) = heard.unwrap().split();
            let taken = taken.unwrap();
            entries.extend(taken.entries.clone());
            changes.extend(taken.changes.clone());
            shop.ledger.adopt(taken);
            shop.conversation.heard(&shop.ledger, state);
        }
        assert_eq!(shop.ledger.heads(), tablet.ledger.heads());
        (entries, changes, shop.conversation.state.clone())
    };
    let one_by_one: Vec<&[Piece]> = pieces.chunks(1).collect();
    let two_by_two: Vec<&[Piece]> = pieces.chunks(2).collect();
    let in_turn = heard(&one_by_one);
    assert_eq!(in_turn.0.len(), 3_000);
    assert!(in_turn == heard(&two_by_two));
    assert!(in_turn == heard(&[&pieces[..]]));
    // The last before the first: what hangs on what has not come is put in order.
    let turned: Vec<Piece> = pieces.iter().rev().cloned().collect();
    let (entries, changes, _) = heard(&[&turned[..]]);
    assert_eq!((entries, changes), (in_turn.0, in_turn.1));
    assert!(matches!(
        Unpacked::together(Vec::new()),
        Err(SyncError::Malformed)
    ));
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
