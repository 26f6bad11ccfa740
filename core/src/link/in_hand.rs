//! In hand: long messages that were read off the network and are not dealt with yet. While one is
//! taken, the next is taken apart and its signatures are checked, on cores that would wait for
//! the disk or for the engine, which has one way only.
//!
//! It is still taken in its turn, and only then is asked whether the peer may share the ledger.
//! No more than two of one peer are in hand: the others wait as they came, within the peer's
//! budget of bytes, each before whatever follows it on its stream.

use std::sync::Arc;

use tokio::sync::Semaphore;

use super::lane::Heard;
use crate::sync::{Frame, PIECE_BYTES, Unpacked};

/// So many long messages of one peer: the one that is being taken, and the next.
const MOST: usize = 2;
/// From which length on a message is long, in bytes: of less there is little to be read.
const LONG: usize = 64 << 10;
/// Longer ones are not read ahead, in bytes: no honest device sends them but for one long entry.
const LONGEST: usize = 2 * PIECE_BYTES;

/// The long messages of one peer.
#[derive(Debug, Clone)]
pub(super) struct InHand(Arc<Semaphore>);

impl InHand {
    /// None yet.
    pub(super) fn new() -> Self {
        Self(Arc::new(Semaphore::new(MOST)))
    }

    /// Takes a long message in hand, as soon as there is room for it; any other is left as it
    /// is. One that comes alone is not read ahead: it is its turn already.
    pub(super) async fn take(&self, heard: &mut Heard) {
        if heard.length < LONG || !matches!(heard.frame, Frame::Message { .. }) {
            return;
        }
        let is_alone = self.0.available_permits() == MOST;
        // It is never closed.
        heard.in_hand = Arc::clone(&self.0).acquire_owned().await.ok();
        if is_alone || heard.length > LONGEST {
            return;
        }
        if let Frame::Message { ledger, bytes, .. } = &heard.frame {
            let (ledger, bytes) = (*ledger, bytes.clone());
            let read = move || Unpacked::read_ahead(&ledger, &bytes);
            let read = tokio::task::spawn_blocking(read).await;
            // What is wrong with it is found out, and answered, in its turn.
            heard.unpacked = read.ok().and_then(Result::ok);
        }
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::course::{CourseId, LedgerId};
    use crate::ledger::Ledger;
    use crate::sync::{Conversation, Piece};

    fn heard(frame: Frame) -> Heard {
        let share = Arc::new(Semaphore::new(1)).try_acquire_owned();
        Heard::sample(frame, share.unwrap())
    }

    /// The pieces of a long message.
    fn long() -> Vec<Heard> {
        let ledger = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
        let here = Ledger::new(ledger, [1; 16]).unwrap();
        let mut there = Ledger::new(ledger, [2; 16]).unwrap();
        for n in 0..3 {
            there.add(&vec![n; 300_000]).unwrap();
        }
        let pieces = Conversation::begin(&there, &here.heads()).say(&there);
        let message = |piece: Piece| Frame::Message {
            ledger,
            turn: 1,
            more: piece.more,
            bytes: piece.bytes,
        };
        let frames = pieces.unwrap().into_iter().map(message);
        frames.map(heard).collect()
    }

    #[test]
    fn of_long_messages_two_are_in_hand_and_the_one_that_waits_is_read_ahead() {
        let runtime = tokio::runtime::Builder::new_current_thread().build();
        let runtime = runtime.unwrap();
        runtime.block_on(async {
            let in_hand = InHand::new();
            let [mut first, mut second, mut third] = <[Heard; 3]>::try_from(long()).unwrap();
            in_hand.take(&mut first).await;
            assert!(first.in_hand.is_some());
            assert!(first.unpacked.is_none(), "it is its turn already");
            in_hand.take(&mut second).await;
            assert!(second.in_hand.is_some() && second.unpacked.is_some());
            let mut short = heard(Frame::Listed);
            in_hand.take(&mut short).await;
            assert!(short.in_hand.is_none(), "it waits for nobody");

            let mut waits = Box::pin(in_hand.take(&mut third));
            tokio::select! {
                biased;
                () = &mut waits => panic!("a third is in hand"),
                () = tokio::task::yield_now() => (),
            }
            drop(first);
            waits.await;
            assert!(third.in_hand.is_some() && third.unpacked.is_some());
        });
    }
}
