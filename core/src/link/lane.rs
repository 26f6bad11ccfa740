//! Lane: frames on a QUIC stream, read and written with an eye on time and memory.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use iroh::endpoint::{ReadError, ReadExactError, RecvStream, SendStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, mpsc};
use tokio::time::timeout;

use super::{Parting, Patience};
use crate::sync::{Frame, Unpacked};

/// How much of one peer's frames may be held at once, in KiB: four of the longest.
pub(super) const BUDGET_KIB: usize = 16 << 10;
/// How much may wait to be written to one peer, in bytes. What is more than this was asked
/// for again and again by a peer that does not read.
const MOST_WAITING: usize = 256 << 20;

/// A frame that was read, with its share of the budget until it has been dealt with.
#[derive(Debug)]
pub(super) struct Heard {
    pub(super) frame: Frame,
    /// How long it was, in bytes.
    pub(super) length: usize,
    /// What it comes to, if it is a message that was taken apart before its turn.
    pub(super) unpacked: Option<Unpacked>,
    /// Its place among the long messages in hand, if it is one.
    pub(super) in_hand: Option<OwnedSemaphorePermit>,
    share: OwnedSemaphorePermit,
}

/// What a frame takes up until it has been dealt with.
pub(super) type Shares = (OwnedSemaphorePermit, Option<OwnedSemaphorePermit>);

impl Heard {
    /// The frame with what was made of it before its turn, and what it takes up.
    pub(super) fn split(self) -> ((Frame, Option<Unpacked>), Shares) {
        ((self.frame, self.unpacked), (self.share, self.in_hand))
    }

    /// Whether this is a piece of a message, and the other one more of it.
    pub(super) fn goes_on_with(&self, other: &Self) -> bool {
        match (&self.frame, &other.frame) {
            (
                Frame::Message {
                    ledger, more: true, ..
                },
                Frame::Message { ledger: next, .. },
            ) => ledger == next,
            _ => false,
        }
    }

    /// A frame as it would have been read.
    #[cfg(test)]
    pub(super) fn sample(frame: Frame, share: OwnedSemaphorePermit) -> Self {
        Self {
            length: frame.encode().map_or(0, |bytes| bytes.len()),
            frame,
            unpacked: None,
            in_hand: None,
            share,
        }
    }
}

/// Reads the next frame that this version knows; `None` when the stream has ended.
pub(super) async fn read(
    stream: &mut RecvStream,
    patience: &Patience,
    budget: &Arc<Semaphore>,
) -> Result<Option<Heard>, Parting> {
    loop {
        // Between frames a stream may be silent for as long as the connection lives.
        let mut first = [0; 1];
        match stream.read(&mut first).await {
            Ok(Some(_)) => (),
            Ok(None) => return Ok(None),
            Err(error) => return Err(lost(&error)),
        }
        let mut rest = [0; 3];
        within(patience, stream.read_exact(&mut rest)).await?;
        let [a] = first;
        let [b, c, d] = rest;
        let length = Frame::length([a, b, c, d]).map_err(|_| Parting::Broken)?;
        let share = u32::try_from(length.div_ceil(1024)).map_err(|_| Parting::Broken)?;
        let share = Arc::clone(budget).acquire_many_owned(share).await;
        let share = share.map_err(|_| Parting::Stopped)?;
        let mut bytes = vec![0; length];
        within(patience, stream.read_exact(&mut bytes)).await?;
        if let Some(frame) = Frame::decode(&bytes).map_err(|_| Parting::Broken)? {
            return Ok(Some(Heard {
                frame,
                length,
                unpacked: None,
                in_hand: None,
                share,
            }));
        }
    }
}

/// What is not there in time came from a peer that drips, to hold what it was given.
async fn within(
    patience: &Patience,
    read: impl Future<Output = Result<(), ReadExactError>>,
) -> Result<(), Parting> {
    match timeout(patience.frame, read).await {
        Ok(Ok(())) => Ok(()),
        Ok(Err(ReadExactError::FinishedEarly(_))) => Err(Parting::Broken),
        Ok(Err(ReadExactError::ReadError(error))) => Err(lost(&error)),
        Err(_) => Err(Parting::Slow),
    }
}

const fn lost(error: &ReadError) -> Parting {
    match error {
        ReadError::ConnectionLost(_) | ReadError::ZeroRttRejected => Parting::Lost,
        ReadError::Reset(_) | ReadError::ClosedStream => Parting::Broken,
    }
}

/// What waits to be written to one peer, in bytes, over all its lanes.
#[derive(Debug, Default)]
pub(super) struct Waiting(AtomicUsize);

/// The writing end of one lane: frames go in and are written in order by a task.
#[derive(Debug)]
pub(super) struct Lane {
    frames: mpsc::UnboundedSender<Vec<u8>>,
    waiting: Arc<Waiting>,
}

impl Lane {
    /// A lane and the task that writes it, to be run: it ends when the lane is dropped and
    /// everything has been written, or when the peer does not take it.
    pub(super) fn open(
        stream: impl Future<Output = Option<SendStream>> + Send + 'static,
        patience: Patience,
        waiting: &Arc<Waiting>,
    ) -> (
        Self,
        impl Future<Output = Result<(), Parting>> + Send + 'static,
    ) {
        let (frames, mut queue) = mpsc::unbounded_channel::<Vec<u8>>();
        let lane = Self {
            frames,
            waiting: Arc::clone(waiting),
        };
        let waiting = Arc::clone(waiting);
        let write = async move {
            let Some(mut stream) = stream.await else {
                return Err(Parting::Lost);
            };
            while let Some(bytes) = queue.recv().await {
                let wrote = timeout(patience.frame, stream.write_all(&bytes)).await;
                waiting.0.fetch_sub(bytes.len(), Ordering::Relaxed);
                match wrote {
                    Ok(Ok(())) => (),
                    Ok(Err(_)) => return Err(Parting::Lost),
                    Err(_) => return Err(Parting::Slow),
                }
            }
            // Fails only if the connection has gone, which the meeting notices itself.
            let _ = stream.finish();
            Ok(())
        };
        (lane, write)
    }

    /// Queues a frame.
    pub(super) fn send(&self, frame: &Frame) -> Result<(), Parting> {
        // What cannot be framed is our own fault; the peer is not to be blamed for it.
        let bytes = frame.encode().map_err(|_| Parting::OwnStore)?;
        let waiting = self.waiting.0.fetch_add(bytes.len(), Ordering::Relaxed);
        if waiting > MOST_WAITING {
            return Err(Parting::Slow);
        }
        self.frames.send(bytes).map_err(|_| Parting::Lost)
    }
}
