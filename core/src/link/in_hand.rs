//! In hand: long messages that were read off the network and are not dealt with yet. While one is
//! taken, the next is taken apart and its signatures are checked, on cores that would wait for
//! the disk or for the engine, which has one way only.
//!
//! It is still taken in its turn, and only then is asked whether the peer may share the ledger.
//! No more than [`MOST`] of one peer are in hand: the others wait as they came, within the peer's
//! budget of bytes, each before whatever follows it on its stream.

use std::sync::Arc;

use tokio::sync::Semaphore;

use super::lane::Heard;
use crate::sync::{Frame, PIECE_BYTES, Unpacked};

/// So many long messages of one peer: those that are being taken, and the next.
const MOST: usize = 6;
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
        for n in 0..=MOST {
            let number = u8::try_from(n).unwrap();
            there.add(&vec![number; 300_000]).unwrap();
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
    fn of_long_messages_some_are_in_hand_and_those_that_wait_are_read_ahead() {
        let runtime = tokio::runtime::Builder::new_current_thread().build();
        let runtime = runtime.unwrap();
        runtime.block_on(async {
            let in_hand = InHand::new();
            let mut all = long();
            assert_eq!(all.len(), MOST + 1);
            let mut last = all.pop().unwrap();
            for (place, one) in all.iter_mut().enumerate() {
                in_hand.take(one).await;
                assert!(one.in_hand.is_some());
                assert_eq!(
                    one.unpacked.is_some(),
                    place > 0,
                    "the first is due already"
                );
            }
            let mut short = heard(Frame::Listed);
            in_hand.take(&mut short).await;
            assert!(short.in_hand.is_none(), "it waits for nobody");

            let mut waits = Box::pin(in_hand.take(&mut last));
            tokio::select! {
                biased;
                () = &mut waits => panic!("one more is in hand"),
                () = tokio::task::yield_now() => (),
            }
            all.remove(0);
            waits.await;
            assert!(last.in_hand.is_some() && last.unpacked.is_some());
        });
    }
}
